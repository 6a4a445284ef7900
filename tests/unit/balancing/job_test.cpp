#include "bearingdsp/balancing/job.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

const std::string fan = R"(
machine = "dust fan"
rotor_kg = 60
rpm = 1480
grade = 6.3
repeatability_percent = 1
plane = [{ name = "impeller", radius_mm = 140, positions = 8, blocked = "3" }]
sensors = ["DE horizontal"]
[[run]]
name = "as found"
vibration = "6.0@40"
[[run]]
name = "trial"
weight = "20@0"
vibration = "4.5@110"
)";

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  return text.replace(text.find(what), what.size(), by);
}

}  // namespace

TEST_CASE("balance job: amplitude and angle as they are written") {
  const auto v = parse_polar(" 6.0 @ 40 ").value();
  CHECK(close_rel(std::abs(v), 6, 1e-12));
  CHECK(close_abs(angle_of(v).value(), 40, 1e-9));
  CHECK(parse_polar("0").value() == std::complex<double>{});
  for (const char* wrong : {"", "6.0", "6@", "@40", "6,5@40", "6@40x", "nan@1", "6@inf"})
    CHECK_FALSE(parse_polar(wrong));
  CHECK(close_abs(parse_amplitude("3.34@240")->angle.value(), 240, 1e-9));
  const auto run = parse_run("6@40,3@10:20@0,0").value();
  CHECK(run.at.front().vibration.size() == 2);
  CHECK(run.weights.size() == 2);
  CHECK_FALSE(parse_run("6@40:20"));
}

TEST_CASE("balance job: a file is solved, split onto its blades and compared with its grade") {
  const auto job = parse_balance_job(fan, "fan.toml").value();
  const auto r = solve(job).value();
  REQUIRE(r.answer.usable());
  // The worked example of influence_test.cpp: 19.5 g at 43.5 degrees, positions at 0, 45, 90.
  CHECK(close_rel(r.answer.planes[0].weight.mass.value(), 19.5, 3e-3));
  REQUIRE(r.splits[0]);
  CHECK(r.splits[0]->parts.front().position == 1);
  CHECK(r.splits[0]->parts.back().position == 2);
  CHECK(std::abs(r.predicted[0].after) < 1e-9);
  REQUIRE(r.unbalance.permissible);
  CHECK(close_rel(r.unbalance.permissible->value(), 4878.0 / 2, 3e-4));
  CHECK(close_rel(r.unbalance.planes[0].found.value(), 19.52 * 140, 1e-3));
  CHECK(r.unbalance.met.has_value());
  CHECK(row_name(r.job, 0) == "DE horizontal");
}

TEST_CASE("balance job: what is missing for a grade is said, not guessed") {
  const auto no_radius = parse_balance_job(replaced(fan, "radius_mm = 140, ", ""), "f").value();
  CHECK(solve(no_radius)->unbalance.why_not.find("radius_mm") != std::string::npos);
  const auto no_mass = parse_balance_job(replaced(fan, "rotor_kg = 60", ""), "f").value();
  const auto r = solve(no_mass).value();
  CHECK_FALSE(r.unbalance.permissible);
  CHECK(r.unbalance.planes.size() == 1);
}

TEST_CASE("balance job: two speeds are rows of their own") {
  const auto job = parse_balance_job(R"(
sensors = ["DE"]
[[run]]
name = "as found"
at = [{ rpm = 900, vibration = "2@40" }, { rpm = 1480, vibration = "6@60" }]
[[run]]
name = "trial"
weight = "20@0"
at = [{ rpm = 905, vibration = "1.5@110" }, { rpm = 1481, vibration = "4.5@120" }]
)",
                                     "f")
                       .value();
  const auto r = solve(job).value();
  CHECK(r.answer.rows.size() == 2);
  CHECK(row_name(job, 0) == "DE, 900 rpm");
  CHECK(row_name(job, 1) == "DE, 1480 rpm");
}

