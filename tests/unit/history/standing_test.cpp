#include "bearingdsp/history/standing.hpp"

#include <doctest/doctest.h>

#include <string>

#include "bearingdsp/history/dates.hpp"
#include "support/close.hpp"
#include "support/made_reading.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string what_to_do(const Standing& s) {
  std::string text;
  for (const std::string& action : s.assessment.actions) text += (text.empty() ? "" : " ") + action;
  return text;
}

/// A healthy reading whose levels are `factor` times the normal ones.
Reading sound(int day, double factor = 1) {
  Reading r = test::made_reading(day);
  r.verdict = r.stage.verdict = Verdict::no_fault;
  r.place = Place::none;
  r.probability_of_damage = 0.1;
  r.parts = {};
  r.findings.clear();
  r.causes.clear();
  r.bearing.variants = equal_candidates({test::made_diagnosis().orders.value()});
  for (const Indicator i : {Indicator::velocity, Indicator::high_band, Indicator::floor})
    *r.levels.at(i) *= factor;
  return r;
}

Reading damaged(int day, double share, double factor = 1) {
  Reading r = sound(day, factor);
  r.verdict = r.stage.verdict = Verdict::fault;
  r.place = Place::outer_ring;
  r.probability_of_damage = 0.97;
  r.parts[0].strength = 0.8;
  r.stage.share = share;
  r.stage.depth = 1;
  r.stage.harmonics = 4;
  r.stage.parts = 1;
  return r;
}

PointHistory history_of(std::vector<Reading> last) {
  PointHistory h;
  h.at = {"planer-feed", "DE horizontal"};
  for (int i = 0; i < 8; ++i) h.readings.push_back(sound(7 * i));
  for (Reading& r : last) h.readings.push_back(std::move(r));
  return h;
}

PointHistory with_limits_of_a_small_motor(PointHistory h) {
  h.limits.zones = *class_limits(1);
  return h;
}

}  // namespace

TEST_CASE("standing: each urgency has its reason and says what to do") {
  const Standing fine = find_standing(history_of({sound(60)}));
  CHECK(fine.assessment.urgency == Urgency::none);
  CHECK(fine.assessment.actions.empty());
  CHECK(fine.assessment.headline == "No bearing fault found.");
  CHECK(test::close_abs(*fine.change_db, 0, 1e-9));

  const Standing early = find_standing(history_of({damaged(60, 0.1)}));
  CHECK(early.assessment.urgency == Urgency::plan);
  CHECK(early.stage == Stage::early);
  CHECK(has(early.assessment.headline, "Outer ring of the bearing damaged"));
  CHECK(has(what_to_do(early), "Order the bearing"));

  const Standing developed = find_standing(history_of({damaged(60, 0.5)}));
  CHECK(developed.stage == Stage::developed);
  CHECK(has(what_to_do(developed), "next stop"));

  // Four times the normal noise floor: 12 dB.
  const Standing advanced = find_standing(history_of({damaged(60, 0.5, 4), damaged(67, 0.5, 4)}));
  CHECK(advanced.stage == Stage::advanced);
  CHECK(advanced.assessment.urgency == Urgency::act);

  Reading shaft = sound(60);
  shaft.causes = {{OtherCause::misalignment_or_bent_shaft, 0.8, "2x is 150 % of 1x"}};
  shaft.levels.at(Indicator::velocity) = 3e-3;
  const Standing check = find_standing(history_of({shaft}));
  CHECK(check.assessment.urgency == Urgency::check);
  CHECK(has(what_to_do(check), std::string{remedy(OtherCause::misalignment_or_bent_shaft)}));
  CHECK_FALSE(has(what_to_do(check), ".."));

  CHECK(find_standing(history_of({sound(60, 3), sound(67, 3)})).assessment.urgency ==
        Urgency::check);
}

