#include "bearingdsp/comparison/before_after.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/verdict/judgement.hpp"
#include "support/close.hpp"
#include "support/made_reading.hpp"
#include "support/made_recording.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::damaged_recording;
using test::louder;
using test::sound_recording;

namespace {

const LevelChange& level(const BeforeAfter& r, const std::string& name) {
  const auto at = std::find_if(r.levels.begin(), r.levels.end(),
                               [&](const LevelChange& c) { return c.name == name; });
  REQUIRE(at != r.levels.end());
  return *at;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

bool suspects(const BeforeAfter& r, const std::string& word) {
  return std::any_of(r.suspicions.begin(), r.suspicions.end(),
                     [&](const Suspicion& s) { return has(s.what, word); });
}

bool refused_for(const BeforeAfter& r, DifferenceKind kind) {
  return r.change == Change::not_comparable && r.differences.front().kind == kind;
}

ComparedRecording with_cause(ComparedRecording c, OtherCause cause, double probability) {
  c.reading.causes.push_back({cause, probability, "made up"});
  return c;
}

CompareOptions of_a_small_motor() {
  CompareOptions options;
  options.limits = {class_limits(1).value(), ""};
  return options;
}

}  // namespace

TEST_CASE("damaged then sound is cured, the other way round a new problem") {
  const BeforeAfter cured = compare_sides({damaged_recording()}, {sound_recording()});
  CHECK(cured.change == Change::cured);
  CHECK(has(cured.headline, "outer ring is gone"));
  REQUIRE(cured.families.size() == 4);
  CHECK(cured.families[0].fate == FamilyFate::gone);
  CHECK(cured.families[1].fate == FamilyFate::absent);
  CHECK(cured.suspicions.empty());

  const BeforeAfter broken = compare_sides({sound_recording()}, {damaged_recording()});
  CHECK(broken.change == Change::new_problem);
  CHECK(broken.families[0].fate == FamilyFate::fresh);
  CHECK(suspects(broken, "damaged in handling"));
}

TEST_CASE("a series that has grown is said to have, one that went to be gone") {
  ComparedRecording stronger = damaged_recording();
  stronger.reading.parts[0].strength *= 3;
  const auto says = [](const BeforeAfter& r, const std::string& words) {
    return std::any_of(r.reasons.begin(), r.reasons.end(),
                       [&](const std::string& reason) { return has(reason, words); });
  };
  const BeforeAfter grown = compare_sides({damaged_recording()}, {stronger});
  CHECK(grown.families[0].fate == FamilyFate::grown);
  CHECK(says(grown, "series of the outer ring has grown: strength"));
  CHECK(says(compare_sides({damaged_recording()}, {sound_recording()}),
             "series of the outer ring is gone: strength"));
}

TEST_CASE("a verdict that flips while nothing moves is no change") {
  ComparedRecording barely = sound_recording();
  barely.reading.verdict = Verdict::fault;
  barely.reading.place = Place::outer_ring;
  CHECK(compare_sides({barely}, {sound_recording()}).change == Change::cannot_tell);
  CHECK(compare_sides({sound_recording()}, {barely}).change == Change::cannot_tell);
}

TEST_CASE("the same damage: unchanged, improved or worse by the impacts") {
  const auto change = [](double db) {
    return compare_sides({damaged_recording()}, {louder(damaged_recording(), db)}).change;
  };
  CHECK(change(0) == Change::unchanged);
  CHECK(change(6) == Change::unchanged);  // the same damage, said to be there
  CHECK(change(7) == Change::worse);
  CHECK(change(-7) == Change::improved);
}

TEST_CASE("a single recording a side: 1.5 dB between readings [src:closed-form 3 sqrt(2) 1.5 dB]") {
  const BeforeAfter r = compare_sides({sound_recording()}, {louder(sound_recording(), 6.3)});
  CHECK(r.scatter == ScatterSource::assumed);
  CHECK(close_abs(level(r, "velocity").scatter_db, 2.1213203, 1e-6));
  CHECK(close_abs(level(r, "velocity").change_db, 6.3, 1e-9));
  CHECK_FALSE(level(r, "velocity").beyond);
  CHECK(close_abs(level(r, "velocity").chance_db, 6.3639610, 1e-6));
  CHECK(r.change == Change::no_change_seen);
  CHECK(level(compare_sides({sound_recording()}, {louder(sound_recording(), 6.4)}), "velocity")
            .rose());
}

TEST_CASE("pieces of a recording widen its scatter [src:closed-form variance of n = 4 by hand]") {
  ComparedRecording c = sound_recording();
  for (const double db : {-3.0, -1.0, 1.0, 3.0})
    c.pieces.push_back(louder(sound_recording(), db).reading.levels);
  const BeforeAfter r = compare_sides({c}, {c});
  CHECK(r.scatter == ScatterSource::pieces);
  // 20/3 dB2 a piece, four pieces count as one: twice (2.25 + 6.667).
  CHECK(close_abs(level(r, "velocity").scatter_db, std::sqrt(2 * (2.25 + 20.0 / 3)), 1e-6));
}

TEST_CASE("several recordings a side see a smaller change [src:closed-form pooled variance]") {
  const std::vector<double> spread{-0.4, 0.0, 0.4};
  Side before;
  Side after;
  for (const double db : spread) {
    before.push_back(louder(sound_recording(), db));
    after.push_back(louder(sound_recording(), db - 5));
  }
  const BeforeAfter r = compare_sides(before, after);
  CHECK(r.scatter == ScatterSource::recordings);
  const double pooled = (4 * 2.25 + 2 * 0.32) / (4 + 4);
  CHECK(close_abs(level(r, "velocity").scatter_db, std::sqrt(pooled * 2 / 3 + 1), 1e-6));
  CHECK(level(r, "velocity").fell());
  // Opening it is common to all recordings after it: more of them do not lessen it.
  CHECK(close_abs(level(r, "velocity").alone_db, 3 * std::sqrt(pooled * 2 / 3 + 1 + 16), 1e-6));
  CHECK_FALSE(level(r, "velocity").fell_alone());
  CHECK(r.change == Change::cannot_tell);
  // Where it stayed closed, the same change counts.
  CHECK(compare_sides(before, after, {.rebuilding_db = 0}).change == Change::improved);
}

TEST_CASE("most recordings of a side decide, and unusable ones are left out") {
  ComparedRecording clipped = damaged_recording();
  clipped.reading.findings.push_back({FindingKind::clipped, Weight::blocking, "", "", "", ""});
  const BeforeAfter r =
      compare_sides({damaged_recording(), damaged_recording(), clipped, sound_recording()},
                    {sound_recording(), clipped});
  CHECK(r.before.recordings == 4);
  CHECK(r.before.usable == 3);
  CHECK(r.after.usable == 1);
  CHECK(r.change == Change::cured);
  const BeforeAfter none = compare_sides({clipped}, {sound_recording()});
  CHECK(none.change == Change::cannot_tell);
  CHECK(has(none.headline, "before"));
  CHECK_THROWS_AS((void)compare_sides({}, {sound_recording()}), std::invalid_argument);
}

TEST_CASE("not comparable: speed, load, sensor, fixing, range, rate") {
  const ComparedRecording before = damaged_recording();
  const auto refused = [&](const ComparedRecording& after, DifferenceKind kind) {
    const BeforeAfter r = compare_sides({before}, {after});
    REQUIRE_FALSE(r.differences.empty());
    CHECK(r.differences.front().kind == kind);
    CHECK(r.differences.front().bar == Bar::blocks);
    CHECK(has(r.headline, "cannot be compared"));
    return r.change == Change::not_comparable;
  };
  ComparedRecording after = sound_recording();
  after.reading.speed = Rpm{1650};
  CHECK(refused(after, DifferenceKind::speed));

  after = sound_recording();
  after.reading.levels.high_band = {Hz{1000}, Hz{1000}};
  after.recorded_rate = Hz{4000};
  CHECK(refused(after, DifferenceKind::rate));

  ComparedRecording magnet = sound_recording();
  ComparedRecording stud = damaged_recording();
  magnet.facts.fixing = "magnet";
  stud.facts.fixing = "stud";
  CHECK(compare_sides({stud}, {magnet}).change == Change::not_comparable);
  magnet.facts.fixing.clear();  // not said: nothing is known to differ
  CHECK(compare_sides({stud}, {magnet}).change == Change::cured);

  // Another range is no bar by itself, but one so wide that the recorder hears itself is.
  ComparedRecording wide = sound_recording();
  ComparedRecording narrow = damaged_recording();
  wide.range = 5000;
  narrow.range = 128;
  CHECK(compare_sides({narrow}, {wide}).change == Change::cured);
  CHECK(compare_sides({narrow}, {wide}).differences.front().bar == Bar::noted);
  const Finding coarse{FindingKind::coarse_resolution, Weight::caution, "", "", "", ""};
  wide.reading.findings = {coarse};
  CHECK(refused_for(compare_sides({narrow}, {wide}), DifferenceKind::range));
  CHECK(refused_for(compare_sides({wide}, {narrow}), DifferenceKind::range));
  narrow.reading.findings = {coarse};  // the narrower one did not lose anything by its range
  wide.reading.findings.clear();
  CHECK(compare_sides({narrow}, {wide}).change == Change::cured);

  ComparedRecording full = damaged_recording();
  ComparedRecording idle = sound_recording();
  full.facts.load_percent = 80;
  idle.facts.load_percent = 0;
  CHECK(compare_sides({full}, {idle}).change == Change::not_comparable);
  idle.facts.load_percent = 70;
  CHECK(compare_sides({full}, {idle}).change == Change::cured);
}

TEST_CASE("a speed a little different is paid for [src:closed-form 40 lg of the speeds]") {
  ComparedRecording faster = sound_recording();
  faster.reading.speed = Rpm{1480 * 1.08};
  const BeforeAfter r = compare_sides({sound_recording()}, {faster});
  CHECK(r.change == Change::no_change_seen);
  REQUIRE(r.differences.size() == 1);
  CHECK(r.differences[0].bar == Bar::allowed);
  const double by_speed = 40 * std::log10(1.08);
  CHECK(close_abs(level(r, "velocity").scatter_db, std::sqrt(4.5 + by_speed * by_speed), 1e-6));
}

TEST_CASE("the bearing was never the cause") {
  const ComparedRecording shaking = with_cause(sound_recording(), OtherCause::unbalance, 0.8);
  // Without a limit the pattern of unbalance is no repair; 2.0 mm/s is zone C of class I.
  const auto without = compare_sides({shaking}, {shaking}).advice;
  CHECK(std::find(without.begin(), without.end(), remedy(OtherCause::unbalance)) == without.end());
  const BeforeAfter r = compare_sides({shaking}, {shaking}, of_a_small_motor());
  CHECK(r.change == Change::unchanged);
  CHECK(has(r.headline, "The bearing does not look like the cause: unbalance"));
  CHECK(std::find(r.advice.begin(), r.advice.end(), remedy(OtherCause::unbalance)) !=
        r.advice.end());
  const BeforeAfter cured =
      compare_sides({with_cause(damaged_recording(), OtherCause::unbalance, 0.8)}, {shaking});
  CHECK(cured.change == Change::cured);
  CHECK(has(cured.headline, "unbalance remains"));
}

TEST_CASE("balanced: velocity and 1x both fell, and unbalance was likely") {
  const auto shaking = [](double mm_per_s, double probability) {
    ComparedRecording c = with_cause(sound_recording(), OtherCause::unbalance, probability);
    c.reading.levels.at(Indicator::velocity) = mm_per_s / 1000;
    c.reading.levels.shaft[0] = 0.95 * mm_per_s / 1000;
    return c;
  };
  const BeforeAfter better = compare_sides({shaking(6, 0.9)}, {shaking(2, 0.6)});
  CHECK(better.change == Change::improved);
  CHECK(has(better.headline, "shaft and the structure has fallen"));
  const BeforeAfter worse = compare_sides({shaking(2, 0.6)}, {shaking(6, 0.9)});
  CHECK(worse.change == Change::worse);
  CHECK(has(worse.headline, "shaft and the structure has risen"));
  // Without such a cause it is only louder or quieter.
  CHECK(compare_sides({shaking(6, 0.4)}, {shaking(2, 0.4)}).change == Change::cannot_tell);
  CHECK(compare_sides({shaking(2, 0.4)}, {shaking(6, 0.4)}).change == Change::cannot_tell);
}

TEST_CASE("what was not given is said to be taken as the same") {
  using enum DifferenceKind;
  ComparedRecording described = sound_recording();
  described.facts = {80, "accelerometer 1", "stud"};
  CHECK(compare_sides({described}, {described}).taken_alike.empty());
  CHECK(compare_sides({described}, {sound_recording()}).taken_alike ==
        std::vector{load, sensor, fixing});
  described.facts.fixing.clear();
  CHECK(compare_sides({described}, {described}).taken_alike == std::vector{fixing});
}

TEST_CASE("new problems: dents, a cocked ring, grease") {
  ComparedRecording inner = damaged_recording();
  inner.reading.place = Place::inner_ring;
  inner.reading.parts[0] = sound_recording().reading.parts[0];
  inner.reading.parts[1] = {1.5, 1.8, 4, 0};
  CHECK(suspects(compare_sides({sound_recording()}, {inner}), "dented all round"));
  inner.reading.parts[1].sidebands = 6;  // one spot, in and out of the load
  CHECK_FALSE(suspects(compare_sides({sound_recording()}, {inner}), "dented"));
  // From one part to another: the old damage gone, a new one there.
  const BeforeAfter moved = compare_sides({damaged_recording()}, {inner});
  CHECK(moved.change == Change::new_problem);
  CHECK(moved.families[0].fate == FamilyFate::gone);
  CHECK(moved.families[1].fate == FamilyFate::fresh);

  ComparedRecording both = damaged_recording();
  both.reading.parts[1] = {1.2, 1.5, 4, 0};
  both.reading.place = Place::several;
  CHECK(suspects(compare_sides({sound_recording()}, {both}), "through the elements"));

  ComparedRecording shaken = sound_recording();
  shaken.reading.levels.at(Indicator::velocity) = 0.006;
  const BeforeAfter cocked = compare_sides(
      {damaged_recording()}, {with_cause(shaken, OtherCause::misalignment_or_bent_shaft, 0.7)});
  CHECK(cocked.change == Change::new_problem);
  CHECK(suspects(cocked, "cocked"));
  // No level that it would raise has risen: the damage only hid it.
  const BeforeAfter hidden =
      compare_sides({damaged_recording()},
                    {with_cause(sound_recording(), OtherCause::misalignment_or_bent_shaft, 0.7)});
  CHECK(hidden.change == Change::cured);
  CHECK(has(hidden.headline, "; misalignment"));

  ComparedRecording dry = sound_recording();
  for (const Indicator i : {Indicator::floor, Indicator::high_band})
    dry.reading.levels.at(i) = 5 * *sound_recording().reading.levels.at(i);
  const BeforeAfter grease = compare_sides({sound_recording()}, {dry});
  CHECK(grease.change == Change::new_problem);
  CHECK(suspects(grease, "grease"));
  CHECK(suspects(grease, "preload"));
}

TEST_CASE("a cause that is new after the work says what was left loose, rubbing or out of place") {
  // Velocity and 1x have risen with it, the impacts have not.
  const auto with = [](OtherCause cause) {
    ComparedRecording after = with_cause(sound_recording(), cause, 0.8);
    after.reading.levels.at(Indicator::velocity) = 0.008;
    after.reading.levels.shaft[0] = 0.0075;
    ComparedRecording before = sound_recording();
    before.reading.levels.shaft[0] = 0.0015;
    return compare_sides({before}, {after});
  };
  struct Expected {
    OtherCause cause;
    const char* word;
  };
  for (const Expected e : {Expected{OtherCause::looseness, "a bolt not tightened"},
                           Expected{OtherCause::rubbing, "fan cover rubs"},
                           Expected{OtherCause::unbalance, "half key not refitted"},
                           Expected{OtherCause::misalignment_or_bent_shaft, "cocked"}}) {
    CAPTURE(e.word);
    const BeforeAfter r = with(e.cause);
    CHECK(r.change == Change::new_problem);
    REQUIRE_FALSE(r.suspicions.empty());
    CHECK(has(r.suspicions.front().what, e.word));
    CHECK(r.suspicions.front().why == "made up");
    CHECK_FALSE(r.suspicions.front().check.empty());
  }
  // What has no words of its own is named, with its remedy.
  const BeforeAfter bars = with(OtherCause::rotor_bars);
  REQUIRE(bars.suspicions.size() == 1);
  CHECK(bars.suspicions[0].what == token(OtherCause::rotor_bars));
  CHECK(bars.suspicions[0].check == remedy(OtherCause::rotor_bars));

  ComparedRecording dry = with_cause(sound_recording(), OtherCause::poor_lubrication, 0.8);
  for (const Indicator i : {Indicator::floor, Indicator::high_band})
    dry.reading.levels.at(i) = 5 * *sound_recording().reading.levels.at(i);
  const BeforeAfter grease = compare_sides({sound_recording()}, {dry});
  // The noise and the cause say the same: it is suspected once.
  CHECK(std::count_if(grease.suspicions.begin(), grease.suspicions.end(),
                      [](const Suspicion& s) { return has(s.what, "grease"); }) == 1);
}

TEST_CASE("words of the comparison are those that docs/json-schema.md lists") {
  const auto words = [](auto... values) {
    return std::vector<std::string>{std::string{token(values)}...};
  };
  using enum Change;
  CHECK(words(cured, improved, unchanged, no_change_seen, worse, new_problem, cannot_tell,
              not_comparable) == std::vector<std::string>{"cured", "improved", "unchanged",
                                                          "no change seen", "worse", "new problem",
                                                          "cannot tell", "not comparable"});
  using enum DifferenceKind;
  CHECK(words(speed, load, unit, sensor, fixing, range, rate, bandwidth, recording) ==
        std::vector<std::string>{"speed", "load", "unit", "sensor", "fixing of the sensor", "range",
                                 "rate", "bandwidth", "recording"});
  using enum FamilyFate;
  CHECK(words(absent, gone, reduced, still_there, grown, fresh) ==
        std::vector<std::string>{"not there", "gone", "reduced", "still there", "grown", "new"});
  CHECK(words(Bar::noted, Bar::allowed, Bar::levels, Bar::blocks) ==
        std::vector<std::string>{"noted", "allowed for", "levels not compared", "not comparable"});
  CHECK(words(ScatterSource::recordings, ScatterSource::pieces, ScatterSource::assumed) ==
        std::vector<std::string>{"several recordings a side", "pieces of single recordings",
                                 "assumed"});
}

TEST_CASE("what is only louder or quieter settles nothing [src:closed-form 3 sqrt(4.5 + 16) dB]") {
  // One recording a side: chance does 6.4 dB, with another bearing in it 13.6 dB.
  for (const double db : {6.5, -6.5, 13.5, -13.5}) {
    CAPTURE(db);
    const BeforeAfter r = compare_sides({sound_recording()}, {louder(sound_recording(), db)});
    CHECK(r.change == Change::cannot_tell);
    CHECK(has(r.headline, db > 0 ? "is louder" : "is quieter"));
    CHECK(has(r.advice.front(), "again on other days"));
    CHECK(std::any_of(r.reasons.begin(), r.reasons.end(), [](const std::string& reason) {
      return has(reason, "by 14 dB without any damage");
    }));
  }
  const auto after_work = [](double db) {
    return compare_sides({sound_recording()}, {louder(sound_recording(), db)}).change;
  };
  CHECK(after_work(13.7) == Change::new_problem);
  CHECK(after_work(-13.7) == Change::improved);
  // Several a side know their own scatter, and still not what the work did.
  const Side before(5, sound_recording());
  const auto several = [&](double db) {
    return compare_sides(before, Side(5, louder(sound_recording(), db))).change;
  };
  CHECK(several(3) == Change::no_change_seen);
  CHECK(several(12) == Change::cannot_tell);
  CHECK(several(-12) == Change::cannot_tell);
  CHECK(several(12.8) == Change::new_problem);
  CHECK(several(-12.8) == Change::improved);
  // Only above 1 kHz: that, too, is a level that moved.
  ComparedRecording hissing = sound_recording();
  for (const Indicator i : {Indicator::high_band, Indicator::envelope, Indicator::floor})
    *hissing.reading.levels.at(i) *= 2.5;
  const BeforeAfter hiss = compare_sides({sound_recording()}, {hissing});
  CHECK(hiss.change == Change::cannot_tell);
  CHECK(has(hiss.headline, "is louder"));
}

TEST_CASE("a new bearing that is louder than the damaged one is cured, and the noise is said") {
  ComparedRecording loud = louder(sound_recording(), 8);
  loud.reading.levels.at(Indicator::envelope) = 2.5;
  loud.reading.levels.at(Indicator::high_band) = 4.0;
  const BeforeAfter r = compare_sides({damaged_recording()}, {loud});
  CHECK(r.change == Change::cured);
  CHECK(std::any_of(r.reasons.begin(), r.reasons.end(),
                    [](const std::string& reason) { return has(reason, "without any damage"); }));
  CHECK(has(r.advice.front(), "rose, which the work alone can cause"));
  loud = louder(sound_recording(), 14);
  loud.reading.levels.at(Indicator::envelope) = 2.5;
  loud.reading.levels.at(Indicator::high_band) = 5.0;
  const BeforeAfter dry = compare_sides({damaged_recording()}, {loud});
  CHECK(dry.change == Change::new_problem);
  CHECK(suspects(dry, "grease"));
}

TEST_CASE("nothing seen is said with what would have shown") {
  ComparedRecording quiet = sound_recording();
  quiet.reading.parts[0].strength = 0.12;
  const BeforeAfter r = compare_sides({quiet}, {sound_recording()});
  CHECK(r.change == Change::no_change_seen);
  CHECK(has(r.headline, "No bearing damage found before or after"));
  REQUIRE(r.sensitivity.has_value());
  CHECK(r.sensitivity->strength == JudgementModel{}.even_strength);
  CHECK(r.sensitivity->before == 0.12);
  CHECK(r.sensitivity->after == 0.05);
  CHECK(close_abs(r.sensitivity->level_db, level(r, "velocity").chance_db, 1e-9));
  CHECK(std::any_of(r.reasons.begin(), r.reasons.end(), [](const std::string& reason) {
    return has(reason, "found: 12 % before, 5 % after") && has(reason, "more than 6.4 dB");
  }));
  CHECK(has(r.advice.front(), "look at the old bearing"));
  // A line of the shaft that moved stands in the table, so that it is explained.
  ComparedRecording twice = sound_recording();
  quiet.reading.levels.shaft[1] = 0.0001;
  twice.reading.levels.shaft[1] = 0.0004;
  const BeforeAfter lines = compare_sides({quiet}, {twice});
  CHECK(lines.change == Change::no_change_seen);
  CHECK(std::any_of(lines.reasons.begin(), lines.reasons.end(),
                    [](const std::string& reason) { return has(reason, "2x rose by 12 dB"); }));

  ComparedRecording open = sound_recording();
  open.reading.verdict = Verdict::indeterminate;
  const BeforeAfter doubt = compare_sides({open}, {open});
  CHECK(doubt.change == Change::no_change_seen);
  CHECK(has(doubt.headline, "not clear"));
  // Damage on a side was seen: there is nothing of that kind to say.
  CHECK_FALSE(compare_sides({damaged_recording()}, {damaged_recording()}).sensitivity.has_value());
  CHECK_FALSE(compare_sides({damaged_recording()}, {sound_recording()}).sensitivity.has_value());
}

TEST_CASE("rhythm and loudness too weak alone count where they agree") {
  ComparedRecording weak = louder(sound_recording(), 7);
  weak.reading.parts[0].strength = 0.15;
  const BeforeAfter less = compare_sides({weak}, {sound_recording()});
  CHECK(less.change == Change::improved);
  CHECK(has(less.headline, "also at the bearing's frequencies"));
  const BeforeAfter more = compare_sides({sound_recording()}, {weak});
  CHECK(more.change == Change::worse);
  CHECK(has(more.headline, "still too weak"));
  CHECK(has(more.advice.front(), "again within days"));

  const auto change = [](double strength_before, double strength_after, double db) {
    ComparedRecording b = louder(sound_recording(), db);
    ComparedRecording a = sound_recording();
    b.reading.parts[0].strength = strength_before;
    a.reading.parts[0].strength = strength_after;
    return compare_sides({b}, {a}).change;
  };
  CHECK(change(0.15, 0.05, 6) == Change::no_change_seen);  // the rhythm alone
  CHECK(change(0.15, 0.08, 7) == Change::cannot_tell);     // less than a factor of two
  CHECK(change(0.10, 0.04, 7) == Change::cannot_tell);     // as weak as healthy bearings show
  CHECK(change(0.15, 0.05, -7) == Change::cannot_tell);    // they disagree
  CHECK(change(0.05, 0.15, 7) == Change::cannot_tell);
}

TEST_CASE("sharp hits without a rhythm, through most of the recording") {
  const auto with_kurtosis = [](ComparedRecording c, const std::vector<double>& pieces) {
    for (const double k : pieces) {
      c.pieces.push_back(c.reading.levels);
      c.pieces.back().at(Indicator::kurtosis) = k;
    }
    return c;
  };
  const auto even = with_kurtosis(sound_recording(), {3, 3.1, 2.9, 3, 3, 3.2, 3, 3});
  const auto hit = with_kurtosis(sound_recording(), {9, 7, 20, 12, 8, 3, 11, 15});
  const BeforeAfter gone = compare_sides({hit}, {even});
  REQUIRE(gone.hits.has_value());
  CHECK(gone.hits->before == 8);  // three in four of 3 7 8 9 11 12 15 20
  CHECK(gone.hits->fate == FamilyFate::gone);
  CHECK(gone.change == Change::improved);
  CHECK(has(gone.headline, "sharp impacts from before are gone"));
  const BeforeAfter came = compare_sides({even}, {hit});
  CHECK(came.change == Change::new_problem);
  CHECK(has(came.headline, "Sharp impacts are new"));
  CHECK(suspects(came, "loose, rubbing or knocking"));
  CHECK(suspects(came, "rolling element"));
  CHECK(compare_sides({hit}, {hit}).change == Change::no_change_seen);
  // The damage gone, and hits that came with the work.
  CHECK(has(compare_sides({with_kurtosis(damaged_recording(), {3, 3, 3, 3})}, {hit}).headline,
            "is gone, but sharp impacts"));

  // Knocks in a quarter of the pieces, of four in two of them, however hard.
  const auto twice = with_kurtosis(sound_recording(), {90, 3, 90, 3});
  CHECK(compare_sides({even}, {twice}).change == Change::no_change_seen);
  const auto knock = with_kurtosis(sound_recording(), {3, 3, 90, 3, 3, 3, 3, 3});
  CHECK(compare_sides({even}, {knock}).change == Change::no_change_seen);
  // A kurtosis that stays below twice that of even noise, or grows by less than a factor of two.
  const auto lively = with_kurtosis(sound_recording(), {5.9, 5.9, 5.9, 5.9});
  const auto smooth = with_kurtosis(sound_recording(), {1.6, 1.6, 1.6, 1.6});
  CHECK(compare_sides({smooth}, {lively}).change == Change::no_change_seen);
  const auto harder = with_kurtosis(sound_recording(), {11, 11, 11, 11});
  CHECK(compare_sides({lively}, {harder}).change == Change::no_change_seen);

  // Out of a history the recordings have no pieces: a knock may be in each of two, hardly in all of
  // three.
  ComparedRecording reading = sound_recording();
  ComparedRecording rough = sound_recording();
  rough.reading.levels.at(Indicator::kurtosis) = 9;
  CHECK_FALSE(compare_sides({reading, reading}, {rough, rough}).hits.has_value());
  const BeforeAfter three = compare_sides({reading, reading, reading}, {rough, rough, rough});
  REQUIRE(three.hits.has_value());
  CHECK(compare_sides({reading, reading, reading}, {rough, reading, rough}).hits->fate ==
        FamilyFate::absent);
  CHECK(three.hits->fate == FamilyFate::fresh);
}

TEST_CASE("a recording that cannot tell, and a level alone") {
  ComparedRecording open = sound_recording();
  open.reading.verdict = Verdict::indeterminate;
  open.reading.place = Place::cannot_tell;
  // Damage is called after it, but whether it grew only a level could say.
  ComparedRecording loud = damaged_recording();
  const auto change = [&](double high_band) {
    loud.reading.levels.at(Indicator::high_band) = high_band;
    loud.reading.levels.at(Indicator::envelope) = high_band / 2;
    return compare_sides({open}, {loud}).change;
  };
  CHECK(change(4) == Change::cannot_tell);
  CHECK(change(5) == Change::worse);
}

TEST_CASE("around an event of the history") {
  PointHistory history;
  history.at = {"saw", "DE"};
  for (int day = 0; day < 12; ++day) history.readings.push_back(test::made_reading(day));
  history.events.push_back({EventKind::bearing_replaced, test::day(3), "", "6205", {}});
  history.events.push_back({EventKind::greased, test::day(8), "", "", {}});
  history.events.push_back({EventKind::note, test::day(9), "", "", {}});

  // The replacement is meant, not the later greasing, which ends the side after it.
  const auto sides = sides_of_event(history);
  REQUIRE(sides.has_value());
  CHECK(sides->first.size() == 3);
  REQUIRE(sides->second.size() == 5);
  CHECK(sides->second.front().reading.taken == test::day(3));

  const auto greased = sides_of_event(history, test::day(8) + std::chrono::hours{7});
  REQUIRE(greased.has_value());
  CHECK(greased->first.size() == 5);
  CHECK(greased->first.front().reading.taken == test::day(3));
  CHECK(greased->second.size() == 4);
  CHECK(event_meant(history)->kind == EventKind::bearing_replaced);
  CHECK(options_around(*event_meant(history)).rebuilding_db > 0);
  // Greasing leaves the machine closed.
  CHECK(options_around(*event_meant(history, test::day(8))).rebuilding_db == 0);

  // The run at no load after the work, and one at another speed, are not compared with the rest.
  PointHistory mixed = history;
  for (Reading& r : mixed.readings) r.load_percent = 80;
  mixed.readings[3].load_percent = 0;
  mixed.readings[4].speed = Rpm{0.5 * mixed.readings[5].speed->value()};
  const auto loaded = sides_of_event(mixed);
  REQUIRE(loaded.has_value());
  CHECK(loaded->first.size() == 3);
  CHECK(loaded->second.size() == 3);
  CHECK(loaded->second.front().reading.taken == test::day(5));
  CHECK(compare_sides(loaded->first, loaded->second).change != Change::not_comparable);
  // Only runs at no load on one side: the comparison says so.
  for (Reading& r : mixed.readings)
    if (r.taken >= test::day(3)) r.load_percent = 0;
  const auto unlike = sides_of_event(mixed);
  CHECK(compare_sides(unlike->first, unlike->second).change == Change::not_comparable);

  const auto never = sides_of_event(history, test::day(5));
  REQUIRE_FALSE(never.has_value());
  CHECK(has(never.error().message(), "2026-03-05 bearing replaced"));
  history.events.clear();
  CHECK(has(sides_of_event(history).error().message(), "no work on it is noted"));
  history.events.push_back({EventKind::bearing_replaced, test::day(30), "", "", {}});
  CHECK(has(sides_of_event(history).error().message(), "no reading since"));
}

TEST_CASE("levels of unlike or unknown units are not compared, the lines are") {
  const auto in = [](ComparedRecording c, SampleUnit unit) {
    c.reading.levels.unit = unit;
    if (unit == SampleUnit::uncalibrated) c.reading.levels.at(Indicator::velocity).reset();
    return c;
  };
  const SampleUnit none = SampleUnit::uncalibrated;
  const ComparedRecording healthy = sound_recording();
  // One signal as fractions of full scale and in its unit, both without a word of it: 20 dB of
  // scale are no change of the machine.
  for (const auto& [b, a] : {std::pair{in(healthy, none), in(louder(healthy, 20), none)},
                             std::pair{in(healthy, none), louder(healthy, 20)},
                             std::pair{louder(healthy, 20), in(healthy, SampleUnit::velocity)}}) {
    const BeforeAfter r = compare_sides({b}, {a});
    CHECK(r.change == Change::no_change_seen);
    CHECK(has(r.headline, "the levels cannot be compared"));
    // 20 mm/s is zone D of every class, whatever was before.
    const bool loud = a.reading.levels.unit == SampleUnit::acceleration;
    CHECK(follow_up(r) == (loud ? FollowUp::something : FollowUp::nothing));
    REQUIRE(r.differences.size() == 1);
    CHECK(r.differences.front().kind == DifferenceKind::unit);
    CHECK(r.differences.front().bar == Bar::levels);
    // Ratios mean the same in any unit.
    REQUIRE(r.levels.size() == 2);
    CHECK(level(r, "kurtosis").change_db == 0);
    CHECK_FALSE(has(r.sensitivity ? r.reasons.back() : "", "0.0 dB"));
  }
  const ComparedRecording damaged = in(damaged_recording(), none);
  CHECK(compare_sides({damaged}, {in(healthy, none)}).change == Change::cured);
  CHECK(compare_sides({in(healthy, none)}, {damaged}).change == Change::new_problem);
  const BeforeAfter still = compare_sides({damaged}, {louder(damaged, 20)});
  CHECK(still.change == Change::unchanged);
  CHECK(has(still.headline, "not clear whether it grew"));
  ComparedRecording weaker = damaged;
  weaker.reading.parts[0].strength = 0.5;
  CHECK(compare_sides({damaged}, {weaker}).change == Change::improved);
  CHECK(compare_sides({weaker}, {damaged}).change == Change::worse);
  // Volts are one unit, if sensor and gain were the same.
  const BeforeAfter volts =
      compare_sides({in(damaged_recording(), SampleUnit::volt)}, {in(healthy, SampleUnit::volt)});
  CHECK(volts.differences.front().bar == Bar::noted);
  CHECK(volts.levels.size() > 2);
}

TEST_CASE("one recording on both sides says nothing") {
  ComparedRecording b = sound_recording();
  ComparedRecording a = sound_recording();
  b.same_as = "sound.wav";
  CHECK(refused_for(compare_sides({b}, {a}), DifferenceKind::recording));
  CHECK(has(compare_sides({b}, {a}).headline, "hold the same samples"));
  b.same_as.clear();
  b.reading.hash = a.reading.hash = "4711";
  CHECK(refused_for(compare_sides({b}, {a}), DifferenceKind::recording));
  a.reading.hash = "4712";
  CHECK(compare_sides({b}, {a}).change == Change::no_change_seen);
}

TEST_CASE("readings that grow before the work are a trend, not scatter [src:closed-form]") {
  const auto at_day = [](ComparedRecording c, int day) {
    c.reading.taken = test::day(day);
    return c;
  };
  // 0 to 14 dB over five readings, and back at 0 after the work.
  Side before;
  Side after;
  for (int i = 0; i < 5; ++i) before.push_back(at_day(louder(sound_recording(), 3.5 * i), 7 * i));
  for (int i = 5; i < 8; ++i) after.push_back(at_day(sound_recording(), 7 * i));
  const BeforeAfter r = compare_sides(before, after);
  const LevelChange& high = level(r, "high band");
  CHECK(close_abs(high.before_drift_db, 14, 1e-9));
  CHECK(high.after_drift_db == 0);
  CHECK(close_abs(high.change_db, -14, 1e-9));
  // Four of the usual 1.5 dB, no residual: 9 / (4 + 3 + 2) on 1/5 + 14^2/490 and 1/3, 1 dB for the
  // sensor.
  CHECK(close_abs(high.scatter_db, std::sqrt(1.0 * (0.2 + 0.2 * 2 + 1.0 / 3) + 1), 1e-9));
  CHECK(high.fell());
  CHECK(has(r.reasons.back() + r.reasons[r.reasons.size() - 2], "rose steadily by 14 dB"));
  // In no order they scatter: the mean counts.
  std::swap(before[0].reading.levels, before[4].reading.levels);
  std::swap(before[1].reading.levels, before[2].reading.levels);
  std::swap(before[3].reading.levels, before[0].reading.levels);
  const BeforeAfter mixed = compare_sides(before, after);
  CHECK(level(mixed, "high band").before_drift_db == 0);
  CHECK(close_abs(level(mixed, "high band").change_db, -7, 1e-9));
}

TEST_CASE("of readings that grow, the latest say how it was before the work") {
  const auto at_day = [](ComparedRecording c, int day) {
    c.reading.taken = test::day(day);
    return c;
  };
  Side before;
  for (int i = 0; i < 5; ++i)
    before.push_back(at_day(
        louder(i < 3 ? sound_recording() : damaged_recording(), i < 3 ? 3 * i : 2.0), 7 * i));
  const BeforeAfter r = compare_sides(before, {at_day(sound_recording(), 40)});
  CHECK(r.before.verdict == Verdict::fault);
  CHECK(r.before.recordings == 5);
  CHECK(r.change == Change::cured);
}

TEST_CASE("what follows from a comparison is its exit code") {
  const ComparedRecording healthy = sound_recording();
  const ComparedRecording damaged = damaged_recording();
  CHECK(follow_up(compare_sides({damaged}, {healthy})) == FollowUp::nothing);
  CHECK(follow_up(compare_sides({healthy}, {damaged})) == FollowUp::something);
  CHECK(follow_up(compare_sides({damaged}, {damaged})) == FollowUp::something);
  // The bearing is cured, the unbalance is still to be corrected.
  const auto unbalanced = [](const ComparedRecording& c) {
    return with_cause(c, OtherCause::unbalance, 0.8);
  };
  CHECK(follow_up(compare_sides({unbalanced(damaged)}, {unbalanced(healthy)})) ==
        FollowUp::nothing);
  const BeforeAfter left =
      compare_sides({unbalanced(damaged)}, {unbalanced(healthy)}, of_a_small_motor());
  CHECK(left.change == Change::cured);
  CHECK(follow_up(left) == FollowUp::something);
  REQUIRE(left.present);
  CHECK(left.present->zone == Zone::c);
  ComparedRecording open = healthy;
  open.reading.verdict = Verdict::indeterminate;
  CHECK(follow_up(compare_sides({damaged}, {open})) == FollowUp::cannot_tell);
  ComparedRecording fast = healthy;
  fast.reading.speed = Rpm{2900};
  CHECK(follow_up(compare_sides({damaged}, {fast})) == FollowUp::cannot_tell);
}

TEST_CASE("a set of components is named on both sides") {
  ComparedRecording either = damaged_recording();
  either.reading.place = Place::unclear;
  either.reading.place_set = {Part::rolling_element, Part::cage};
  ComparedRecording turned = either;
  turned.reading.place_set = {Part::cage, Part::rolling_element};
  const BeforeAfter r = compare_sides({either, turned}, {sound_recording()});
  CHECK(r.before.place == Place::unclear);
  CHECK(r.before.place_set == either.reading.place_set);
  CHECK(has(r.headline, "The damage to a rolling element or the cage is gone"));
}
