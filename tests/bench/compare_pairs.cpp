// How right is the comparison of before and after? Pairs of labelled recordings of one rig at one
// speed and load, each way round; halves of one recording; pairs that must not be compared. A table
// to stdout. Usage: compare_pairs MANIFEST [pieces of each recording, 1] [--all]   Results:
// docs/validation/compare.md
#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "support/labelled_pairs.hpp"

using namespace bearingdsp;
using test::Labelled;

namespace {

using Right = std::function<bool(const BeforeAfter&)>;

struct Count {
  int right{0}, open{0}, unseen{0}, wrong{0};
};

class Table {
 public:
  Table(FftPlans& plans, std::size_t pieces, bool all)
      : plans_{plans}, pieces_{pieces}, all_{all} {}

  void pair(const std::string& kind, const Labelled& before, const Labelled& after,
            const Right& right) {
    const auto r = test::compare(before, after, plans_, pieces_);
    Count& count = counts_[before.record.dataset + ": " + kind];
    if (!r) {
      fmt::print("FAILED {}\n", r.error().message());
      ++count.wrong;
      return;
    }
    const bool is_right = right(*r);
    const bool open = r->change == Change::cannot_tell;
    const bool unseen = r->change == Change::no_change_seen;
    count.right += is_right ? 1 : 0;
    count.open += !is_right && open ? 1 : 0;
    count.unseen += !is_right && unseen ? 1 : 0;
    count.wrong += !is_right && !open && !unseen ? 1 : 0;
    ++answers_[before.record.dataset + ": " + kind][std::string{token(r->change)}];
    if (kind.starts_with("halves"))
      for (const LevelChange& c : r->levels)
        if (c.unit) halves_[before.record.dataset + ": " + c.name].push_back(c.change_db);
    if (!all_ && is_right) return;
    fmt::print("{:5} {:14} {} | {} -> {} | {}\n",
               is_right ? "right"
               : open   ? "open"
               : unseen ? "blind"
                        : "WRONG",
               token(r->change), kind, before.name, after.name, r->headline);
    for (const LevelChange& c : r->levels)
      if (c.unit)
        fmt::print("        {:12} {:+5.1f} dB, scatter {:.1f}\n", c.name, c.change_db, c.chance_db);
    if (r->hits)
      fmt::print("        hits: kurtosis {:.1f} -> {:.1f}\n", r->hits->before, r->hits->after);
    for (const FamilyChange& c : r->families)
      fmt::print("        {:16} {:.2f} -> {:.2f}\n", token(c.part), c.before.strength,
                 c.after.strength);
  }

  void print() const {
    fmt::print("\n{:52} {:>5} {:>5} {:>8} {:>5}\n", "pairs", "right", "open", "not seen", "wrong");
    for (const auto& [kind, c] : counts_)
      fmt::print("{:52} {:5} {:5} {:8} {:5}\n", kind, c.right, c.open, c.unseen, c.wrong);
    fmt::print("\nanswers\n");
    for (const auto& [kind, answers] : answers_) {
      fmt::print("{:52}", kind);
      for (const auto& [answer, n] : answers) fmt::print(" {} {},", n, answer);
      fmt::print("\n");
    }
    fmt::print("\nhalves of a recording: change, dB\n{:28} {:>5} {:>6} {:>8}\n", "level", "pairs",
               "rms", "largest");
    for (const auto& [level, db] : halves_) {
      double square = 0;
      double largest = 0;
      for (const double v : db) {
        square += v * v;
        largest = std::max(largest, std::abs(v));
      }
      fmt::print("{:28} {:5} {:6.2f} {:8.2f}\n", level, db.size(),
                 std::sqrt(square / static_cast<double>(db.size())), largest);
    }
  }

