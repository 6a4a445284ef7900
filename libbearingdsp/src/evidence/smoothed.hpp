#pragma once
#include <algorithm>
#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <tuple>
#include <utility>
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
  /// The means over such windows, from first to last.
  [[nodiscard]] std::vector<double> means(Index first, Index last, Index half) const {
    if (last < first) return {};
    std::vector<double> out(static_cast<std::size_t>(last - first + 1));
    const auto put = [&](Index i, double v) { out[static_cast<std::size_t>(i - first)] = v; };
    // Whole windows have one width and need not be cut.
    const Index from = std::clamp(half, first, last + 1);
    const Index to = std::clamp(size() - half, from, last + 1);
    const auto width = static_cast<double>(2 * half + 1);
    for (Index i = first; i < from; ++i) put(i, mean(i, half));
    if (to > from) {
      const double* const low = sum_.data() + (from - half);
      const double* const high = sum_.data() + (from + half + 1);
      double* const whole = out.data() + (from - first);
      for (Index i = 0; i < to - from; ++i) whole[i] = (high[i] - low[i]) / width;
    }
    for (Index i = to; i <= last; ++i) put(i, mean(i, half));
    return out;
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

/// Harmonics of one spectrum, for scores of others that differ from it in a few bins.
class KnownHarmonics {
 public:
  /// By what a harmonic depends on beside the spectrum, the shaft's rate and the model: centre and
  /// half width in bins, tolerance, whether shaft harmonics are avoided.
  using Key = std::tuple<double, Smoothed::Index, double, bool>;
  explicit KnownHarmonics(const EnvelopeSpectrum& base) : base_{base.depth2} {}
  /// The bins in which the spectrum that is scored next differs.
  void differs_in(std::vector<std::ptrdiff_t> bins) { changed_ = std::move(bins); }
  [[nodiscard]] bool same(std::ptrdiff_t first, std::ptrdiff_t last) const {
    return std::none_of(changed_.begin(), changed_.end(),
                        [&](std::ptrdiff_t bin) { return bin >= first && bin <= last; });
  }
  [[nodiscard]] const Smoothed& base() const { return base_; }
  /// What family_search.cpp keeps; null at first.
  [[nodiscard]] std::shared_ptr<const void>& operator[](const Key& key) { return kept_[key]; }

 private:
  Smoothed base_;
  std::vector<std::ptrdiff_t> changed_;
  std::map<Key, std::shared_ptr<const void>> kept_;
};

/// The public score_family() where many templates are held against one spectrum. known: null, or
/// those of a spectrum that differs in a few bins, at the same shaft rate.
FamilyScore score_family(const EnvelopeSpectrum& spectrum, const Smoothed& smooth, Hz shaft,
                         const FamilyTemplate& wanted, const ModelParameters& model,
                         KnownHarmonics* known = nullptr);

/// The line at an order, ranked among its surroundings as a sideband is; none outside the spectrum.
[[nodiscard]] std::optional<LineEvidence> line_at(const Smoothed& smooth, Order order,
                                                  double bins_per_order, const FamilyModel& model);

}  // namespace bearingdsp
