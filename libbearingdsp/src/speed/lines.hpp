#pragma once
// Lines of a spectrum with interpolated frequencies and how well each is known. Private to speed/.
#include <complex>
#include <span>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "transforms.hpp"

namespace bearingdsp::speed_detail {

struct Line {
  double f{0};           // Hz
  double sigma{0};       // Hz, one standard deviation
  double prominence{0};  // power over the local mean of the noise
};

struct LineSet {
  std::vector<Line> lines;  // by rising frequency
  double top{0};            // Hz; highest frequency looked at
  double spacing{0};        // Hz between spectral lines
};

struct LineSets {
  LineSet vibration;
  LineSet envelope;
};

// Power over the local mean noise power of a Hann-windowed power spectrum; the mean is estimated
// from medians of blocks, so that lines do not lift it.
std::vector<double> whiten(std::span<const double> power, std::size_t block);

// Lines of a whitened Hann spectrum standing at least `threshold` above the floor.
std::vector<Line> pick_lines(std::span<const double> whitened, double spacing, double threshold);

// Lines of several spectra as one list: those within their uncertainty of one another are one.
std::vector<Line> merge_lines(std::vector<Line> all, double spacing);

LineSets find_lines(std::span<const SignalView> axes, const Transforms& known, FftPlans& plans,
                    const ModelParameters& model);

}  // namespace bearingdsp::speed_detail
