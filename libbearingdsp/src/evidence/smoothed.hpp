#pragma once
#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

#include "bearingdsp/evidence/family_search.hpp"

namespace bearingdsp {

/// Prefix sums of a spectrum, so that any smoothing costs the same.
class Smoothed {
 public:
  using Index = std::ptrdiff_t;

  explicit Smoothed(const std::vector<double>& p) : sum_(p.size() + 1, 0.0) {
    for (std::size_t i = 0; i < p.size(); ++i) sum_[i + 1] = sum_[i] + p[i];
  }
  [[nodiscard]] Index size() const { return static_cast<Index>(sum_.size()) - 1; }
  /// Mean over the window of 2*half + 1 bins centred at i, cut at the ends; 0 outside.
  [[nodiscard]] double mean(Index i, Index half) const {
    const Index a = std::clamp<Index>(i - half, 0, size());
    const Index b = std::clamp<Index>(i + half + 1, 0, size());
    return b > a ? (at(b) - at(a)) / static_cast<double>(b - a) : 0.0;
  }
  /// The largest mean over such a window, from first to last.
  [[nodiscard]] double most(Index first, Index last, Index half) const {
    // Whole windows have one width: no division for each.
    const Index from = std::max(first, half);
    const Index to = std::min(last, size() - half - 1);
    double sum = 0;
    for (Index i = from; i <= to; ++i) sum = std::max(sum, at(i + half + 1) - at(i - half));
    double best = sum / static_cast<double>(2 * half + 1);
    for (Index i = first; i < std::min(from, last + 1); ++i) best = std::max(best, mean(i, half));
    for (Index i = std::max(to + 1, from); i <= last; ++i) best = std::max(best, mean(i, half));
    return best;
  }

 private:
  [[nodiscard]] double at(Index i) const { return sum_[static_cast<std::size_t>(i)]; }

  std::vector<double> sum_;
};

/// The public score_family() where many templates are held against one spectrum.
FamilyScore score_family(const EnvelopeSpectrum& spectrum, const Smoothed& smooth, Hz shaft,
                         const FamilyTemplate& wanted, const ModelParameters& model);

/// The line at an order, ranked among its surroundings as a sideband is; none outside the spectrum.
[[nodiscard]] std::optional<LineEvidence> line_at(const Smoothed& smooth, Order order,
                                                  double bins_per_order, const FamilyModel& model);

}  // namespace bearingdsp
