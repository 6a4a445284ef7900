#pragma once
/// Speed of the shaft from the vibration itself: lines at whole multiples of one rate.
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"

namespace bearingdsp {

/// Interval in which the speed is looked for; 0 < low < high.
struct SpeedInterval {
  Hz low{5};
  Hz high{100};
};

/// What is known beforehand. Every field may be left at its default: then the search is blind.
struct SpeedOptions {
  std::optional<Hz> given{};             ///< given speed, measured or nominal
  double given_tolerance{0.05};          ///< half-width of the interval round it, as a fraction
  SpeedInterval search{};                ///< where nothing is given
  std::optional<DefectOrders> orders{};  ///< a defect family explains lines that 1x does not
  std::optional<Hz> line_frequency{};    ///< mains; where unknown both 50 and 60 Hz are distrusted
  double required_uncertainty{0.003};    ///< relative; a coarser result counts as not found
  double required_confidence{0.8};       ///< a less likely result counts as not found
};

/// One rate that explains lines of the recording.
struct SpeedCandidate {
  Hz rate;
  double relative_uncertainty{0};  ///< one standard deviation
  double score{0};                 ///< log likelihood ratio against "random lines"
  double probability{0};           ///< among the candidates and "none of them"
  int vibration_lines{0};          ///< harmonics found in the vibration
  int envelope_lines{0};           ///< harmonics found in squared envelopes
  int defect_lines{0};             ///< lines of defect families at the known orders
  double supply_score{0};          ///< of it, by a supply's comb above its harmonics: slip
};

struct SpeedEstimate {
  ShaftSpeed best;
  bool disagrees_with_given{false};        ///< another speed is clearly detected
  std::vector<SpeedCandidate> candidates;  ///< best first, at most eight, distinct
  std::string why;                         ///< one or two sentences
};

/// Finds the mean rotational frequency over the recording from one or more axes of one point.
///
/// Lines are picked in the spectrum of each axis and in squared-envelope spectra of several bands,
/// each with an interpolated frequency and its standard deviation. A candidate rate gains for every
/// whole multiple at which a line is present (its likelihood against a chance line of that
/// prominence) and loses for every multiple without one, so that halves and doubles of the true
/// rate score less. All matched harmonics then fix the rate jointly by weighted least squares.
///
/// Shape:  axes of equal length and rate, 1 .. 8
/// Units:  any unit of vibration: prominence over the local floor is used, not level
/// Errors: std::invalid_argument if there is no axis, or lengths or rates differ, or an option is
///         out of range. Too short a recording is not an error: the result is "not found" and why.
/// Cost:   one transform of the recording an axis, and about 1.5 more for the envelopes
/// Source: interpolation of a Hann-windowed line [grandke1983]; whole-number comb of shaft
///         harmonics [randall2011]; least squares over harmonics: closed form
[[nodiscard]] SpeedEstimate estimate_speed(std::span<const SignalView> axes, FftPlans& plans,
                                           const SpeedOptions& options = {},
                                           const ModelParameters& model = {});

namespace speed_detail {
struct LineSets;
}

/// The spectral lines of one recording that a speed is found by. They do not depend on the bearing:
/// found once, they serve every hypothesis.
struct SpeedLines {
  std::shared_ptr<const speed_detail::LineSets> sets{};  ///< none where the recording is too short
  Seconds duration;
};

/// Picks the lines. Shape, units and errors as estimate_speed(); below 1024 samples there are none.
[[nodiscard]] SpeedLines speed_lines(std::span<const SignalView> axes, FftPlans& plans,
                                     const ModelParameters& model = {});

/// The same as estimate_speed() of the axes, from lines that were picked before.
/// Errors: std::invalid_argument for an option out of range
[[nodiscard]] SpeedEstimate estimate_speed(const SpeedLines& lines,
                                           const SpeedOptions& options = {},
                                           const ModelParameters& model = {});

/// Interval of a line-fed induction motor's speed: synchronous speed less at most max_slip.
/// Errors: std::invalid_argument for pole_pairs < 1, a rate not above zero, or slip outside 0..1.
/// Source: synchronous speed = line frequency / pole pairs (IEC 60034-1 terms)
[[nodiscard]] SpeedInterval induction_motor_interval(Hz line_frequency, int pole_pairs,
                                                     double max_slip = 0.08);

}  // namespace bearingdsp
