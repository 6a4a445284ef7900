#pragma once
/// How fast the shaft turned, how well that is known, and how it was found.
#include <cstdint>
#include <string>
#include <string_view>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// The way a speed was found.
enum class SpeedMethod : std::uint8_t {
  not_found,      ///< nothing in the recording fixes it
  given,          ///< given; the recording neither confirms nor contradicts it
  given_refined,  ///< given, refined from shaft harmonics in the recording
  tacho,          ///< from a tacho or keyphasor channel
  harmonic_comb,  ///< from shaft harmonics alone
  defect_comb,    ///< from a defect family whose order is known
  followed,       ///< a changing speed, followed through the recording on its shaft harmonics
};
[[nodiscard]] std::string_view token(SpeedMethod method) noexcept;

struct ShaftSpeed {
  SpeedMethod method{SpeedMethod::not_found};
  Hz rate;                         ///< mean rotational frequency over the recording; 0 if not found
  double relative_uncertainty{0};  ///< one standard deviation of rate, as a fraction of it
  double relative_variation{
      0};                ///< peak-to-peak change of the rate within the recording, as a fraction
  double confidence{0};  ///< probability that the rate is right within three standard deviations
  std::string why;       ///< plain words: which lines, how many, or why not found
  [[nodiscard]] bool found() const noexcept { return method != SpeedMethod::not_found; }
};

}  // namespace bearingdsp
