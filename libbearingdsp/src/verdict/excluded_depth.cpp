#include "verdict/excluded_depth.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "bearingdsp/verdict/judgement.hpp"
#include "evidence/repeated_evidence.hpp"
#include "verdict/impact_order.hpp"

namespace bearingdsp {
namespace {

/// Impacts are short beside their spacing, so their first harmonics are about alike.
constexpr int impact_harmonics = 4;
/// Nine of ten draws of a normal variate lie above its mean less so many standard deviations.
constexpr double one_in_ten = 1.2816;
constexpr double max_depth = 2;
/// What the envelope spectrum shows of a depth that was put into noise: the window loses 5 % of a
/// line between two bins, flattening and the floor the rest. Measured on Gaussian noise modulated
/// in closed form, 36 draws; the test of this file would notice another value.
constexpr double shown_share = 0.85;
/// The depth is shown in whole per cents.
constexpr double near_enough = 1.03;

/// Mean power of the bins within half an order, of exponentially distributed ones: the median over
/// ln 2.
double floor_about(const EnvelopeSpectrum& s, std::size_t centre, std::size_t half) {
  const std::size_t first = centre > half + 1 ? centre - half : 1;
  const std::size_t last = std::min(centre + half, s.depth2.size() - 1);
  std::vector<double> around(s.depth2.begin() + static_cast<std::ptrdiff_t>(first),
                             s.depth2.begin() + static_cast<std::ptrdiff_t>(last + 1));
  const auto middle = around.begin() + static_cast<std::ptrdiff_t>(around.size() / 2);
  std::nth_element(around.begin(), middle, around.end());
  return *middle / std::numbers::ln2;
}

/// Where the harmonics of impacts at an order lie, and the noise there.
struct ImpactLine {
  std::size_t bin;
  double noise;
};

std::vector<ImpactLine> impact_lines(const EnvelopeSpectrum& whole, double bins_per_order,
                                     Order at) {
  std::vector<ImpactLine> out;
  const auto half = static_cast<std::size_t>(std::max(4.0, bins_per_order / 2));
  for (int k = 1; k <= impact_harmonics; ++k) {
    const double bin = std::round(k * at.value() * bins_per_order);
    if (!(bin >= 1 && bin + 1 < static_cast<double>(whole.depth2.size()))) continue;
    const auto i = static_cast<std::size_t>(bin);
    out.push_back({i, floor_about(whole, i, half)});
  }
  return out;
}

/// The bins with impacts of that depth. The power of a line of power a2 in noise of mean power n
/// has mean a2 + n and variance 2 a2 n + n^2; their sum is as low as in one case of ten.
std::vector<std::pair<std::size_t, double>> with_impacts(const EnvelopeSpectrum& whole,
                                                         const std::vector<ImpactLine>& lines,
                                                         double depth) {
  std::vector<std::pair<std::size_t, double>> out;
  const double a2 = shown_share * shown_share * depth * depth / impact_harmonics;
  for (const auto& [i, n] : lines) {
    const double spread = std::sqrt((2 * a2 * n + n * n) / impact_harmonics);
    out.emplace_back(i, std::max(whole.depth2[i], a2 + n - one_in_ten * spread));
  }
  return out;
}

}  // namespace

std::optional<double> excluded_depth(const EnvelopeSpectrum& whole, Hz shaft,
                                     const DefectOrders& orders, double tolerance,
                                     double order_resolution, const Basis& basis) {
  const JudgementModel& model = basis.model.judgement;
  const double bins_per_order = shaft / whole.line_spacing;
  const double least = strength_at(model.fault_from, model);
  RepeatedEvidence repeated{whole, {shaft, orders, tolerance, basis}};
  std::vector<ImpactLine> lines;
  const auto called = [&](double depth) {
    const auto evidence = repeated.with(with_impacts(whole, lines, depth));
    const Judgement j = judge(evidence, orders, order_resolution, basis.model);
    // Near a shaft harmonic it would have been "cannot tell", which is no "no fault" either.
    return j.verdict == Verdict::fault || j.unresolved;
  };
  double found = least;
  for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element}) {
    lines = impact_lines(whole, bins_per_order, impact_order(part, orders));
    if (called(found)) continue;
    double high = max_depth;
    if (!called(high)) return std::nullopt;
    double low = found;
    while (high / low > near_enough) {
      const double middle = std::sqrt(low * high);
      (called(middle) ? high : low) = middle;
    }
    found = high;
  }
  return found;
}

}  // namespace bearingdsp
