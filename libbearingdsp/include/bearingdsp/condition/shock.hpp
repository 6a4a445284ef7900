#pragma once
/// Single shocks in a record: a knock on the frame, a dropped tool, a cable pulled. They are few,
/// they do not repeat, and one of them can outweigh a whole record's bearing bursts.
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// One shock: samples first <= i < last.
struct Shock {
  std::size_t first{0};
  std::size_t last{0};
  double ratio{0};  ///< its largest short-time energy over the record's median one
};

struct ShockOptions {
  Seconds window{0.005};  ///< length over which energy is summed, cut to 4 samples at least
  /// Robust standard deviations of the logarithm of short-time energy above its median. Bearing
  /// bursts are many and widen that scale themselves; single shocks do not.
  double threshold{5};
  /// A shock's energy must also stand this far above the 98th percentile, or repetitive bursts in a
  /// quiet record would be taken for shocks.
  double over_bursts{4};
  /// More than this many a second (and more than 2 in the record) is not "single": no shock is
  /// reported then.
  double most_per_second{1};
};

/// Positions of single shocks, in order, not overlapping.
/// Shape:  x [n] -> shocks; empty for a record shorter than 20 windows
/// Errors: bad_argument if rate or an option is not positive
[[nodiscard]] Result<std::vector<Shock>> find_shocks(std::span<const double> x, Hz rate,
                                                     const ShockOptions& options = {});

/// Weight of every sample: 0 within a shock, half-cosine slopes of `slope` samples outside it, 1
/// elsewhere. Shape: -> [n]. Errors: std::invalid_argument if a shock lies outside 0 .. n
[[nodiscard]] std::vector<double> shock_weights(std::span<const Shock> shocks, std::size_t n,
                                                std::size_t slope);

}  // namespace bearingdsp
