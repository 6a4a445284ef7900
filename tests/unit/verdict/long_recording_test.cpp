// A long recording's verdict is that of its pieces together.
#include "bearingdsp/verdict/long_recording.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/capture/write.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;
using test::close_rel;

namespace {

using P = std::vector<double>;

/// Pieces of noise whose diagnoses are written down beforehand.
class Written final : public PieceReader {
 public:
  explicit Written(std::size_t pieces) : left_{pieces}, all_{pieces} {}
  [[nodiscard]] std::uint64_t expected() const noexcept override { return all_ * 4096; }
  [[nodiscard]] std::size_t channels() const noexcept override { return 1; }
  [[nodiscard]] std::optional<Hz> rate() const noexcept override { return Hz{4096}; }
  Result<std::optional<Capture>> next(std::size_t samples) override {
    if (left_ == 0) return std::optional<Capture>{};
    --left_;
    Capture c;
    c.source = "written";
    c.rate = Hz{4096};
    c.channels.push_back({"x", SampleUnit::acceleration, {}, {}});
    for (std::size_t i = 0; i < samples; ++i)
      c.channels[0].samples.push_back(std::sin(static_cast<double>(i * i % 1009)));
    return std::optional<Capture>{std::move(c)};
  }

 private:
  std::size_t left_, all_;
};

struct Said {
  Verdict verdict;
  Place place;
  double damage;
};
constexpr Said fine{Verdict::no_fault, Place::none, 0.2};
constexpr Said open{Verdict::indeterminate, Place::cannot_tell, 0.5};
Said outer(double damage) { return {Verdict::fault, Place::outer_ring, damage}; }

Result<LongDiagnosis> decided(const std::vector<Said>& said) {
  Written reader{said.size()};
  FftPlans plans;
  std::size_t next = 0;
  LongOptions options;
  options.max_piece = 4096;
  return diagnose_long(
      reader, plans,
      [&](const Capture&) -> Result<Diagnosis> {
        const Said& s = said.at(next++);
        Diagnosis d;
        d.verdict = s.verdict;
        d.place = s.place;
        d.probability_of_damage = s.damage;
        d.probability_of_place = s.verdict == Verdict::fault ? s.damage : 0;
        d.headline = "piece " + std::to_string(next);
        d.advice = {"advice"};
        d.figures.emplace_back().channel = "x";
        return d;
      },
      options);
}

std::vector<Said> of(std::size_t n, Said most, std::vector<Said> others) {
  others.resize(n, most);
  return others;
}

}  // namespace

TEST_CASE("combined damage: pieces that agree say what each says [src:simes1986, from memory]") {
  CHECK(combined_damage(P{}) == 0.5);
  CHECK(close_rel(combined_damage(P{0.7}), 0.7, 1e-12));
  CHECK(close_rel(combined_damage(P(8, 0.9)), 0.9, 1e-12));
  // Odds of one of four: 9 / 4. Closed form.
  CHECK(close_rel(combined_damage(P{0.01, 0.01, 0.9, 0.01}), (9.0 / 4) / (1 + 9.0 / 4), 1e-12));
  // Two of four: odds 9 * 2 / 4.
  CHECK(close_rel(combined_damage(P{0.9, 0.01, 0.9, 0.01}), 4.5 / 5.5, 1e-12));
  CHECK(combined_damage(P{1.0, 0.0}) > 0.999999);
  CHECK(combined_damage(P{0.0, 0.0}) == 0);
}

TEST_CASE("combined damage: more in any piece never makes it less, another order changes nothing") {
  P p{0.3, 0.1, 0.62, 0.2, 0.97};
  const double before = combined_damage(p);
  for (double& x : p) {
    const double kept = x;
    x = std::min(1.0, x + 0.2);
    CHECK(combined_damage(p) >= before);
    x = kept;
  }
  std::reverse(p.begin(), p.end());
  CHECK(combined_damage(p) == before);
}

TEST_CASE("long recording: all pieces damaged is as sure as each") {
  const auto d = decided(of(8, outer(0.9), {}));
  REQUIRE(d);
  CHECK(d->diagnosis.verdict == Verdict::fault);
  CHECK(d->diagnosis.place == Place::outer_ring);
  CHECK(close_rel(d->diagnosis.probability_of_damage, 0.9, 1e-9));
  CHECK(d->diagnosis.headline == "Outer ring of the bearing damaged (90 %).");
  CHECK(d->diagnosis.duration == Seconds{8});
}

TEST_CASE("long recording: one piece that is evidence for damage rules out no fault") {
  // Odds 1.86 of one in eight: no fault call, and no reassurance.
  const auto weak = decided(of(8, fine, {outer(0.65)}));
  REQUIRE(weak);
  CHECK(weak->diagnosis.verdict == Verdict::indeterminate);
  CHECK(weak->diagnosis.headline.find("1 of 8 pieces") != std::string::npos);
  CHECK(weak->diagnosis.headline.find("0 s to 1 s") != std::string::npos);
  CHECK(weak->diagnosis.probability_of_damage < 0.6);
  CHECK(weak->diagnosis.advice.size() == 1);
  // Eight times clearer than the limit: a fault, less sure than the piece.
  const auto clear = decided(of(8, fine, {fine, outer(0.99)}));
  REQUIRE(clear);
  CHECK(clear->diagnosis.verdict == Verdict::fault);
  CHECK(clear->diagnosis.probability_of_damage < 0.95);
  CHECK(clear->diagnosis.probability_of_damage > 0.9);
}

