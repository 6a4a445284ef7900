#pragma once
/// The low part of a recording, at a rate of its own.
#include <complex>
#include <span>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp::speed_detail {

struct SlowCopy {
  std::vector<double> x;
  double rate{0};  ///< Hz
};

/// The axis below `top` Hz, at about 2.6 times that rate, without its mean: cut out of the
/// spectrum. Up to 1 % of the samples at the end may be left out. known: that spectrum, if not
/// empty.
SlowCopy slow_copy(SignalView axis, std::span<const std::complex<double>> known, double top,
                   FftPlans& plans);

}  // namespace bearingdsp::speed_detail
