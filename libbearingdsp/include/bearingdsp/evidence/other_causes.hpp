#pragma once
/// Causes other than bearing damage that a technician might blame on the bearing: the shaft, the
/// supply, the structure, the grease.
///
/// They show in the plain low-frequency spectrum (shaft orders, mains), not in the envelope, so
/// none of this reads the families at the defect orders and a defect is not turned into a cause.
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"

namespace bearingdsp {

/// Causes other than bearing damage that a technician might blame on the bearing.
enum class OtherCause : std::uint8_t {
  unbalance,
  misalignment_or_bent_shaft,
  looseness,
  rubbing,
  twice_line_frequency,  ///< electrical: air gap, supply
  rotor_bars,
  electrical_erosion,
  poor_lubrication,
};
[[nodiscard]] std::string_view token(OtherCause cause) noexcept;

struct CauseEvidence {
  OtherCause cause{};
  double probability{0};
  std::string why{};  ///< the numbers behind it, in one sentence
};

struct OtherCauseOptions {
  std::optional<Hz> line_frequency{};  ///< mains of a motor on the line; both 50 and 60 Hz are
                                       ///< tried without it, with less confidence
  std::optional<int> pole_pairs{};     ///< of the motor; guessed from speed and mains without it
  /// causes below it are left out
  double min_probability{CausesModel{}.min_probability};
};

/// Probability of each cause from the axes of one measuring point, most probable first.
///
/// The measures are ratios, so that volts do as well as m/s^2: the share of 1x in the acceleration
/// up to 50 orders, in the velocity up to 12.5 orders, the ratio between directions, the lines that
/// stand at whole, half and third orders. Where the unit is calibrated (acceleration, velocity,
/// displacement) velocity in mm/s speaks too: below zone boundary A/B a line is no trouble, however
/// much it dominates. No probability is above 0.97 or rests on one recording of one machine: causes
/// are hypotheses for the next measurement.
///
/// Shape:   axes [m], m >= 1, of one rate and length, each with its name in axis_names [m]. A name
///          that says axial ("axial", "ax", or "a" as its last word: "DE a") makes that axis the
///          axial one; otherwise directions are distinguished by the recording itself.
/// Returns: empty if no axis is usable. Without a speed, or if the recording holds fewer than four
///          lines per shaft order, only causes that need no shaft order are judged.
/// Cost:    one forward transform of the whole recording per axis (of a length that factors well)
/// and
///          two short ones
/// Errors:  std::invalid_argument if axis_names has another length than axes, or rates differ
/// Source:  [iso13373-3] annexes (signs of shaft faults); velocity zones [iso10816-1] table B.1,
///          [iso20816-3]. The weights are ours: docs/theory/other-causes.md
[[nodiscard]] std::vector<CauseEvidence> other_causes(std::span<const SignalView> axes,
                                                      std::span<const std::string> axis_names,
                                                      const ShaftSpeed& speed,
                                                      const OtherCauseOptions& options,
                                                      FftPlans& plans,
                                                      const ModelParameters& model = {});

}  // namespace bearingdsp
