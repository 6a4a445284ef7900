#pragma once
/// One answer from several recordings of one measuring point: parts, visits, directions, loads.
#include <span>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// How much one recording may say, and how much several say more than one.
struct TogetherModel {
  /// Share of recordings of visible damage that show nothing (light load, far from the sensor): so
  /// much a silent recording is evidence against damage, and no more. 11 of 82 damaged open
  /// recordings.
  double miss{0.2};
  /// Share of recordings of a healthy bearing that are called damaged: so much one call is evidence
  /// for it, and no more. 0 of 32 healthy open recordings; the upper end of its 95 % interval is
  /// 0.11.
  double false_call{0.02};
  /// Correlation of what recordings of one point say: n of them count as n / (1 + (n - 1) d).
  /// Chosen, then checked on pieces of the open recordings: docs/validation/together.md
  double dependence{0.5};
  /// Share of recordings whose strongest component is another one than that which is damaged.
  double other_component{0.05};
};

/// Weighs the diagnoses of several recordings of one point with one bearing. Each one's odds of
/// visible damage are bounded by TogetherModel and added as logarithms; damage that shows in no
/// recording stays as probable as for one (JudgementModel::unseen), because what hides it is common
/// to all. A recording that cannot be judged (blocking finding, speed not known) does not count.
///
/// Returns: the diagnosis of the recording that shows most, with the joint verdict, probabilities,
///          headline and reasons, the worst vibration of all, and Diagnosis::recordings filled
/// Shape:   diagnoses [n], n >= 1
/// Errors:  bad_argument for none, or where none can be judged ("record again")
/// Source:  ours: naive Bayes with bounded factors; docs/theory/diagnosis.md
[[nodiscard]] Result<Diagnosis> judge_together(std::span<const Diagnosis> diagnoses,
                                               const TogetherModel& model = {});

}  // namespace bearingdsp
