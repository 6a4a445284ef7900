#include "bearingdsp/history/dates.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "support/made_reading.hpp"

using namespace bearingdsp;

namespace {

/// Recorded on `day`, added on `added`.
Reading reading(int day, int added, Verdict verdict = Verdict::no_fault) {
  Reading r = test::made_reading(day);
  r.verdict = verdict;
  r.probability_of_damage = verdict == Verdict::fault ? 0.97 : 0.1;
  r.added = test::day(added);
  return r;
}

PointHistory settled(std::vector<Reading> readings, std::vector<Event> events = {}) {
  PointHistory h;
  h.readings = std::move(readings);
  h.events = std::move(events);
  settle_dates(h);
  return h;
}

constexpr int years = 365;

}  // namespace

TEST_CASE("dates: a reading or event of the future is set aside, until it is confirmed") {
  PointHistory h = settled({reading(0, 0), reading(90, 1), reading(2, 2)},
                           {{EventKind::bearing_replaced, test::day(50), "", "", {}, test::day(3)},
                            {EventKind::greased, test::day(3), "", "", {}, test::day(3)}});
  REQUIRE(h.readings.size() == 2);
  CHECK(h.readings.back().taken == test::day(2));
  REQUIRE(h.readings_ahead.size() == 1);
  CHECK(h.readings_ahead.front().doubt == DateDoubt::ahead);
  CHECK(h.events.size() == 1);
  CHECK(h.events_ahead.size() == 1);
  // A day ahead may be a time zone.
  CHECK(settled({reading(0, 0), reading(2, 1)}).readings_ahead.empty());
  Reading confirmed = reading(90, 1);
  confirmed.date_confirmed = true;
  CHECK(settled({reading(0, 0), confirmed}).readings_ahead.empty());
}

TEST_CASE("dates: where every reading is of the future, it is the computer's clock that is wrong") {
  const PointHistory h =
      settled({reading(7, -20 * years, Verdict::fault), reading(0, -20 * years)});
  REQUIRE(h.readings.size() == 2);
  CHECK(h.readings_ahead.empty());
  CHECK(h.readings.back().verdict == Verdict::fault);
  CHECK(h.readings.back().doubt == DateDoubt::ahead);
  CHECK(doubtful_damage(h).empty());
}

TEST_CASE("dates: of one instant the worst is the latest, in whatever order they were stored") {
  Reading a = reading(7, 7, Verdict::fault);
  Reading b = reading(7, 7);
  Reading c = reading(7, 7, Verdict::indeterminate);
  a.hash = "a", b.hash = "b", c.hash = "c";
  std::vector<Reading> all{a, b, c};
  std::sort(all.begin(), all.end(), [](const auto& x, const auto& y) { return x.hash < y.hash; });
  do {
    const PointHistory h = settled(all);
    CHECK(h.readings[0].hash == "c");
    CHECK(h.readings[1].hash == "b");
    CHECK(h.readings[2].hash == "a");
  } while (std::next_permutation(all.begin(), all.end(),
                                 [](const auto& x, const auto& y) { return x.hash < y.hash; }));
  // Alike in all that matters: by path.
  Reading first = reading(7, 7);
  Reading second = reading(7, 7);
  first.path = "/a", second.path = "/b";
  CHECK(settled({second, first}).readings.back().path == "/b");
  CHECK(settled({first, second}).readings.back().path == "/b");
}

TEST_CASE("dates: damage that came after healthy readings is doubted where it is dated before") {
  const PointHistory late =
      settled({reading(10, 10), reading(17, 17), reading(3, 24, Verdict::fault)});
  CHECK(late.readings.front().doubt == DateDoubt::behind);
  CHECK(doubtful_damage(late).size() == 1);
  // An archive that is read in one run is consistent.
  const PointHistory archive =
      settled({reading(3, 24, Verdict::fault), reading(10, 24), reading(17, 24)});
  CHECK(doubtful_damage(archive).empty());
  // Three healthy readings that came later end it; a person's word does too.
  CHECK(doubtful_damage(settled({reading(10, 10), reading(3, 24, Verdict::fault), reading(25, 25),
                                 reading(26, 26)}))
            .size() == 1);
  CHECK(doubtful_damage(settled({reading(10, 10), reading(3, 24, Verdict::fault), reading(25, 25),
                                 reading(26, 26), reading(27, 27)}))
            .empty());
  Reading confirmed = reading(3, 24, Verdict::fault);
  confirmed.date_confirmed = true;
  CHECK(doubtful_damage(settled({reading(10, 10), confirmed})).empty());
}

TEST_CASE("dates: damage dated years before everything else is doubted, even in one run") {
  const std::vector<Reading> reset{reading(-26 * years, 30, Verdict::fault),
                                   reading(-26 * years + 1, 30, Verdict::fault), reading(0, 30),
                                   reading(7, 30), reading(14, 30)};
  const PointHistory h = settled(reset);
  CHECK(h.readings[0].doubt == DateDoubt::behind);
  CHECK(h.readings[1].doubt == DateDoubt::behind);
  CHECK(h.readings[2].doubt == DateDoubt::none);
  CHECK(doubtful_damage(h).size() == 2);
  // Two years are a pause, more are a clock that was wrong.
  const auto apart = [](int days) {
    return doubtful_damage(settled({reading(0, 800, Verdict::fault), reading(days, 800)})).size();
  };
  CHECK(apart(2 * 365) == 0);
  CHECK(apart(2 * 365 + 1) == 1);
  // A machine that was out of service, with its new bearing noted.
  const PointHistory explained =
      settled(reset, {{EventKind::bearing_replaced, test::day(-1), "", "", {}, test::day(30)}});
  CHECK(doubtful_damage(explained).empty());
}
