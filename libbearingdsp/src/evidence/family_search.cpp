#include "bearingdsp/evidence/family_search.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace bearingdsp {
namespace {

constexpr double neighbourhood = 0.45;  // half-width in orders: rivals beyond the next shaft harmonic are others' business
constexpr double line_cap = 7.0;        // nats; no single line may carry a verdict
constexpr double standing_nats = 3.0;   // a line stands when its rank probability is below 5 %
constexpr double mirror_reach = 0.2;     // orders: a line this near to a shaft harmonic is held against its mirror image
constexpr double apart_bins = 2.0;      // Hann lines closer than this cannot be told apart

/// Prefix sums of the spectrum, so that any smoothing costs the same.
class Smoothed {
 public:
  explicit Smoothed(const std::vector<double>& p) : sum_(p.size() + 1, 0.0) {
    for (std::size_t i = 0; i < p.size(); ++i) sum_[i + 1] = sum_[i] + p[i];
  }
  /// Mean over the window of 2*half + 1 bins centred at i, cut at the ends.
  [[nodiscard]] double at(std::ptrdiff_t i, std::ptrdiff_t half) const {
    const auto n = static_cast<std::ptrdiff_t>(sum_.size()) - 1;
    const std::ptrdiff_t a = std::clamp<std::ptrdiff_t>(i - half, 0, n);
    const std::ptrdiff_t b = std::clamp<std::ptrdiff_t>(i + half + 1, 0, n);
    return b > a ? (sum_[static_cast<std::size_t>(b)] - sum_[static_cast<std::size_t>(a)]) /
                       static_cast<double>(b - a)
                 : 0.0;
  }

 private:
  std::vector<double> sum_;
};

/// The surroundings of one harmonic at one smoothing.
struct Surroundings {
  std::ptrdiff_t from{0};
  std::vector<double> value;   // smoothed power by position
  std::vector<double> sorted;
  double floor{0};             // median
  double places{1};            // independent places in the neighbourhood
};

Surroundings look_around(const Smoothed& smooth, std::ptrdiff_t from, std::ptrdiff_t to,
                         std::ptrdiff_t half) {
  Surroundings s;
  s.from = from;
  for (std::ptrdiff_t i = from; i <= to; ++i) s.value.push_back(smooth.at(i, half));
  s.sorted = s.value;
  std::sort(s.sorted.begin(), s.sorted.end());
  s.floor = s.sorted[s.sorted.size() / 2];
  s.places = std::max(1.0, static_cast<double>(s.value.size()) / static_cast<double>(2 * half + 1));
  return s;
}

/// First bin worth comparing with: the rise towards zero frequency is no rival.
std::ptrdiff_t nearest_start(std::ptrdiff_t centre, double bins_per_order) {
  return std::max<std::ptrdiff_t>(
      2, std::min(static_cast<std::ptrdiff_t>(0.25 * bins_per_order),
                  static_cast<std::ptrdiff_t>(0.5 * static_cast<double>(centre))));
}

}  // namespace