 private:
  FftPlans& plans_;
  std::size_t pieces_;
  bool all_;
  std::map<std::string, Count> counts_;
  std::map<std::string, std::map<std::string, int>> answers_;
  std::map<std::string, std::vector<double>> halves_;  ///< by set and level
};

bool healed(const BeforeAfter& r) {
  return r.change == Change::cured || r.change == Change::improved;
}
bool broke(const BeforeAfter& r) {
  return r.change == Change::worse || r.change == Change::new_problem;
}
bool stayed(const BeforeAfter& r) {
  return r.change == Change::unchanged || r.change == Change::no_change_seen;
}
bool refused(const BeforeAfter& r) { return r.change == Change::not_comparable; }
/// Healthy bearings on both sides, other things done to the shaft between: the vibration of the
/// shaft may change or a cause of it come, but nothing may be said of the bearing.
bool bearing_left_alone(const BeforeAfter& r) {
  const auto fate = [](FamilyFate f) {
    return f == FamilyFate::fresh || f == FamilyFate::gone || f == FamilyFate::grown ||
           f == FamilyFate::reduced;
  };
  return r.before.verdict != Verdict::fault && r.after.verdict != Verdict::fault &&
         !(r.hits && fate(r.hits->fate)) &&
         std::none_of(r.families.begin(), r.families.end(),
                      [&](const FamilyChange& f) { return fate(f.fate); }) &&
         r.headline.find("rhythm") == std::string::npos &&
         r.headline.find("oisier") == std::string::npos;
}

/// Every two recordings of a rig with a healthy bearing, both ways round.
void sound_pairs(Table& table, const std::vector<Labelled>& records) {
  for (const Labelled& a : records)
    for (const Labelled& b : records) {
      if (&a == &b || a.damaged() || b.damaged() || a.record.dataset != b.record.dataset ||
          !test::same_speed(a, b) || !test::same_load(a, b))
        continue;
      table.pair("sound -> sound, shaft altered, bearing left alone", a, b, bearing_left_alone);
    }
}

void both_ways(Table& table, const std::vector<Labelled>& records) {
  for (const Labelled& healthy : records) {
    if (!healthy.healthy()) continue;
    for (const Labelled& other : records) {
      if (other.record.dataset != healthy.record.dataset || !test::same_speed(healthy, other))
        continue;
      if (!test::same_load(healthy, other)) {
        if (other.damaged()) table.pair("another load", other, healthy, refused);
        continue;
      }
      if (other.damaged()) {
        table.pair("damaged -> sound", other, healthy, healed);
        table.pair("sound -> damaged", healthy, other, broke);
      }
    }
  }
}

void halves(Table& table, const std::vector<Labelled>& records) {
  for (const Labelled& r : records) {
    const auto [first, second] = test::halves_of(r);
    if (r.healthy()) table.pair("halves of a healthy recording", first, second, stayed);
    if (r.damaged()) table.pair("halves of a damaged recording", first, second, stayed);
  }
}

void unlike(Table& table, const std::vector<Labelled>& records) {
  for (const Labelled& a : records) {
    if (!a.healthy()) continue;
    for (const Labelled& b : records)
      if (b.record.dataset == a.record.dataset && b.damaged() && !test::same_speed(a, b) &&
          test::same_load(a, b))
        table.pair("another speed", b, a, refused);
    table.pair("too low a rate on one side", test::slowed(a, Hz{4000}), a, refused);
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) {
    fmt::print(stderr, "usage: compare_pairs MANIFEST [pieces] [--all]\n");
    return 2;
  }
  const auto records = test::read_labelled(argv[1]);
  if (!records) {
    fmt::print(stderr, "{}\n", records.error().message());
    return 2;
  }
  FftPlans plans;
  std::size_t pieces = 1;
  bool all = false;
  for (int i = 2; i < argc; ++i) {
    const std::string_view word{argv[i]};
    if (word == "--all")
      all = true;
    else
      std::from_chars(word.data(), word.data() + word.size(), pieces);
  }
  if (pieces == 0) return 2;
  Table table{plans, pieces, all};
  both_ways(table, *records);
  sound_pairs(table, *records);
  halves(table, *records);
  unlike(table, *records);
  table.print();
  return 0;
}