TEST_CASE(
    "standing: zone C asks for a repair to be planned, zone D for action at once "
    "[src:iso10816-1 table B.1, secondary: class I 0.71, 1.8, 4.5 mm/s]") {
  // The normal reading is 2.3 mm/s, in zone C; without limits nothing is said of it.
  CHECK(find_standing(history_of({})).assessment.urgency == Urgency::none);
  const Standing c = find_standing(with_limits_of_a_small_motor(history_of({})));
  CHECK(c.zone == Zone::c);
  CHECK(c.no_zone.empty());
  CHECK(c.assessment.urgency == Urgency::plan);
  CHECK(c.alarm == AlarmLevel::alert);

  PointHistory once;
  once.at = {"fan", "DE"};
  once.readings = {sound(0, 2)};
  once = with_limits_of_a_small_motor(std::move(once));
  const Standing d = find_standing(once);
  CHECK(d.zone == Zone::d);
  CHECK(d.assessment.urgency == Urgency::act);
  CHECK(has(d.assessment.headline, "vibration in zone D (4.6 mm/s rms)"));
  once.readings.push_back(sound(7, 2));
  const Standing twice = find_standing(once);
  CHECK(twice.assessment.urgency == Urgency::act);
  CHECK(has(what_to_do(twice), "Stop the machine or find the cause"));

  // Its own options win over the nameplate.
  TrendOptions wide;
  wide.velocity_alert = 1;
  wide.velocity_alarm = 2;
  CHECK(find_standing(once, wide).alarm == AlarmLevel::none);

  once.limits = {{}, "no nameplate"};
  CHECK(find_standing(once).no_zone == "no nameplate");
  CHECK(judge_vibration(PointHistory{}).why_not == "not measured yet");
}

TEST_CASE("standing: a useless recording asks for another, whatever it seems to show") {
  Reading clipped = sound(60, 8);
  clipped.causes = {{OtherCause::unbalance, 0.9, "1x"}};
  clipped.findings = {
      {FindingKind::clipped, Weight::blocking, "", "a third is cut off", "", "set a wider range."}};
  const Standing s = find_standing(history_of({clipped}));
  CHECK(s.assessment.urgency == Urgency::measure_again);
  CHECK(s.stage == Stage::unknown);
  CHECK_FALSE(s.velocity_mm_s);
  CHECK_FALSE(s.zone);
  CHECK(has(s.no_zone, "a third is cut off"));
  CHECK(what_to_do(s) == "Set a wider range.");
}

TEST_CASE("standing: what changed is stated against the reading before") {
  CHECK(find_standing(history_of({sound(60), sound(67)})).changed.empty());
  const Standing s = find_standing(history_of({damaged(60, 0.1), damaged(67, 0.5, 2)}));
  CHECK(has(s.changed, "developed, was early"));
  CHECK(has(s.changed, "level above 1 kHz +6 dB"));
  CHECK(has(find_standing(history_of({damaged(60, 0.1)})).changed, "early, was none"));
}

TEST_CASE("standing: what a person has seen stays seen until it gets worse") {
  PointHistory h = history_of({damaged(60, 0.1), damaged(67, 0.1)});
  CHECK_FALSE(find_standing(h).acknowledged);
  h.events = {{EventKind::alarm_acknowledged, test::day(61), "", "", {}}};
  CHECK(find_standing(h).acknowledged);
  h.readings.push_back(damaged(74, 0.5));
  CHECK_FALSE(find_standing(h).acknowledged);
}

TEST_CASE("standing: damage that is gone without anything noted is asked about") {
  PointHistory h = history_of({damaged(60, 0.5), damaged(67, 0.5), damaged(74, 0.5), sound(81)});
  const Standing s = find_standing(h);
  CHECK(s.assessment.urgency == Urgency::check);
  CHECK(has(what_to_do(s),
            "Was the bearing changed? Then note it: bearingdsp history event "
            "planer-feed bearing-replaced"));
  CHECK(has(s.assessment.headline, "no longer detected"));
  CHECK(s.since == test::day(81));
  h.events = {{EventKind::bearing_replaced, test::day(80), "", "", {}}};
  CHECK(find_standing(h).assessment.urgency == Urgency::none);

  // Without a baseline no alarm stands: one healthy reading is still no all-clear, three are.
  PointHistory young;
  young.at = {"saw", "DE"};
  for (int i = 0; i < 3; ++i) young.readings.push_back(damaged(7 * i, 0.5));
  young.readings.push_back(sound(21));
  CHECK(find_standing(young).assessment.urgency == Urgency::check);
  CHECK(has(what_to_do(find_standing(young)), "Was the bearing changed?"));
  young.readings.push_back(sound(28));
  CHECK(find_standing(young).assessment.urgency == Urgency::check);
  young.readings.push_back(sound(35));
  CHECK(find_standing(young).assessment.urgency == Urgency::none);
  // One call among healthy readings is left alone.
  PointHistory once;
  once.at = {"saw", "DE"};
  once.readings = {sound(0), damaged(7, 0.5), sound(14)};
  CHECK(find_standing(once).assessment.urgency == Urgency::none);
}

