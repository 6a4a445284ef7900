#include "plausible.hpp"

#include <fmt/format.h>

#include "bearingdsp/core/unit.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// 100 g rms: with the crest factor of 5 of an impacting bearing it peaks at 500 g, the range of
/// the least sensitive accelerometers made for machines (10 mV/g at 5 V). Common practice, no
/// source.
constexpr double max_acceleration = from_g(100);  // m/s2
/// 10 mm rms, an excursion that no bearing housing survives. Common practice, no source.
constexpr double max_displacement = 0.01;  // m

}  // namespace

std::optional<Finding> implausible_level(double rms, SampleUnit unit) {
  const double most = unit == SampleUnit::acceleration   ? max_acceleration
                      : unit == SampleUnit::velocity     ? max_plausible_velocity
                      : unit == SampleUnit::displacement ? max_displacement
                                                         : 0;
  if (!(most > 0) || !(rms > most)) return std::nullopt;
  std::string level = fmt::format("{:.4g} {}", rms, symbol(unit));
  if (unit == SampleUnit::acceleration) level = fmt::format("{:.4g} g", in_g(rms));
  if (unit == SampleUnit::velocity) level = fmt::format("{:.4g} mm/s", 1e3 * rms);
  if (unit == SampleUnit::displacement) level = fmt::format("{:.4g} mm", 1e3 * rms);
  return Finding{
      FindingKind::implausible_level,
      Weight::blocking,
      "",
      fmt::format("the level, {} rms, is too high for a sensor on a machine", level),
      "the unit, the sensitivity or the full scale is wrong: no level or zone is evaluated",
      "check unit, sensitivity and full scale (--unit, --sensitivity, --full-scale)"};
}

}  // namespace bearingdsp::capture_detail
