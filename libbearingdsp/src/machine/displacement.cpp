#include "bearingdsp/machine/displacement.hpp"

#include <fmt/format.h>

#include <numbers>

namespace bearingdsp {
namespace {

bool from_peak_to_peak(const ZoneLimits& limits) {
  return limits.standard == SeverityStandard::iso10816_7;
}

}  // namespace

double sine_peak_to_peak(DisplacementRms displacement) noexcept {
  return 2 * std::numbers::sqrt2 * displacement.value();
}

DisplacementLimits pump_displacement_limits() {
  // [iso10816-7] table A.1, micrometres from peak to peak, optional there: secondary, a one-page
  // summary of the standard.
  const auto um = [](double v) { return DisplacementRms{v * 1e-6 / (2 * std::numbers::sqrt2)}; };
  return {um(50), um(80), um(130),
          "read in a one-page summary, optional there; that it counts up to 600 rpm: from memory"};
}

std::string displacement_limit_words(const ZoneLimits& limits) {
  if (!limits.displacement) return {};
  const bool peaks = from_peak_to_peak(limits);
  const auto um = [&](DisplacementRms d) {
    return 1e6 * (peaks ? sine_peak_to_peak(d) : d.value());
  };
  const DisplacementLimits& l = *limits.displacement;
  return fmt::format("{:.4g}, {:.4g}, {:.4g} µm {}", um(l.ab), um(l.bc), um(l.cd),
                     peaks ? "peak to peak" : "rms");
}

std::string displacement_words(DisplacementRms displacement,
                               const std::optional<ZoneLimits>& limits) {
  if (limits && limits->displacement && from_peak_to_peak(*limits))
    return fmt::format("{:.0f} µm peak to peak", 1e6 * sine_peak_to_peak(displacement));
  return fmt::format("{:.0f} µm rms", 1e6 * displacement.value());
}

}  // namespace bearingdsp