FamilyScore score_family(const EnvelopeSpectrum& spectrum, Hz shaft, const FamilyTemplate& wanted) {
  FamilyScore best;
  best.evidence = -1e9;
  const double bins_per_order = shaft / spectrum.line_spacing;
  const auto n = static_cast<std::ptrdiff_t>(spectrum.depth2.size());
  const double f = wanted.fundamental.value() * bins_per_order;  // bins
  const auto reach = static_cast<std::ptrdiff_t>(std::floor(neighbourhood * bins_per_order));
  const double tol = wanted.tolerance;
  int harmonics = 0;
  for (int k = 1; k <= wanted.harmonics; ++k)
    if (k * f * (1 + tol) + 3 < static_cast<double>(n)) harmonics = k;
  if (harmonics == 0 || reach < 6) return {};
  const Smoothed smooth{spectrum.depth2};
  const double half_floor = 1 / std::numbers::ln2;  // median to mean of an exponential

  // Relative widths: a single line, then smears of about 1, 2 and 4 % of the order.
  for (const double smear : {0.0, 0.01, 0.02, 0.04}) {
    if (smear > 0 && smear * f < 2) continue;  // not wider than the line itself
    std::vector<Surroundings> around;
    std::vector<std::ptrdiff_t> halves;
    for (int k = 1; k <= harmonics; ++k) {
      const auto half = static_cast<std::ptrdiff_t>(std::round(0.5 * smear * k * f));
      const auto centre = static_cast<std::ptrdiff_t>(std::round(k * f));
      const auto play = static_cast<std::ptrdiff_t>(std::ceil(tol * k * f)) + 1;
      halves.push_back(half);
      // A smear needs room around it: half an order would hold hardly anything else.
      const std::ptrdiff_t room = std::max(reach, 6 * half);
      around.push_back(look_around(smooth, std::max(nearest_start(centre, bins_per_order), centre - room - play),
                                   std::min(n - 1, centre + room + play), half));
    }
    const double step = std::max(0.5, 0.25 * smear * f) / (f * harmonics);
    const int steps = static_cast<int>(std::ceil(tol / step));
    const int widths = 4;
    const double trials = std::log(static_cast<double>((2 * steps + 1) * widths));
    for (int j = -steps; j <= steps; ++j) {
      const double slip = steps > 0 ? tol * j / steps : 0.0;
      FamilyScore now;
      now.slip = slip;
      double depth2 = 0;
      double dominance = 0;
      int ranked = 0;
      for (int k = 1; k <= harmonics; ++k) {
        const auto& s = around[static_cast<std::size_t>(k - 1)];
        const auto half = halves[static_cast<std::size_t>(k - 1)];
        const double position = k * f * (1 + slip);
        const auto i0 = static_cast<std::ptrdiff_t>(std::round(position));
        LineEvidence line;
        line.harmonic = k;
        const double nearest = std::round(position / bins_per_order) * bins_per_order;
        if (wanted.avoid_shaft && std::abs(position - nearest) < apart_bins) {
          line.shared = true;
          line.order = Order{position / bins_per_order};
          now.lines.push_back(line);
          continue;
        }
        ++now.usable;
        // One bin of play for the rounding of the common fundamental.
        std::ptrdiff_t i = i0;
        for (const std::ptrdiff_t c : {i0 - 1, i0 + 1}) {
          const auto at = c - s.from;
          if (at < 0 || at >= static_cast<std::ptrdiff_t>(s.value.size())) continue;
          if (half == 0 && s.value[static_cast<std::size_t>(at)] >
                               s.value[static_cast<std::size_t>(i - s.from)])
            i = c;
        }
        const auto at = i - s.from;
        if (at < 1 || at + 1 >= static_cast<std::ptrdiff_t>(s.value.size())) continue;
        double v = s.value[static_cast<std::size_t>(at)];
        // A flank of a stronger neighbour is not a line.
        if (half == 0 && (s.value[static_cast<std::size_t>(at - 1)] > v ||
                          s.value[static_cast<std::size_t>(at + 1)] > v))
          v = std::min(v, s.floor);
        // What stands alike on both sides of a shaft harmonic is its skirt or its modulation, not a defect.
        if (wanted.avoid_shaft && std::abs(position - nearest) < mirror_reach * bins_per_order) {
          const auto image =
              static_cast<std::ptrdiff_t>(std::round(2 * nearest - static_cast<double>(i)));
          double reflected = smooth.at(image, half);
          if (half == 0)
            reflected = std::max({reflected, smooth.at(image - 1, 0), smooth.at(image + 1, 0)});
          v = std::max(v - reflected, std::min(v, s.floor));
        }
        const auto above = static_cast<double>(
            s.sorted.end() - std::upper_bound(s.sorted.begin(), s.sorted.end(), v));
        const double share = above / static_cast<double>(s.sorted.size());
        const double p = std::min(1.0, (share * s.places + 1) / (s.places + 1));
        const double nats = std::min(line_cap, -std::log(p));
        // Under chance -ln p has mean 1: take it off so that more harmonics are not better by themselves.
        now.evidence += nats - 1;
        ++ranked;
        // The strongest rival in half an order, outside the line's own lobe.
        double rival = 0;
        const std::ptrdiff_t own = half + 2;
        const std::ptrdiff_t a = std::max<std::ptrdiff_t>(0, at - reach);
        const std::ptrdiff_t b =
            std::min(static_cast<std::ptrdiff_t>(s.value.size()) - 1, at + reach);
        for (std::ptrdiff_t q = a; q <= b; ++q)
          if (std::abs(q - at) > own) rival = std::max(rival, s.value[static_cast<std::size_t>(q)]);
        const double dom = 10 * std::log10((v + 1e-300) / (rival + 1e-300));
        dominance += std::clamp(dom, -15.0, 15.0);
        line.order = Order{static_cast<double>(i) / bins_per_order};
        const double floor = half == 0 ? s.floor * half_floor : s.floor;
        line.prominence_db = 10 * std::log10((v + 1e-300) / (floor + 1e-300));
        // Power of the whole smear, not of one bin: sum of the excess over the window's noise bandwidth.
        const double excess = (v - floor) * static_cast<double>(2 * half + 1) /
                              (half == 0 ? 1.0 : spectrum.enbw_bins);
        line.depth = std::sqrt(std::max(0.0, excess));
        line.stands = nats >= standing_nats && excess > 0;
        if (line.stands) {
          ++now.standing;
          depth2 += excess;
        }
        now.lines.push_back(line);
      }
      if (ranked == 0) continue;
      now.evidence -= trials;
      now.depth = std::sqrt(depth2);
      now.dominance_db = dominance / ranked;
      now.width_bins = static_cast<int>(2 * halves[0] + 1);
      if (now.evidence > best.evidence ||
          (now.evidence == best.evidence && now.depth > best.depth)) {
        best = std::move(now);
      }
    }
  }
  if (best.evidence < -1e8) return {};
  // Sidebands beside standing harmonics.
  if (wanted.sideband.value() > 0) {
    const double side = wanted.sideband.value() * bins_per_order;
    std::vector<LineEvidence> extra;
    for (const auto& line : best.lines) {
      if (!line.stands) continue;
      for (const int m : {-1, 1}) {
        const double position = line.order.value() * bins_per_order + m * side;
        const auto i = static_cast<std::ptrdiff_t>(std::round(position));
        if (i < 3 || i + 3 >= n) continue;
        const auto s = look_around(smooth, std::max<std::ptrdiff_t>(1, i - reach),
                                   std::min(n - 1, i + reach), 0);
        double v = 0;
        for (std::ptrdiff_t q = i - 1; q <= i + 1; ++q)
          v = std::max(v, s.value[static_cast<std::size_t>(q - s.from)]);
        const double floor = s.floor * half_floor;
        LineEvidence e;
        e.harmonic = line.harmonic;
        e.sideband = m;
        e.order = Order{position / bins_per_order};
        e.prominence_db = 10 * std::log10((v + 1e-300) / (floor + 1e-300));
        e.depth = std::sqrt(std::max(0.0, v - floor));
        const auto above = static_cast<double>(
            s.sorted.end() - std::upper_bound(s.sorted.begin(), s.sorted.end(), v));
        e.stands = above / static_cast<double>(s.sorted.size()) < 0.02;
        if (e.stands) ++best.sidebands;
        extra.push_back(e);
      }
    }
    best.lines.insert(best.lines.end(), extra.begin(), extra.end());
  }
  return best;
}

}  // namespace bearingdsp