TEST_CASE("long recording: no fault needs half of the pieces") {
  CHECK(decided(of(8, fine, {}))->diagnosis.verdict == Verdict::no_fault);
  CHECK(decided(of(8, fine, {open, open, open, open}))->diagnosis.verdict == Verdict::no_fault);
  const auto open_ones = decided(of(8, open, {fine, fine, fine}));
  CHECK(open_ones->diagnosis.verdict == Verdict::indeterminate);
  CHECK(open_ones->diagnosis.reasons.back().starts_with("3 of 8 pieces"));
}

TEST_CASE("long recording: pieces that name different components leave it unclear") {
  const Said inner{Verdict::fault, Place::inner_ring, 0.9};
  const auto d = decided(of(8, outer(0.9), {inner, inner, inner, inner}));
  REQUIRE(d);
  CHECK(d->diagnosis.verdict == Verdict::fault);
  CHECK(d->diagnosis.place == Place::unclear);
  // Seven of eight: named, less sure.
  const auto most = decided(of(8, outer(0.9), {inner}));
  CHECK(most->diagnosis.place == Place::outer_ring);
  CHECK(close_rel(most->diagnosis.probability_of_place, 0.9 * 7 / 8, 1e-9));
}

TEST_CASE("long recording: what was demodulated is said, and spread over all of it") {
  Written reader{64};
  FftPlans plans;
  LongOptions options;
  options.max_piece = 4096;
  options.max_demodulated = 8 * 4096;
  int diagnosed = 0;
  const auto d = diagnose_long(
      reader, plans,
      [&](const Capture&) -> Result<Diagnosis> {
        ++diagnosed;
        Diagnosis one;
        one.verdict = Verdict::no_fault;
        one.probability_of_damage = 0.2;
        one.speed.method = SpeedMethod::given;
        one.speed.rate = Hz{24 + 0.1 * diagnosed};
        return one;
      },
      options);
  REQUIRE(d);
  CHECK(diagnosed == 8);
  const auto& findings = d->diagnosis.findings;
  const auto said = std::find_if(findings.begin(), findings.end(), [](const Finding& f) {
    return f.kind == FindingKind::long_recording;
  });
  REQUIRE(said != findings.end());
  CHECK(said->what ==
        "1.1 min long: 8.0 s of it (12.5 %) in 8 pieces spread over it were demodulated: 8 for no "
        "fault; shaft speed 1446.0 to 1488.0 rpm");
}

TEST_CASE("long recording: simulated, in pieces as whole [src:own simulator, known truth]") {
  SimulationPlan plan;
  plan.rate = Hz{20480};
  plan.duration = Seconds{32};
  plan.speed = Rpm{1480};
  plan.shaft_harmonics = {0.5, 0.2};
  plan.orders = defect_orders({9, 7.94, 39.04, Degrees{0}}).value();
  const test::Scratch scratch;
  DiagnoseOptions options;
  options.bearings = {*plan.orders};
  options.speed = plan.speed;
  FftPlans plans;
  const auto long_verdict = [&] {
    const Capture c = simulate(plan).value().capture;
    REQUIRE(write_wav(c, scratch.path("a.wav")));
    auto reader = open_pieces(scratch.path("a.wav"), {.units = {"m/s2"}});
    REQUIRE(reader);
    double least = 1;
    auto d = diagnose_long(**reader, plans,
                           [&](const Capture& piece) {
                             auto one = diagnose(piece, plans, options);
                             if (one) least = std::min(least, one->probability_of_damage);
                             return one;
                           },
                           {.max_piece = std::uint64_t{1} << 17U});
    REQUIRE(d);
    // Never less than what every piece says.
    CHECK(d->diagnosis.probability_of_damage >= least * (1 - 1e-9));
    CHECK(d->diagnosis.duration == Seconds{32});
    CHECK(close_rel(d->diagnosis.figures.at(0).rms, diagnose(c, plans, options)->figures.at(0).rms,
                    1e-5));
    CHECK(close_rel(*d->diagnosis.figures.at(0).velocity_rms,
                    *diagnose(c, plans, options)->figures.at(0).velocity_rms, 0.03));
    return d->diagnosis;
  };
  CHECK(long_verdict().verdict == Verdict::no_fault);
  SimulatedDefect defect;
  defect.severity = 8;
  plan.defects = {defect};
  const Diagnosis damaged = long_verdict();
  CHECK(damaged.verdict == Verdict::fault);
  CHECK(damaged.place == Place::outer_ring);
}
