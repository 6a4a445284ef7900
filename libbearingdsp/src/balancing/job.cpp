#include "bearingdsp/balancing/job.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace bearingdsp {
namespace {

/// The job's runs as balance() takes them: rows speed by speed.
Result<std::vector<BalanceRun>> runs_of(const BalanceJob& job) {
  std::vector<BalanceRun> out;
  for (const BalanceJobRun& run : job.runs) {
    BalanceRun r;
    r.name = run.name;
    r.weights = run.weights;
    const bool with_scatter = std::all_of(run.at.begin(), run.at.end(), [](const RunAtSpeed& at) {
      return at.scatter.size() == at.vibration.size();
    });
    const bool with_speed = std::all_of(run.at.begin(), run.at.end(),
                                        [](const RunAtSpeed& at) { return at.speed.has_value(); });
    for (const RunAtSpeed& at : run.at) {
      if (at.vibration.empty())
        return Error{Errc::missing_metadata, fmt::format("run '{}'", run.name),
                     "its recording was not read", "read it first"};
      r.vibration.insert(r.vibration.end(), at.vibration.begin(), at.vibration.end());
      if (with_scatter) r.scatter.insert(r.scatter.end(), at.scatter.begin(), at.scatter.end());
      if (with_speed) r.speed.insert(r.speed.end(), at.vibration.size(), *at.speed);
    }
    out.push_back(std::move(r));
  }
  return out;
}

Result<void> split_weights(BalanceResult& result) {
  const BalanceJob& job = result.job;
  for (std::size_t p = 0; p < result.answer.planes.size(); ++p) {
    const BalanceWeight& weight = result.answer.planes[p].weight;
    result.splits.emplace_back();
    result.mounted.push_back(weight);
    if (const auto& positions = job.planes.at(p).positions) {
      auto split = split_weight(weight, *positions, job.step);
      if (!split) return split.error();
      result.mounted.back() = split->mounted;
      result.splits.back() = std::move(*split);
    } else if (job.step > Grams{0}) {
      const double pieces = std::round(weight.mass / job.step);
      result.mounted.back().mass = pieces * job.step;
    }
  }
  return {};
}

UnbalanceJudgement judge_unbalance(const BalanceResult& result) {
  const BalanceJob& job = result.job;
  UnbalanceJudgement j;
  GramMillimetres found{0};
  GramMillimetres at_most{0};
  for (std::size_t p = 0; p < result.answer.planes.size(); ++p) {
    const auto& radius = job.planes.at(p).radius;
    if (!radius) {
      j.why_not = "the radius of the weights is not given (radius_mm)";
      j.planes.clear();
      return j;
    }
    const PlaneCorrection& c = result.answer.planes[p];
    const double rounding = std::abs(vector_of(result.mounted.at(p)) - vector_of(c.weight));
    PlaneUnbalance u;
    u.found = unbalance_of(c.weight.mass, *radius);
    u.remains_at_most = unbalance_of(c.remains_at_most + Grams{rounding}, *radius);
    found = found + u.found;
    at_most = at_most + u.remains_at_most;
    j.planes.push_back(u);
  }
  if (!job.rotor || !job.speed || !job.grade) {
    j.why_not = "mass of the rotor, speed or grade is not given (rotor_kg, rpm, grade)";
    return j;
  }
  j.permissible = permissible_unbalance(*job.grade, *job.rotor, *job.speed).value();
  j.found_grade = grade_of(found, *job.rotor, *job.speed).value();
  j.grade_at_most = grade_of(at_most, *job.rotor, *job.speed).value();
  j.met = at_most <= *j.permissible;
  return j;
}

}  // namespace

Result<void> take_recording(BalanceJob& job, RunAtSpeed& at, const Capture& capture) {
  const auto reading = measure_one_x(capture, job.tacho, job.sensors, job.sense);
  if (!reading) return reading.error();
  if (job.sensors.empty())
    for (const OneX& c : reading->channels) job.sensors.push_back(c.channel);
  const SampleUnit unit = reading->channels.front().unit;
  for (const OneX& c : reading->channels)
    if (c.unit != unit)
      return Error{Errc::bad_argument, capture.source, "has channels of different units",
                   "choose those of one unit with sensors"};
  const bool velocity = unit == SampleUnit::velocity;
  const std::string words = velocity ? "mm/s rms" : std::string{symbol(unit)} + " rms";
  const bool first = &at == &job.runs.front().at.front();
  if (!first && words != job.unit)
    return Error{Errc::bad_argument, capture.source,
                 fmt::format("gives {}, the other runs {}", words, job.unit),
                 "measure all runs in the same way"};
  job.unit = words;
  for (const OneX& c : reading->channels) {
    at.vibration.push_back(velocity ? in_mm_per_s(1) * c.vector : c.vector);
    at.scatter.push_back(velocity ? in_mm_per_s(c.scatter) : c.scatter);
  }
  at.speed = reading->speed;
  return {};
}

Result<BalanceResult> solve(const BalanceJob& job) {
  const auto runs = runs_of(job);
  if (!runs) return runs.error();
  auto answer = balance(*runs, job.options);
  if (!answer) return answer.error();
  BalanceResult result;
  result.job = job;
  result.answer = std::move(*answer);
  result.predicted = result.answer.rows;
  if (!result.answer.usable()) {
    result.unbalance.why_not = "there is no correction";
    return result;
  }
  if (const auto done = split_weights(result); !done) return done.error();
  auto predicted = predict(*runs, result.mounted, job.options);
  if (!predicted) return predicted.error();
  result.predicted = std::move(*predicted);
  result.unbalance = judge_unbalance(result);
  return result;
}

std::string row_name(const BalanceJob& job, std::size_t row) {
  const std::size_t sensor = job.sensors.empty() ? row : row % job.sensors.size();
  const std::size_t speed = job.sensors.empty() ? 0 : row / job.sensors.size();
  std::string text =
      sensor < job.sensors.size() ? job.sensors[sensor] : fmt::format("sensor {}", sensor + 1);
  if (job.runs.empty() || job.runs.front().at.size() < 2) return text;
  const auto& rpm = job.runs.front().at.at(speed).speed;
  return text +
         (rpm ? fmt::format(", {:.0f} rpm", rpm->value()) : fmt::format(", speed {}", speed + 1));
}

Result<BalancePlan> plan_balance(const BalancePlanInput& input) {
  if (!input.rotor || !input.speed || !input.grade)
    return Error{Errc::missing_metadata, "balance plan",
                 "needs the mass of the rotor, its speed and a grade",
                 "give --mass KG, --rpm RPM and --grade G, or --machine"};
  BalancePlan plan;
  plan.input = input;
  const auto e = permissible_eccentricity_um(*input.grade, *input.speed);
  if (!e) return e.error();
  plan.eccentricity_um = *e;
  const auto u = permissible_unbalance(*input.grade, *input.rotor, *input.speed);
  if (!u) return u.error();
  plan.permissible = *u;
  plan.force = unbalance_force(*u, *input.speed);
  const auto shares = allocate_to_bearings(
      *u, input.support.value_or(RotorSupport{Millimetres{1}, Millimetres{1}, false}));
  if (!shares) return shares.error();
  plan.bearings = *shares;
  if (input.radius) {
    const auto trial = trial_weight(*input.rotor, input.planes, *input.speed, *input.radius);
    if (!trial) return trial.error();
    plan.trial = *trial;
    plan.permissible_at_radius = Grams{u->value() / input.planes / input.radius->value()};
  }
  return plan;
}

}  // namespace bearingdsp
