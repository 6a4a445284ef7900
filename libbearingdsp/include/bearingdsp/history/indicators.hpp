#pragma once
/// The levels that are followed over time: defined the same way for every recording of a point, so
/// that a change of them is a change of the machine and not of the analysis.
#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/band.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/core/unit.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp {

enum class Indicator : std::uint8_t {
  velocity,      ///< rms up to 1000 Hz, m/s: the shaft and the structure, the bearing last
  overall,       ///< rms of the samples without their mean, in their unit
  peak,          ///< largest magnitude without the mean, in the samples' unit
  high_band,     ///< rms in high_band(), knocks left out, in the samples' unit: where bearings ring
  envelope,      ///< rms of the alternating part of its envelope, knocks left out: impacts
  kurtosis,      ///< of the samples; rises early in damage and falls again as it spreads
  crest_factor,  ///< peak / rms; as kurtosis
  floor,         ///< noise between the impacts in high_band(), as rms, in the samples' unit
};
inline constexpr std::size_t indicator_count = 8;
/// "velocity", "overall", "peak", "high band", "envelope", "kurtosis", "crest factor", "noise
/// floor"
[[nodiscard]] std::string_view token(Indicator indicator) noexcept;
/// Whether the indicator is a level that grows with damage and never falls because of it. Only
/// these are compared with a baseline.
[[nodiscard]] bool is_level(Indicator indicator) noexcept;

/// How many multiples of the shaft rate are followed: 1x, 2x, 3x.
inline constexpr std::size_t shaft_orders = 3;

/// Levels of one recording of one point. Where the point has several axes, the largest of them.
struct Levels {
  SampleUnit unit{SampleUnit::uncalibrated};  ///< of all but velocity and the ratios
  std::array<std::optional<double>, indicator_count> value{};  ///< by Indicator
  Band high_band;                                              ///< of high_band, envelope and floor
  /// Rms at 1x, 2x, 3x, where the speed is known: m/s if the samples are acceleration or velocity,
  /// else in their unit.
  std::array<std::optional<double>, shaft_orders> shaft{};
  Hz velocity_from{10};                  ///< lower end of the band of the velocity
  std::optional<double> displacement{};  ///< rms in that band, m; only where it begins below 10 Hz

  [[nodiscard]] const std::optional<double>& at(Indicator i) const {
    return value.at(static_cast<std::size_t>(i));
  }
  [[nodiscard]] std::optional<double>& at(Indicator i) {
    return value.at(static_cast<std::size_t>(i));
  }
};

/// Band above the shaft's own harmonics and below the recorder's slope: 1 kHz to 0.4 of the rate,
/// at most 10 kHz. Empty (low == high) below 5 kHz rate.
[[nodiscard]] Band high_band(Hz rate) noexcept;

/// Measures the axes of one point. A level without a meaning is left out: velocity without a
/// calibrated unit, the high band at low rates, ratios of a dead channel. A knock from outside
/// fills a small part of the recording, impacts of a bearing all of it: the band is cut into 16
/// pieces of equal length and the two loudest are left out. The floor is the median of the squared
/// envelope, scaled so that it is the mean square of Gaussian noise.
/// Shape: axes [m], m >= 1, of one rate; those shorter than 16 samples are left out Source:
/// envelope of a band by the one-sided spectrum [randall2011] section 5
[[nodiscard]] Levels measure_levels(std::span<const SignalView> axes, FftPlans& plans,
                                    Hz velocity_from = Hz{10});
/// Adds the levels at the shaft's first multiples, each over 2 % of its frequency, at least three
/// lines, to either side. Left out: a multiple beyond half the rate.
/// Shape:  axes [m] as of measure_levels; shaft > 0. Accuracy: the rms of a steady line within 4 %
void measure_shaft(Levels& levels, std::span<const SignalView> axes, Hz shaft, FftPlans& plans);

}  // namespace bearingdsp