TEST_CASE("standing: what was seen of the old bearing, or of another part, is not seen of this") {
  PointHistory h = history_of({damaged(60, 0.5), damaged(67, 0.5)});
  h.events = {{EventKind::alarm_acknowledged, test::day(61), "", "", {}}};
  REQUIRE(find_standing(h).acknowledged);
  h.events.push_back({EventKind::bearing_replaced, test::day(68), "", "", {}});
  CHECK_FALSE(find_standing(h).acknowledged);  // waits for its first reading
  h.readings.push_back(damaged(74, 0.1));      // the new bearing, early damage
  CHECK_FALSE(find_standing(h).acknowledged);

  PointHistory other = history_of({damaged(60, 0.5), damaged(67, 0.5)});
  other.events = {{EventKind::alarm_acknowledged, test::day(61), "", "", {}}};
  other.readings.back().place = Place::inner_ring;
  CHECK_FALSE(find_standing(other).acknowledged);

  Reading shaken = sound(60);
  shaken.causes = {{OtherCause::unbalance, 0.8, ""}};
  shaken.levels.at(Indicator::velocity) = 3e-3;
  PointHistory shaft = history_of({shaken, shaken});
  shaft.readings.back().taken = test::day(67);
  shaft.events = {{EventKind::alarm_acknowledged, test::day(61), "", "", {}}};
  CHECK(find_standing(shaft).acknowledged);
  shaft.readings.back().causes = {{OtherCause::looseness, 0.8, ""}};
  CHECK_FALSE(find_standing(shaft).acknowledged);
}

TEST_CASE("standing: another part, another cause and another zone are stated") {
  PointHistory part = history_of({damaged(60, 0.5), damaged(67, 0.5)});
  part.readings.back().place = Place::inner_ring;
  CHECK(has(find_standing(part).changed, "inner ring, was outer ring"));
  Reading shaken = sound(67);
  shaken.causes = {{OtherCause::unbalance, 0.8, ""}};
  CHECK(has(find_standing(history_of({sound(60), shaken})).changed, "unbalance likely, was not"));
  CHECK(has(find_standing(history_of({shaken, sound(74)})).changed, "unbalance no longer likely"));
  // Between them a run at no load: it is left out.
  PointHistory unloaded = history_of({sound(60), sound(62, 0.2), damaged(67, 0.5)});
  for (Reading& r : unloaded.readings) r.load_percent = 80;
  unloaded.readings[9].load_percent = 0;
  CHECK(find_standing(unloaded).changed.find("level above") == std::string::npos);
  CHECK(has(find_standing(unloaded).changed, "developed, was none"));
  unloaded.readings.back().load_percent = 40;  // none to compare it with
  CHECK(find_standing(unloaded).changed.empty());
  PointHistory zones = with_limits_of_a_small_motor(history_of({sound(60), sound(67)}));
  zones.readings.back().levels.at(Indicator::velocity) = 1.2e-3;  // 2.3 mm/s before
  CHECK(has(find_standing(zones).changed, "zone B, was C"));
}

TEST_CASE("standing: after a new bearing the old fault is gone, and it asks for a reading") {
  PointHistory h = history_of({damaged(60, 0.5)});
  h.events = {{EventKind::bearing_replaced, test::day(62), "", "", {}}};
  const Standing s = find_standing(h);
  CHECK(s.assessment.urgency == Urgency::measure_again);
  CHECK(has(s.assessment.headline, "New bearing"));
  h.readings.push_back(sound(70));
  CHECK(find_standing(h).assessment.urgency == Urgency::none);
  CHECK(find_standing(PointHistory{}).readings == 0);
}

