#pragma once
/// How good a set of answers is: rates with their intervals, and whether probabilities mean what
/// they say.
#include <cstddef>
#include <span>
#include <vector>

namespace bearingdsp {

struct Interval {
  double low{0};
  double high{1};
};

/// 95 % score interval of a proportion of `successes` among `trials`; {0, 1} for no trials.
/// Errors: std::invalid_argument if successes > trials.
/// Source: [wilson1927] E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212, with z = 1.959964
[[nodiscard]] Interval wilson_interval(std::size_t successes, std::size_t trials);

/// One forecast: the probability said, and whether it came true.
struct StatedProbability {
  double probability{0};
  bool happened{false};
};

/// Mean squared distance of the probabilities from what happened: 0 perfect, 0.25 for always saying
/// one half. NaN for an empty list.
/// Source: [brier1950] G. W. Brier, Monthly Weather Review 78 (1950) 1-3, in the one-sided form for
/// two outcomes (half of the original's sum over both)
[[nodiscard]] double brier_score(std::span<const StatedProbability> forecasts);

/// One line of a reliability table.
struct ReliabilityBin {
  double low{0}, high{0};  ///< probabilities in [low, high), the last bin closed
  std::size_t count{0};
  std::size_t happened{0};
  double mean_probability{0};  ///< of the forecasts in the bin; NaN when empty
  double frequency{0};         ///< happened / count; NaN when empty
  Interval interval;           ///< Wilson interval of the frequency
};

/// Equal-width bins over [0, 1]. Errors: std::invalid_argument if bins is 0 or a probability lies
/// outside [0, 1].
/// Source: [murphy1977] A. H. Murphy, R. L. Winkler, J. R. Stat. Soc. C 26 (1977) 41-47
[[nodiscard]] std::vector<ReliabilityBin> reliability(std::span<const StatedProbability> forecasts,
                                                      std::size_t bins = 10);

}  // namespace bearingdsp
