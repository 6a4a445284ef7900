#pragma once
/// Spectra that say what their numbers are.
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/unit.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/dsp/window.hpp"

namespace bearingdsp {

/// How a line of a sine of amplitude A is read: A, A/sqrt(2) or 2A.
enum class Detector : std::uint8_t { peak, rms, peak_to_peak };

/// What y is, with samples in U.
enum class Scaling : std::uint8_t {
  amplitude,  ///< U, read as the detector says; a line between bins is low by the scalloping loss
  power,      ///< U^2, mean square of a line (detector rms)
  density,    ///< U^2/Hz, one-sided (detector rms)
};

/// One-sided spectrum: y[k] is at k * line_spacing.
struct Spectrum {
  std::vector<double> y;
  Hz line_spacing;
  SampleUnit unit{SampleUnit::uncalibrated};
  Detector detector{Detector::rms};
  Scaling scaling{Scaling::power};
  double enbw_bins{1};  ///< noise bandwidth of the window, in lines
  std::size_t averages{1};

  [[nodiscard]] Hz frequency(std::size_t k) const noexcept {
    return static_cast<double>(k) * line_spacing;
  }
};

enum class SegmentTrend : std::uint8_t { keep, remove_mean, remove_line };

struct WelchOptions {
  std::size_t segment{4096};  ///< samples per segment
  double overlap{0.5};        ///< fraction of a segment shared with the next, 0 <= overlap < 1
  WindowShape window{};
  SegmentTrend trend{SegmentTrend::remove_mean};
  Scaling scaling{Scaling::density};
  SampleUnit unit{SampleUnit::uncalibrated};
};

/// Averaged modified periodograms. The tail that fills no segment is left out.
/// Shape:    x [n], n >= segment -> y [segment/2 + 1]; y[k] at k * rate / segment
/// Units:    x in U -> U^2/Hz (density), U^2 (power) or rms U (amplitude: root of the mean power)
/// Accuracy: sum(y) * line_spacing (density) equals the window-weighted mean square of the
///           segments within 1e-12 relative
/// Errors:   too_short if n < segment; bad_argument if segment is 0, overlap is not in [0, 1) or
///           rate is not positive
/// Source:   [welch1967] P. Welch, IEEE Trans. Audio Electroacoust. 15, 70-73
[[nodiscard]] Result<Spectrum> welch(std::span<const double> x, Hz rate, FftPlans& plans,
                                     const WelchOptions& options = {});

struct AmplitudeOptions {
  WindowShape window{};
  Detector detector{Detector::rms};
  SegmentTrend trend{SegmentTrend::remove_mean};
  SampleUnit unit{SampleUnit::uncalibrated};
};

/// Line amplitudes of the whole recording by one windowed transform: a sine of amplitude A on a bin
/// reads A (peak), A/sqrt(2) (rms) or 2A (peak_to_peak). The lines at 0 Hz and, for even n, at
/// rate/2 are their own mirror images: there peak and rms are both the mean magnitude.
/// Shape:    x [n], n >= 1 -> y [n/2 + 1]
/// Accuracy: 1e-12 relative for a line on a bin
/// Errors:   too_short if n = 0; bad_argument if rate is not positive
[[nodiscard]] Result<Spectrum> amplitude_spectrum(std::span<const double> x, Hz rate,
                                                  FftPlans& plans,
                                                  const AmplitudeOptions& options = {});

/// Root of the power in the lines from low to high (both included), U: the rms of that part of the
/// signal. Divides line power by the window's noise bandwidth, so noise and isolated lines both
/// come out right.
/// Errors: bad_argument if low > high.
[[nodiscard]] Result<double> band_rms(const Spectrum& spectrum, Hz low, Hz high);

}  // namespace bearingdsp
