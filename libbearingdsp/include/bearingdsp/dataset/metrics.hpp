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

/// Equal-width bins over [0, 1].
/// Errors: std::invalid_argument if bins is 0 or a probability lies outside [0, 1].
/// Source: [murphy1977] A. H. Murphy, R. L. Winkler, J. R. Stat. Soc. C 26 (1977) 41-47
[[nodiscard]] std::vector<ReliabilityBin> reliability(std::span<const StatedProbability> forecasts,
                                                      std::size_t bins = 10);

/// What calling damage from one threshold on would find, and what it would cost.
struct DetectionPoint {
  double threshold{0};  ///< damage is called where the probability is at least this
  std::size_t called_damaged{0}, damaged{0};  ///< of those where it happened
  std::size_t called_sound{0}, sound{0};      ///< of those where it did not: false alarms
  Interval detection, false_alarm;            ///< Wilson intervals of the two rates
  [[nodiscard]] double detection_rate() const noexcept;    ///< NaN where there are none
  [[nodiscard]] double false_alarm_rate() const noexcept;  ///< NaN where there are none
};

/// The point at one threshold.
/// Errors: std::invalid_argument for a probability outside [0, 1].
[[nodiscard]] DetectionPoint detection_at(std::span<const StatedProbability> forecasts,
                                          double threshold);

/// A point per distinct probability, from the strictest (called by none: threshold infinity) to the
/// laxest (called by all). Both rates rise along it.
/// Errors: as detection_at().
/// Source: receiver operating characteristic [hanley1982]
[[nodiscard]] std::vector<DetectionPoint> detection_curve(
    std::span<const StatedProbability> forecasts);

/// Probability that a damaged recording, picked at random, was given a higher probability than a
/// healthy one, ties counted half: the area under the detection curve. NaN if either kind is
/// missing.
/// Source: [hanley1982] J. A. Hanley, B. J. McNeil, Radiology 143 (1982) 29-36
[[nodiscard]] double area_under_curve(std::span<const DetectionPoint> curve);

}  // namespace bearingdsp
