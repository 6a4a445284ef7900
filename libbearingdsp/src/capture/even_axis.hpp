#pragma once
/// Samples at uneven times become samples at even ones.
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "bearingdsp/capture/capture.hpp"

namespace bearingdsp::capture_detail {

/// Samples that are missing in front of one that is there.
struct MissingRun {
  std::size_t before{};  ///< index of the sample behind them
  std::size_t count{};
};

/// Time stamps that lie on an even grid of which some points have no sample.
struct StampGrid {
  double step{};
  std::vector<MissingRun> missing;
  std::size_t missing_samples{};
};

/// The grid under the stamps t [n], rising, or nothing: where no sample is missing, where more than
/// three of four are, where stamps are printed more coarsely than a quarter of the step
/// (`printed`), or where steps are no whole multiples of one.
/// Source: closed form
std::optional<StampGrid> stamp_grid(std::span<const double> t, double printed);

/// How the samples of a recording come onto an even time axis. Empty: they are on one.
struct EvenAxis {
  std::vector<MissingRun> missing;
  std::vector<double> positions;  ///< of each even instant, in samples
  [[nodiscard]] bool empty() const noexcept { return missing.empty() && positions.empty(); }
};

/// Even instants from the first stamp to the last, `step` apart, in samples: a line between the
/// stamps.
/// Shape: t [n], rising
std::vector<double> even_positions(std::span<const double> t, double step);

/// Puts every channel onto the even axis. Up to eight missing samples in a row lie on a cubic
/// through their neighbours, longer stretches on a straight line: an impact there is lost. Uneven
/// instants are read by band-limited interpolation (dsp/resample.hpp), which for instants that
/// scatter is a first approximation.
/// Shape: channels [n] -> [m]
void put_on_even_axis(Capture& capture, const EvenAxis& axis);

}  // namespace bearingdsp::capture_detail
