#include "bearingdsp/balancing/weight.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace bearingdsp {
namespace {

constexpr double degree = std::numbers::pi / 180;
/// m/s^2; the weight of a rotor.
constexpr double gravity = 9.80665;
// Of the rotor's weight share: common practice, from memory (90 %).
constexpr double low_force = 0.05;
constexpr double high_force = 0.10;
/// A weight closer to a position than this is put on it alone, degrees.
constexpr double same_angle = 1e-6;

double full_turn(double degrees) {
  const double a = std::fmod(degrees, 360.0);
  // A tiny negative angle would round to 360 itself.
  const double positive = a < 0 ? a + 360.0 : a;
  return positive >= 360.0 ? 0.0 : positive + 0.0;  // -0 becomes 0
}

Error wrong_positions(std::string what, std::string advice) {
  return {Errc::bad_argument, "positions", std::move(what), std::move(advice)};
}

Result<std::vector<int>> free_positions(const Positions& p) {
  if (p.count < 3 || p.count > 360)
    return wrong_positions(fmt::format("{} positions", p.count), "give 3 to 360");
  for (const int b : p.blocked)
    if (b < 1 || b > p.count)
      return wrong_positions(fmt::format("there is no position {}", b),
                             fmt::format("give 1 to {}", p.count));
  std::vector<int> free;
  for (int i = 1; i <= p.count; ++i)
    if (std::find(p.blocked.begin(), p.blocked.end(), i) == p.blocked.end()) free.push_back(i);
  return free;
}

double angle_at(const Positions& p, int number) {
  return full_turn(p.first.value() + 360.0 * (number - 1) / p.count);
}

double rounded(double grams, double step) {
  return step > 0 ? step * std::round(grams / step) : grams;
}

}  // namespace

std::string_view token(AngleSense sense) noexcept {
  return sense == AngleSense::against_rotation ? "against the rotation" : "with the rotation";
}

std::complex<double> polar_vector(double amplitude, Degrees angle) {
  const double a = angle.value() * degree;
  return {amplitude * std::cos(a), amplitude * std::sin(a)};
}

Degrees angle_of(std::complex<double> vector) {
  return Degrees{full_turn(std::arg(vector) / degree)};
}

std::complex<double> vector_of(const BalanceWeight& weight) {
  return polar_vector(weight.mass.value(), weight.angle);
}

BalanceWeight weight_of(std::complex<double> grams) {
  return {Grams{std::abs(grams)}, angle_of(grams)};
}

Result<WeightSplit> split_weight(const BalanceWeight& weight, const Positions& positions,
                                 Grams step) {
  if (!(step.value() >= 0) || !std::isfinite(step.value()))
    return Error{Errc::bad_argument, "step", "is below 0", "give the mass of one piece in g"};
  const auto free = free_positions(positions);
  if (!free) return free.error();
  const BalanceWeight w = weight_of(vector_of(weight));
  // Nearest free position on each side of the angle; `before` may be the weight's own.
  std::optional<WeightAtPosition> before, after;
  double to_before = 360, to_after = 360;
  for (const int number : *free) {
    const double at = angle_at(positions, number);
    double back = full_turn(w.angle.value() - at);
    if (back > 360 - same_angle) back = 0;
    if (back < to_before) {
      to_before = back;
      before = {number, Degrees{at}, Grams{0}};
    }
    if (const double ahead = 360 - back; ahead < to_after) {
      to_after = ahead;
      after = {number, Degrees{at}, Grams{0}};
    }
  }
  WeightSplit split;
  if (before && to_before < same_angle) {
    before->mass = Grams{rounded(w.mass.value(), step.value())};
    split.parts = {*before};
  } else {
    const double between = to_before + to_after;
    if (!before || !after || between >= 180 - same_angle)
      return wrong_positions("the free positions beside the weight are 180 degrees or more apart",
                             "free one of the blocked positions, or use another plane");
    const double sine = std::sin(between * degree);
    before->mass =
        Grams{rounded(w.mass.value() * std::sin(to_after * degree) / sine, step.value())};
    after->mass =
        Grams{rounded(w.mass.value() * std::sin(to_before * degree) / sine, step.value())};
    split.parts = {*before, *after};
  }
  std::complex<double> sum;
  for (const WeightAtPosition& p : split.parts) sum += polar_vector(p.mass.value(), p.angle);
  std::erase_if(split.parts, [](const WeightAtPosition& p) { return p.mass == Grams{0}; });
  split.mounted = weight_of(sum);
  return split;
}

Newtons unbalance_force(GramMillimetres unbalance, Rpm speed) noexcept {
  const double omega = speed.value() * std::numbers::pi / 30;
  return Newtons{unbalance.value() * 1e-6 * omega * omega};
}

Result<TrialWeight> trial_weight(Kilograms rotor, int planes, Rpm speed, Millimetres radius) {
  const auto positive = [](double v) { return v > 0 && std::isfinite(v); };
  if (planes != 1 && planes != 2)
    return Error{Errc::bad_argument, "planes", fmt::format("{} planes", planes), "give 1 or 2"};
  if (!positive(rotor.value()) || !positive(speed.value()) || !positive(radius.value()))
    return Error{Errc::bad_argument, "trial weight", "mass, speed and radius have to be above zero",
                 "give the mass of the rotor in kg, its speed in rpm and the radius in mm"};
  const double share = rotor.value() / planes * gravity;
  const double per_gram = unbalance_force(unbalance_of(Grams{1}, radius), speed).value();
  return TrialWeight{Grams{low_force * share / per_gram}, Grams{high_force * share / per_gram},
                     Newtons{low_force * share}, Newtons{high_force * share}};
}

}  // namespace bearingdsp
