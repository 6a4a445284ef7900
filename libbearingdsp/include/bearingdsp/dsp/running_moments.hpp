#pragma once
/// Moments of a signal that comes in blocks and is never held as a whole.
#include <cstddef>
#include <span>

#include "bearingdsp/dsp/statistics.hpp"

namespace bearingdsp {

/// Single-number levels of a signal in a unit U, about its mean.
struct SignalLevels {
  double mean{0};          ///< U
  double rms{0};           ///< U, mean removed
  double peak{0};          ///< U; largest magnitude, mean removed
  double crest_factor{0};  ///< peak / rms; 0 for a constant signal
  double kurtosis{0};  ///< fourth standardised moment, 3 for Gaussian noise; 0 for a constant one
  double skewness{0};  ///< 0 for a constant signal
};

/// Adds up the first four central moments and the extremes of all blocks added.
///
/// Shape:    add() takes x [n], n >= 0, finite samples in a unit U, in any number of blocks
/// Accuracy: as moments() of all of it at once, within 1e-12 relative
/// Source:   [pebay2008] equations 2.1, 3.1; each block by moments()
class RunningMoments {
 public:
  void add(std::span<const double> x);
  [[nodiscard]] std::size_t count() const noexcept { return count_; }
  /// All zero while nothing was added; the conventions of moments().
  [[nodiscard]] Moments moments() const noexcept;
  /// U; the mean is removed.
  [[nodiscard]] double rms() const noexcept;
  /// U; largest magnitude, the mean removed.
  [[nodiscard]] double peak() const noexcept;
  /// All of them; all zero while nothing was added.
  [[nodiscard]] SignalLevels levels() const noexcept;

 private:
  std::size_t count_{0};
  double mean_{0};
  double second_{0}, third_{0}, fourth_{0};  ///< sums of powers of the deviation from the mean
  double low_{0}, high_{0};
};

/// Levels of a whole array.
///
/// Shape:    x [n], n >= 0, finite samples in a unit U; all zero for none
/// Accuracy: that of moments()
/// Errors:   none
/// Source:   closed forms
[[nodiscard]] SignalLevels signal_levels(std::span<const double> x);

}  // namespace bearingdsp
