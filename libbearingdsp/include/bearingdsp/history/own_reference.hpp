#pragma once
/// A point's own healthy readings as its reference: harmonic series that were there when it was
/// healthy count less, those that were not there count more.
#include <cstddef>
#include <optional>
#include <span>
#include <string>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/trend.hpp"

namespace bearingdsp {

/// What the reference makes of one reading.
struct ReferenceShare {
  Part part{Part::outer_ring};                ///< its strongest series
  double strength{0};                         ///< of that series, now
  double before{0};                           ///< median of it over the healthy readings
  std::size_t readings{0};                    ///< healthy readings that are the reference
  double log_odds{0};                         ///< added to the odds of visible damage, nats
  Verdict by_itself{Verdict::indeterminate};  ///< of the reading without its reference
  Place place_by_itself{Place::cannot_tell};
  double probability_by_itself{0.5};
  std::string why;  ///< one sentence with the numbers
};

/// The change of the log odds of damage, nats, for a strength that is compared with those of
/// healthy readings of the same point: the logarithm of the density of that strength over healthy
/// machines, less that over healthy readings of this one; bounded by the model. Strengths are
/// FamilyEvidence::strength.
/// Shape:  healthy [n], n >= 1.
/// Errors: std::invalid_argument for none
/// Source: Bayes' rule with a random-effects model; docs/theory/diagnosis.md
[[nodiscard]] double reference_log_odds(double strength, std::span<const double> healthy,
                                        const OwnReferenceModel& model = {});

/// What the reference of that reading makes of it; none where there are too few healthy readings
/// before it, where it shows no series, or where it cannot be judged. Healthy readings are those
/// since baseline_start() with the verdict "no fault" by themselves, with the same bearing and
/// alike in speed and load, before the first call of damage. Of healthy readings that rose steadily
/// only the first count.
/// Shape: index < readings
[[nodiscard]] std::optional<ReferenceShare> own_reference(const PointHistory& history,
                                                          std::size_t index,
                                                          const TrendOptions& options = {},
                                                          const ModelParameters& model = {});

/// The reading as it is judged beside its reference: verdict, component, probabilities and
/// headline. The reading itself where there is none.
/// Shape: index < readings
[[nodiscard]] Reading with_reference(const PointHistory& history, std::size_t index,
                                     const TrendOptions& options = {},
                                     const ModelParameters& model = {});
/// The history with each of its readings so. The levels stay.
[[nodiscard]] PointHistory with_references(PointHistory history, const TrendOptions& options = {},
                                           const ModelParameters& model = {});

}  // namespace bearingdsp