TEST_CASE("standing: since when, without readings that cannot tell") {
  Reading open = sound(67);
  open.verdict = open.stage.verdict = Verdict::indeterminate;
  CHECK_FALSE(find_standing(history_of({sound(60)})).since);
  CHECK(find_standing(history_of({damaged(60, 0.1)})).since == test::day(60));
  // An open reading in between neither begins nor ends it; a healthy one does.
  CHECK(find_standing(history_of({damaged(60, 0.1), open, damaged(74, 0.1)})).since ==
        test::day(60));
  CHECK(find_standing(
            history_of({damaged(60, 0.1), sound(67), sound(74), sound(81), damaged(88, 0.1)}))
            .since == test::day(88));
  // An alarm of the bearing's own levels that stood before the verdict counts; shaking does not.
  PointHistory h = history_of({sound(60, 6), sound(67, 6), damaged(74, 0.1, 6)});
  CHECK(find_standing(h).since == test::day(67));  // two of three beyond the alarm's limit
  for (Reading& r : h.readings) r.levels.at(Indicator::velocity) = 0.02;
  CHECK(find_standing(with_limits_of_a_small_motor(h)).since == test::day(67));
  // A new bearing ends what was before it.
  h = history_of({damaged(60, 0.1), damaged(74, 0.1)});
  h.events.push_back({EventKind::bearing_replaced, test::day(70), "", "", {}});
  CHECK(find_standing(h).since == test::day(74));
  h.bearing = "6205-2Z C3 (DE)";
  CHECK(find_standing(h).order == "6205-2Z C3 (DE)");
}

TEST_CASE("standing: an unbalance stands since it was likely, also in zone C") {
  const auto shaking = [](int day) {
    Reading r = sound(day);
    r.causes = {{OtherCause::unbalance, 0.8, "1x"}};
    r.levels.at(Indicator::velocity) = 3e-3;
    return r;
  };
  CHECK(find_standing(history_of({shaking(60), shaking(67)})).since == test::day(60));
  PointHistory zone = with_limits_of_a_small_motor(history_of({sound(60)}));
  for (std::size_t i = 4; i < zone.readings.size(); ++i)
    zone.readings[i].levels.at(Indicator::velocity) = 0.0025;
  for (std::size_t i = 0; i < 4; ++i) zone.readings[i].levels.at(Indicator::velocity) = 0.0010;
  CHECK(find_standing(zone).since == zone.readings[4].taken);
}

TEST_CASE("worst first: the list is sorted, and the same from what is kept") {
  const test::Scratch scratch;
  auto h = History::open(scratch.path("h.db"), Access::read_write);
  REQUIRE(h);
  const auto fill = [&](const char* machine, const Reading& last) {
    for (int i = 0; i < 8; ++i) REQUIRE(h->add({machine, "DE"}, sound(7 * i)));
    REQUIRE(h->add({machine, "DE"}, last));
  };
  fill("a fan", sound(60));
  fill("b saw", damaged(60, 0.1));
  fill("c planer", damaged(60, 0.5));
  Reading useless = sound(60);
  useless.verdict = useless.stage.verdict = Verdict::indeterminate;
  fill("d pump", useless);
  REQUIRE(h->keep_limits("a fan", {*group_limits(2, Mounting::flexible), {}}));
  REQUIRE(h->keep_bearing({"b saw", "DE"}, "6205 (DE)"));
  const auto first = worst_first(*h);
  REQUIRE(first);
  REQUIRE(first->size() == 4);
  CHECK((*first)[0].at.machine == "c planer");
  CHECK((*first)[1].at.machine == "b saw");
  CHECK((*first)[1].order == "6205 (DE)");
  CHECK((*first)[1].since == test::day(60));
  CHECK((*first)[2].at.machine == "d pump");
  CHECK((*first)[3].at.machine == "a fan");
  const auto notes = h->kept_standings().value();
  for (const auto& [key, note] : notes) CHECK_FALSE(note.empty());
  const auto again = worst_first(*h);
  REQUIRE(again);
  for (std::size_t i = 0; i < 4; ++i) {
    const Standing& a = (*first)[i];
    const Standing& b = (*again)[i];
    CHECK(a.at == b.at);
    CHECK(a.assessment.urgency == b.assessment.urgency);
    CHECK(a.stage == b.stage);
    CHECK(a.why == b.why);
    CHECK(what_to_do(a) == what_to_do(b));
    CHECK(a.changed == b.changed);
    CHECK(a.zone == b.zone);
    CHECK(a.no_zone == b.no_zone);
    CHECK(a.latest == b.latest);
    CHECK(a.since == b.since);
    CHECK(a.order == b.order);
    CHECK(a.change_db.has_value() == b.change_db.has_value());
    CHECK(a.probability_of_damage == b.probability_of_damage);
  }
  // Other limits: 2.3 mm/s is then in zone D.
  const auto strict = worst_first(*h, [](const PointKey&) {
    TrendOptions o;
    o.velocity_alert = 0.5e-3;
    o.velocity_alarm = 1e-3;
    return o;
  });
  REQUIRE(strict);
  CHECK(strict->back().assessment.urgency > Urgency::none);
}