TEST_CASE("balance job: faults of a file are named with their line") {
  const auto error = [](const std::string& text) {
    const auto job = parse_balance_job(text, "fan.toml");
    REQUIRE_FALSE(job);
    return job.error().message();
  };
  CHECK(error(replaced(fan, "6.0@40", "6.0")).find("fan.toml:") == 0);
  CHECK(error(replaced(fan, "20@0", "20@0, 5@0")).find("2 weights for 1 planes") !=
        std::string::npos);
  CHECK(error(replaced(fan, "4.5@110", "4.5@110, 1@2")).find("2 vibration vectors for 1 sensors") !=
        std::string::npos);
  CHECK(error(replaced(fan, "rotor_kg", "rotor_mass")).find("rotor_mass") != std::string::npos);
  CHECK(error(replaced(fan, "blocked = \"3\"", "blocked = \"9\"")).find("blocked") !=
        std::string::npos);
  CHECK(error("rpm = 1480\n").find("no runs") != std::string::npos);
  CHECK(error(replaced(fan, "vibration = \"6.0@40\"", "")).find("no vibration") !=
        std::string::npos);
}

TEST_CASE("balance job: recordings of a simulated rotor give its unbalance back") {
  // Acceleration at 1x in proportion to the unbalance: 0.05 m/s2 per gram, lag 120 degrees.
  const auto recorded = [](std::complex<double> grams, std::uint64_t seed) {
    const auto a = 0.05 * grams * polar_vector(1, Degrees{120});
    SimulationPlan plan;
    plan.seed = seed;
    plan.duration = Seconds{10};
    plan.rate = Hz{8192};
    plan.noise = 0.3;
    plan.shaft_harmonics = {std::abs(a)};
    // The simulator counts a phase forward from the mark.
    plan.shaft_phases = {-angle_of(a).value()};
    plan.tacho_pulses = 1;
    return simulate(plan)->capture;
  };
  BalanceJob job = parse_balance_job(R"(
[[run]]
recording = "a.wav"
[[run]]
weight = "30@90"
recording = "b.wav"
)",
                                     "f")
                       .value();
  CHECK_FALSE(solve(job));  // not read yet
  const auto unbalance = polar_vector(50, Degrees{200});
  REQUIRE(take_recording(job, job.runs[0].at[0], recorded(unbalance, 1)));
  REQUIRE(take_recording(job, job.runs[1].at[0],
                         recorded(unbalance + polar_vector(30, Degrees{90}), 2)));
  CHECK(job.unit == "mm/s rms");
  CHECK(job.sensors == std::vector<std::string>{"acceleration"});
  const auto r = solve(job).value();
  REQUIRE(r.answer.usable());
  CHECK(close_rel(r.answer.planes[0].weight.mass.value(), 50, 0.01));
  CHECK(close_abs(r.answer.planes[0].weight.angle.value(), 20, 0.5));
  CHECK(r.answer.planes[0].mass_uncertainty.value() > 0.2);
}

TEST_CASE("balance plan: tolerance and trial weight together") {
  BalancePlanInput in;
  CHECK_FALSE(plan_balance(in));
  in.rotor = Kilograms{120};
  in.speed = Rpm{1480};
  in.grade = BalanceGrade{2.5};
  CHECK_FALSE(plan_balance(in)->trial);
  in.radius = Millimetres{140};
  in.planes = 2;
  const auto p = plan_balance(in).value();
  // Workshop references row 5.6, derived: 1936 g mm, 968 each, 6.9 g at 140 mm.
  CHECK(close_rel(p.permissible.value(), 1936, 3e-4));
  CHECK(close_rel(p.bearings.a.value(), 968, 3e-4));
  CHECK(close_rel(p.permissible_at_radius->value(), 6.9, 3e-3));
  CHECK(close_rel(p.force.value(), 46.5, 1e-3));
  CHECK(p.trial->high.value() > p.permissible_at_radius->value());
}
