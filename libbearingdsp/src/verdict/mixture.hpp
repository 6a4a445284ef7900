#pragma once
/// Several bearings may be the one in the housing: one verdict for all of them.
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/bearing/candidate.hpp"
#include "verdict/weigh.hpp"

namespace bearingdsp {

struct Mixture {
  Judgement judgement;
  std::size_t best{0};  ///< the candidate that explains the recording best
  std::vector<double>
      share;  ///< of each candidate in what is evidence for damage, or its prior; sum 1
};

/// The odds of damage are the mean over the candidates by their weights: a candidate that shows
/// nothing takes from what another shows, as far as it was as likely beforehand. The components
/// share the damage by candidate, weight and how plausible the fitted slip is. One candidate: its
/// own judgement.
/// Shape: as many weighed as candidates, 1 or more.
/// Source: total probability, closed form
[[nodiscard]] Mixture mix(std::span<const Weighed> weighed,
                          std::span<const BearingCandidate> candidates,
                          const ModelParameters& model);

}  // namespace bearingdsp