TEST_CASE("worst first: a kept standing with a number of no meaning is found again") {
  const test::Scratch scratch;
  auto h = History::open(scratch.path("h.db"), Access::read_write);
  REQUIRE(h);
  REQUIRE(h->add({"saw", "DE"}, damaged(60, 0.5)));
  const auto first = worst_first(*h);
  REQUIRE(first);
  const std::string kept = h->kept_standings().value().front().second;
  for (const char* key :
       {"urgency", "verdict", "place", "stage", "alarm", "zone", "latest_ms", "since_ms"}) {
    INFO(key);
    for (const char* number : {"99", "-1", "1e300", "9223372036854775807"}) {
      INFO(number);
      std::string text = kept;
      const std::size_t at = text.find("\"" + std::string{key} + "\":");
      REQUIRE(at != std::string::npos);
      const std::size_t from = text.find(':', at) + 1;
      text.replace(from, text.find_first_of(",}", from) - from, number);
      REQUIRE(h->keep_standing(h->point({"saw", "DE"}).value(), text));
      const auto again = worst_first(*h);
      REQUIRE(again);
      const Standing& s = again->front();
      CHECK(s.latest >= earliest_time);
      CHECK(s.latest <= latest_time);
      CHECK(s.assessment.urgency <= Urgency::act);
      CHECK(s.alarm <= AlarmLevel::alarm);
      CHECK(s.stage <= Stage::advanced);
      CHECK_FALSE(s.assessment.headline.empty());
    }
  }
}

TEST_CASE("standing: healthy readings do not hide damage whose date is in doubt") {
  PointHistory h = history_of({sound(60)});
  for (Reading& r : h.readings) r.added = test::day(61);
  // The recorder's clock was reset: damage, dated 26 years before.
  for (int day : {0, 7}) {
    Reading r = damaged(day - 26 * 365, 0.5);
    r.added = test::day(70);
    r.id = 40 + day;
    h.readings.push_back(r);
  }
  settle_dates(h);
  const Standing s = find_standing(h);
  CHECK(s.assessment.urgency == Urgency::check);
  CHECK(has(s.assessment.headline, "Outer ring of the bearing damaged in a recording dated 2000-"));
  CHECK(has(what_to_do(s), "bearingdsp history edit r40 --time DAY"));
  CHECK(has(s.dates, "r47 (2000-"));
  for (Reading& r : h.readings) r.date_confirmed = true;
  settle_dates(h);
  CHECK(find_standing(h).assessment.urgency == Urgency::none);
  CHECK(find_standing(h).dates.empty());
}

TEST_CASE("standing: a reading or an event of the future neither is the latest nor hides damage") {
  PointHistory h = history_of({damaged(60, 0.5)});
  for (Reading& r : h.readings) r.added = test::day(61);
  Reading ahead = sound(5000);
  ahead.added = test::day(62);
  ahead.id = 9;
  h.readings.push_back(ahead);
  h.events = {{EventKind::bearing_replaced, test::day(4000), "", "", {}, test::day(62), 3}};
  settle_dates(h);
  const Standing s = find_standing(h);
  CHECK(s.assessment.urgency == Urgency::plan);
  CHECK(s.latest == test::day(60));
  CHECK(has(s.dates, "r9 (2039-"));
  CHECK(has(s.dates, "e3 (2037-"));
  // Damage that is dated in the future is damage all the same.
  PointHistory healthy = history_of({sound(60)});
  for (Reading& r : healthy.readings) r.added = test::day(61);
  Reading worse = damaged(5000, 0.5);
  worse.added = test::day(62);
  healthy.readings.push_back(worse);
  settle_dates(healthy);
  CHECK(find_standing(healthy).assessment.urgency == Urgency::check);
}

TEST_CASE("standing: a rolling element or the cage is named as that") {
  Reading either = damaged(60, 0.1);
  either.place = Place::unclear;
  either.place_set = {Part::rolling_element, Part::cage};
  Reading named = damaged(67, 0.1);
  named.place = Place::cage;
  const Standing s = find_standing(history_of({either}));
  CHECK(has(s.assessment.headline, "Rolling element or cage of the bearing damaged"));
  CHECK(s.place_set == either.place_set);
  const Standing later = find_standing(history_of({either, named}));
  CHECK(has(later.changed, "cage, was rolling element or cage"));
}
