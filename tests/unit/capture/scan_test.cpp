// What the pieces say together is what the whole says.
#include "bearingdsp/capture/scan.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "bearingdsp/capture/write.hpp"
#include "bearingdsp/report/recording_levels.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;
using test::close_rel;

namespace {

const Finding* find(const Findings& findings, FindingKind kind) {
  const auto at = std::find_if(findings.begin(), findings.end(),
                               [&](const Finding& f) { return f.kind == kind; });
  return at == findings.end() ? nullptr : &*at;
}

Findings one(FindingKind kind, Weight weight, const std::string& what = "seen") {
  return {{kind, weight, "x", what, "bad", "fix it"}};
}

}  // namespace

TEST_CASE("scan: levels of all pieces are those of the whole") {
  SimulationPlan plan;
  plan.duration = Seconds{200};
  plan.rate = Hz{25600};
  const Simulation s = simulate(plan).value();
  const test::Scratch scratch;
  REQUIRE(write_wav(s.capture, scratch.path("a.wav")));
  auto reader = open_pieces(scratch.path("a.wav"), {.units = {"m/s2"}});
  REQUIRE(reader);
  FftPlans plans;
  const auto all = scan(**reader, plans);
  REQUIRE(all);
  CHECK(all->pieces == 2);
  CHECK(all->samples == 5120000);
  CHECK(all->duration() == Seconds{200});
  const SignalLevels whole = signal_levels(s.capture.channels[0].samples);
  const SignalLevels pieces = recording_levels(*all).channels.at(0).levels;
  // Samples are stored in single precision: 6e-8 of a sample.
  CHECK(close_rel(pieces.rms, whole.rms, 1e-6));
  CHECK(close_rel(pieces.peak, whole.peak, 1e-6));
  CHECK(close_rel(pieces.crest_factor, whole.crest_factor, 1e-6));
  CHECK(all->channels[0].unit == SampleUnit::acceleration);
}

TEST_CASE("scan: a piece that cannot be used does not spoil the whole, half of them do") {
  PieceFindings most;
  const Seconds long_one{10};
  most.add(one(FindingKind::stuck, Weight::blocking), Seconds{0}, long_one);
  most.add({}, Seconds{10}, long_one);
  most.add({}, Seconds{20}, long_one);
  const Findings merged = most.merged();
  REQUIRE(merged.size() == 1);
  CHECK(merged[0].weight == Weight::caution);
  CHECK(merged[0].what == "in 1 of 3 pieces, here from 0 s to 10 s: seen");

  PieceFindings half;
  half.add(one(FindingKind::stuck, Weight::blocking), Seconds{0}, long_one);
  half.add({}, Seconds{10}, long_one);
  CHECK(half.merged().at(0).weight == Weight::blocking);
}

TEST_CASE("scan: each kind is said once, of the worst piece") {
  PieceFindings all;
  all.add(one(FindingKind::clipped, Weight::note, "little"), Seconds{0}, Seconds{5});
  all.add(one(FindingKind::clipped, Weight::caution, "much"), Seconds{5}, Seconds{5});
  all.add(one(FindingKind::clipped, Weight::note, "little"), Seconds{10}, Seconds{5});
  all.add(one(FindingKind::truncated, Weight::caution, "cut"), Seconds{15}, Seconds{5});
  const Findings merged = all.merged();
  REQUIRE(merged.size() == 2);
  CHECK(merged[0].what == "in 3 of 4 pieces, here from 5 s to 10 s: much");
  CHECK(merged[1].what == "cut");  // of the file, not of a piece
}

TEST_CASE("scan: other channels within a recording, and pieces that cannot be read, are reported") {
  Capture a;
  a.source = "a.csv";
  a.rate = Hz{1000};
  a.channels.push_back({"x", SampleUnit::acceleration, std::vector<double>(100, 1.0), {}});
  Capture b = a;
  b.channels[0].name = "y";
  RecordingScan all;
  REQUIRE(all.add(a, {}));
  const auto other = all.add(b, {});
  REQUIRE_FALSE(other);
  CHECK(other.error().code == Errc::corrupt_file);
  all.add_failed(other.error());
  b = a;
  b.rate = Hz{2000};
  REQUIRE(all.add(b, {}));
  const Findings findings = all.all_findings();
  REQUIRE(find(findings, FindingKind::repaired) != nullptr);
  CHECK(find(findings, FindingKind::repaired)->what.starts_with("1 of 3 pieces"));
  CHECK(find(findings, FindingKind::header_mismatch) != nullptr);
}
