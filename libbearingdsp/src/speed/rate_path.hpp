#pragma once
/// The rate of a comb of lines against time: best path through short-time spectra.
#include <vector>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/speed/order_tracking.hpp"
#include "slow_copy.hpp"

namespace bearingdsp::speed_detail {

struct RatePath {
  std::vector<double> time;  ///< s, centres of the short-time spectra
  std::vector<double> rate;  ///< Hz, as many
  double gain{0};            ///< log likelihood of its lines, mean over the spectra
  double rival{0};           ///< the same of the best path that is nowhere near this one
  [[nodiscard]] double mean_rate() const;
};

/// With options.max_drift the best of the paths about every linear change up to that.
/// Errors: too_short; no_speed where the sample rate shows no comb
Result<RatePath> best_rate_path(const std::vector<SlowCopy>& axes, const TrackOptions& options,
                                FftPlans& plans, const TrackModel& model);

}  // namespace bearingdsp::speed_detail
