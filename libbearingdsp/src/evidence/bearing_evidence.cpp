#include "bearingdsp/evidence/bearing_evidence.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "evidence/pooled.hpp"

namespace bearingdsp {
namespace {

// A band must hold three harmonics of the inner ring's family, and enough bins for a floor.
constexpr double narrowest_in_bpfi = 3.2;
// A smeared family is told from noise only where the band is wide.
constexpr double least_share_for_smears = 0.33;
constexpr double narrowest_hz = 300;
// Orders shown and searched: five harmonics of the inner ring's family.
constexpr double search_in_bpfi = 5.2;
constexpr double shaft_harmonics_searched = 8.5;

/// The families by which a part may show; the first is its classic one.
std::vector<FamilyTemplate> templates(Part part, const DefectOrders& orders, double tolerance,
                                      const std::vector<Hz>& mains) {
  switch (part) {
    case Part::outer_ring:
      return {{orders.bpfo, 5, tolerance, Order{0}, true, mains}};
    case Part::inner_ring:
      return {{orders.bpfi, 5, tolerance, Order{1}, true, mains}};
    case Part::rolling_element:
      // An element strikes both rings: even harmonics of BSF carry the family.
      return {{2 * orders.bsf, 4, tolerance, orders.ftf, true, mains}};
    case Part::cage:
      // Two damaged elements opposite each other, or the load zone met twice, leave even multiples
      // only.
      return {{orders.ftf, 4, tolerance, Order{0}, true, mains},
              {2 * orders.ftf, 2, tolerance, Order{0}, true, mains}};
  }
  return {};
}

/// Is the family's first harmonic too close to a shaft harmonic to be told from it?
bool beside_shaft(const FamilyTemplate& family, double bins_per_order) {
  const double f = family.fundamental.value();
  return f > 1.5 && std::abs(f - std::round(f)) * bins_per_order < apart_bins;
}

/// Depth that counts over the whole range, less where the shaft's own lines are much deeper.
double weighed(double depth, double share, double shaft_depth) {
  const double strength = depth * std::sqrt(share);
  return shaft_depth > 0 ? strength * std::min(1.0, depth / (shaft_rivalry * shaft_depth))
                         : strength;
}

}  // namespace

std::vector<EnvelopeSpectrum> pooled_envelope_spectra(std::span<const RecordSpectrum> axes,
                                                      std::span<const Band> bands, Hz up_to,
                                                      FftPlans& plans) {
  std::vector<EnvelopeSpectrum> pooled = squared_envelope_spectra(axes[0], bands, up_to, plans);
  for (const auto& axis : axes.subspan(1)) {
    const auto more = squared_envelope_spectra(axis, bands, up_to, plans);
    for (std::size_t b = 0; b < bands.size(); ++b) {
      for (std::size_t k = 0; k < pooled[b].depth2.size(); ++k)
        pooled[b].depth2[k] += more[b].depth2[k];
      pooled[b].kurtosis = std::max(pooled[b].kurtosis, more[b].kurtosis);
    }
  }
  const auto n = static_cast<double>(axes.size());
  if (axes.size() > 1)
    for (auto& spectrum : pooled)
      for (double& d : spectrum.depth2) d /= n;
  return pooled;
}

BandSpectra band_spectra(std::span<const RecordSpectrum> axes, Hz shaft, const DefectOrders& orders,
                         FftPlans& plans) {
  if (axes.empty()) throw std::invalid_argument{"band_spectra: no axis"};
  for (const auto& axis : axes)
    if (axis.n != axes[0].n || axis.rate != axes[0].rate)
      throw std::invalid_argument{"band_spectra: axes differ in length or rate"};
  const Hz up_to = at_speed(
      Order{std::max(search_in_bpfi * orders.bpfi.value(), shaft_harmonics_searched)}, shaft);
  const Hz narrowest{
      std::max(narrowest_hz, narrowest_in_bpfi * orders.bpfi.value() * shaft.value())};
  BandSpectra out;
  const auto tree = band_tree(axes[0].rate, narrowest);
  out.spectra = pooled_envelope_spectra(axes, tree, up_to, plans);
  for (const Band& band : tree) out.share.push_back(band.width() / tree.front().width());
  return out;
}

BearingEvidence bearing_evidence(const BandSpectra& bands, Hz shaft, const DefectOrders& orders,
                                 double tolerance, const std::vector<Hz>& mains) {
  if (bands.spectra.empty()) throw std::invalid_argument{"bearing_evidence: no band"};
  const FamilyTemplate shaft_family{Order{1}, 8, 0.0005, Order{0}, false, {}, false};

  BearingEvidence out;
  for (int p = 0; p < part_count; ++p)
    out.parts[static_cast<std::size_t>(p)].part = static_cast<Part>(p);
  double top = -1;
  const EnvelopeSpectrum* strongest = nullptr;
  for (std::size_t b = 0; b < bands.spectra.size(); ++b) {
    const EnvelopeSpectrum& spectrum = bands.spectra[b];
    const double share = bands.share[b];
    const FamilyScore own = score_family(spectrum, shaft, shaft_family);
    const double shaft_depth = own.strength();
    double best_here = 0;
    for (auto& part : out.parts) {
      for (auto& wanted :
           templates(part.part, orders, tolerance + orders.uncertainty(part.part), mains)) {
        wanted.smeared = share >= least_share_for_smears;
        FamilyScore score = score_family(spectrum, shaft, wanted);
        const double depth = score.strength();
        const double strength = weighed(depth, share, shaft_depth);
        if (beside_shaft(wanted, shaft / spectrum.line_spacing)) {
          wanted.avoid_shaft = false;
          part.unresolved = std::max(
              part.unresolved,
              weighed(score_family(spectrum, shaft, wanted).strength(), share, shaft_depth));
        }
        best_here = std::max(best_here, strength);
        const bool first = part.score.lines.empty() && part.strength == 0;
        if (strength > part.strength || first) {
          part.score = std::move(score);
          part.band = spectrum.band;
          part.band_kurtosis = spectrum.kurtosis;
          part.share = share;
          part.bands = static_cast<double>(b + 1);  // the tree runs from wide to narrow
          part.tolerance = wanted.tolerance;
          part.shaft_depth = shaft_depth;
          part.strength = strength;
        }
      }
    }
    if (b == 0) {
      out.whole = spectrum;
      out.shaft = own;
      out.kurtosis = spectrum.kurtosis;
    }
    if (best_here > top) {
      top = best_here;
      strongest = &spectrum;
    }
  }
  out.strongest = *strongest;
  return out;
}

FamilyEvidence to_family(const PartEvidence& evidence, const DefectOrders& orders) {
  FamilyEvidence f;
  f.part = evidence.part;
  f.expected = orders.of(evidence.part);
  f.slip = evidence.score.slip;
  f.fitted = f.expected * (1 + f.slip);
  f.lines = evidence.score.lines;
  f.harmonics_standing = evidence.score.standing;
  f.sidebands_standing = evidence.score.sidebands;
  f.depth = evidence.score.depth;
  // The best of all bands was taken; they overlap, so their number is an upper bound.
  f.log10_false_alarm = std::min(0.0, evidence.score.log10_chance + std::log10(evidence.bands));
  f.band = evidence.band;
  f.strength = evidence.strength;
  return f;
}

}  // namespace bearingdsp
