#include "bearingdsp/evidence/bearing_evidence.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <stdexcept>
#include <utility>

#include "bearingdsp/evidence/unknown_family.hpp"
#include "evidence/pooled.hpp"
#include "evidence/repeated_evidence.hpp"
#include "evidence/smoothed.hpp"

namespace bearingdsp {
namespace {

/// The families by which a part may show; the first is its classic one.
std::vector<FamilyTemplate> templates(Part part, const DefectOrders& orders, double tolerance,
                                      const std::vector<Hz>& mains, const BandsModel& model) {
  switch (part) {
    case Part::outer_ring:
      return {{orders.bpfo, model.ring_harmonics, tolerance, Order{0}, true, mains}};
    case Part::inner_ring:
      return {{orders.bpfi, model.ring_harmonics, tolerance, Order{1}, true, mains}};
    case Part::rolling_element:
      // An element strikes both rings: even harmonics of BSF carry the family.
      return {{2 * orders.bsf, model.element_harmonics, tolerance, orders.ftf, true, mains}};
    case Part::cage:
      // Two damaged elements opposite each other, or the load zone met twice, leave even multiples
      // only.
      return {{orders.ftf, model.cage_harmonics, tolerance, Order{0}, true, mains},
              {2 * orders.ftf, model.twice_cage_harmonics, tolerance, Order{0}, true, mains}};
  }
  return {};
}

/// A family on the shaft harmonic that it cannot be separated from.
struct Hidden {
  FamilyTemplate family;
  int harmonic;  ///< of the shaft
};

/// Too few revolutions separate them, or slip may bring the series there. None where it is clear.
std::optional<Hidden> hidden_by_shaft(const FamilyTemplate& family, double bins_per_order,
                                      const ModelParameters& model) {
  const double f = family.fundamental.value();
  const double whole = std::round(f);
  const double reach = model.family.apart_bins / bins_per_order;
  // A cage turns less than once while the shaft does: its series has no harmonic from 2 on to hide.
  constexpr double lowest_hidden = 2;
  if (whole < lowest_hidden || std::abs(f - whole) >= reach + model.slip.spread * f)
    return std::nullopt;
  Hidden hidden{family, static_cast<int>(whole)};
  hidden.family.fundamental = Order{whole};
  hidden.family.tolerance = reach / whole;
  hidden.family.avoid_shaft = false;
  hidden.family.min_depth = 0;
  hidden.family.smeared = false;  // what sits on a shaft harmonic is as sharp as it
  return hidden;
}

/// Do the multiples of one shaft harmonic exceed the others? What strikes once a turn makes
/// them all alike; a defect that sits on the third raises the third and sixth. Sidebands at 1x put
/// its lines on all of them, so there the n-th need only be the strongest.
bool every_nth(const FamilyScore& shaft, int nth, bool sidebands, double nth_over_others) {
  double on = 0;
  double others = 0;
  double strongest_other = 0;
  int on_count = 0;
  int other_count = 0;
  for (const auto& line : shaft.lines) {
    if (line.sideband != 0) continue;
    const double power = line.depth * line.depth;
    if (line.harmonic % nth == 0) {
      on += power;
      ++on_count;
    } else {
      others += power;
      strongest_other = std::max(strongest_other, power);
      ++other_count;
    }
  }
  if (on_count == 0 || other_count == 0) return false;
  const double limit = sidebands ? strongest_other : nth_over_others * others / other_count;
  return on / on_count > limit;
}

/// The shaft's own harmonics.
FamilyTemplate shaft_family(const BandsModel& model) {
  return {Order{1}, model.shaft_harmonics, model.shaft_tolerance, Order{0}, false, {}, false};
}

/// Depth that is evidence for a part. A ring's lines are alone within half an order, for its
/// sidebands are a whole order away: they have to stand clear of their rivals there. An element's
/// have the cage's sidebands for rivals.
double depth_of(const FamilyScore& score, Part part, const BandsModel& model) {
  const bool ring = part == Part::outer_ring || part == Part::inner_ring;
  return score.strength(ring ? model.ring_over_rivals_db : 0.0);
}

/// Depth that counts over the whole range, less where the shaft's own lines are much deeper.
double weighed(double depth, double share, double shaft_depth, const FamilyModel& model) {
  const double strength = depth * std::sqrt(share);
  return shaft_depth > 0 ? strength * std::min(1.0, depth / (model.shaft_rivalry * shaft_depth))
                         : strength;
}

/// The families of a bearing in one band.
class BandSearch {
 public:
  BandSearch(const Searched& searched, const EnvelopeSpectrum& spectrum, double share,
             KnownHarmonics* known = nullptr)
      : searched_{searched},
        spectrum_{spectrum},
        share_{share},
        known_{known},
        smooth_{spectrum.depth2} {}

  [[nodiscard]] double share() const { return share_; }
  [[nodiscard]] const EnvelopeSpectrum& spectrum() const { return spectrum_; }

  const FamilyScore& shaft_score() {
    if (!shaft_score_) shaft_score_ = score(shaft_family(searched_.basis.model.bands));
    return *shaft_score_;
  }

  /// Calls found(template, score, strength) for each family by which the part may show.
  /// least(): strength of interest; what cannot reach it need not be scored to the end.
  template <class Least, class Found>
  void each_family(Part part, const Least& least, const Found& found) {
    const BandsModel& bands = searched_.basis.model.bands;
    for (auto& wanted :
         templates(part, searched_.orders, searched_.tolerance + searched_.orders.uncertainty(part),
                   searched_.basis.mains, bands)) {
      wanted.smeared = share_ >= bands.smear_share;
      // A strength is no more than depth x sqrt(share).
      wanted.min_depth = least() / std::sqrt(share_);
      FamilyScore s = score(wanted);
      const double strength = strength_of(s, part);
      found(wanted, std::move(s), strength);
    }
  }

  /// Strength of the family on the shaft harmonic that it cannot be separated from; 0 where it is
  /// clear of it.
  double hidden_strength(Part part, const FamilyTemplate& wanted) {
    const ModelParameters& model = searched_.basis.model;
    const auto hidden = hidden_by_shaft(wanted, searched_.shaft / spectrum_.line_spacing, model);
    if (!hidden || !every_nth(shaft_score(), hidden->harmonic, wanted.sideband == Order{1},
                              model.bands.nth_over_others))
      return 0;
    return strength_of(score(hidden->family), part);
  }

 private:
  [[nodiscard]] FamilyScore score(const FamilyTemplate& wanted) const {
    return score_family(spectrum_, smooth_, searched_.shaft, wanted, searched_.basis.model, known_);
  }
  double strength_of(const FamilyScore& s, Part part) {
    const double depth = depth_of(s, part, searched_.basis.model.bands);
    return depth > 0
               ? weighed(depth, share_, shaft_score().strength(), searched_.basis.model.family)
               : 0.0;
  }

  const Searched& searched_;
  const EnvelopeSpectrum& spectrum_;
  double share_;
  KnownHarmonics* known_;
  Smoothed smooth_;
  std::optional<FamilyScore> shaft_score_;
};

/// Takes a family as the one by which the part shows best. bands: tried so far.
void keep(PartEvidence& part, BandSearch& band, const FamilyTemplate& wanted, FamilyScore score,
          double strength, std::size_t bands) {
  part.score = std::move(score);
  part.band = band.spectrum().band;
  part.band_kurtosis = band.spectrum().kurtosis;
  part.share = band.share();
  part.bands = static_cast<double>(bands);  // the tree runs from wide to narrow
  part.tolerance = wanted.tolerance;
  part.shaft_depth = band.shaft_score().strength();
  part.strength = strength;
}

/// Every part in one band, the b-th: better ones than before are kept, and in which spectrum.
/// Returns the largest strength.
double search_band(BandSearch& here, std::size_t b, double least,
                   std::array<PartEvidence, part_count>& parts,
                   std::array<const EnvelopeSpectrum*, part_count>& at) {
  double best_here = 0;
  for (auto& part : parts) {
    // What cannot beat the bands before is spared. The whole band, the first, shows how the lines
    // lie where no band is strong.
    bool first = part.score.lines.empty() && part.strength == 0;
    here.each_family(
        part.part, [&] { return b == 0 ? 0.0 : std::max(least, part.strength); },
        [&](const FamilyTemplate& wanted, FamilyScore score, double strength) {
          part.unresolved = std::max(part.unresolved, here.hidden_strength(part.part, wanted));
          best_here = std::max(best_here, strength);
          if (strength > part.strength || first) {
            keep(part, here, wanted, std::move(score), strength, b + 1);
            at[static_cast<std::size_t>(part.part)] = &here.spectrum();
          }
          first = part.score.lines.empty() && part.strength == 0;
        });
  }
  return best_here;
}

/// Lines beside and between those of a component that the component itself does not cause.
void look_beside(PartEvidence& part, const EnvelopeSpectrum& spectrum, const Searched& searched) {
  if (!(part.strength > 0) || part.part == Part::cage) return;
  const FamilyModel& model = searched.basis.model.family;
  const Smoothed smooth{spectrum.depth2};
  const double bins_per_order = searched.shaft / spectrum.line_spacing;
  const auto line_off_shaft = [&](double order) -> std::optional<LineEvidence> {
    if (std::abs(order - std::round(order)) * bins_per_order < model.apart_bins)
      return std::nullopt;
    return line_at(smooth, Order{order}, bins_per_order, model);
  };
  double own = 0;
  double between = 0;
  int lines = 0;
  int between_lines = 0;
  int detected = 0;
  for (const LineEvidence& line : part.score.lines) {
    if (line.sideband != 0 || line.shared) continue;
    ++lines;
    own += line.detected ? line.depth * line.depth : 0.0;
    for (const double side : {-1.0, 1.0}) {
      if (!line.detected || part.part == Part::inner_ring) continue;
      const auto beside = line_off_shaft(line.order.value() + side);
      if (!beside || !beside->detected) continue;
      ++part.turning;
      part.turning_power += beside->depth * beside->depth;
    }
    const auto half = line_off_shaft(line.order.value() * (1 - 0.5 / line.harmonic));
    if (!half) continue;
    ++between_lines;
    if (!half->detected) continue;
    ++detected;
    between += half->depth * half->depth;
  }
  constexpr int enough = 3;
  if (detected >= enough && own > 0) part.between = between / between_lines / (own / lines);
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

BandNeeds band_needs(Hz shaft, const DefectOrders& orders, const ModelParameters& model) noexcept {
  const BandsModel& m = model.bands;
  return {at_speed(m.search_in_bpfi * orders.bpfi, shaft),
          Hz{std::max(m.narrowest_hz, m.narrowest_in_bpfi * orders.bpfi.value() * shaft.value())}};
}

BandSpectra band_spectra(std::span<const RecordSpectrum> axes, Hz shaft, const BandNeeds& needs,
                         FftPlans& plans, const ModelParameters& model) {
  if (axes.empty()) throw std::invalid_argument{"band_spectra: no axis"};
  for (const auto& axis : axes)
    if (axis.n != axes[0].n || axis.rate != axes[0].rate)
      throw std::invalid_argument{"band_spectra: axes differ in length or rate"};
  BandSpectra out;
  const auto tree = band_tree(axes[0].rate, needs.narrowest);
  out.spectra =
      pooled_envelope_spectra(axes, std::span{tree}.first(1),
                              std::max(needs.up_to, unknown_family_reach(shaft, model)), plans);
  for (auto& spectrum :
       pooled_envelope_spectra(axes, std::span{tree}.subspan(1), needs.up_to, plans))
    out.spectra.push_back(std::move(spectrum));
  for (const Band& band : tree) out.share.push_back(band.width() / tree.front().width());
  return out;
}

BandSpectra band_spectra(std::span<const RecordSpectrum> axes, Hz shaft, const DefectOrders& orders,
                         FftPlans& plans, const ModelParameters& model) {
  return band_spectra(axes, shaft, band_needs(shaft, orders, model), plans, model);
}

BearingEvidence bearing_evidence(const BandSpectra& bands, Hz shaft, const DefectOrders& orders,
                                 double tolerance, const Basis& basis, double least, Hz narrowest) {
  if (bands.spectra.empty()) throw std::invalid_argument{"bearing_evidence: no band"};
  BearingEvidence out;
  for (int p = 0; p < part_count; ++p)
    out.parts[static_cast<std::size_t>(p)].part = static_cast<Part>(p);
  const Searched searched{shaft, orders, tolerance, basis};
  double top = -1;
  const EnvelopeSpectrum* strongest = nullptr;
  std::array<const EnvelopeSpectrum*, part_count> at{};
  for (std::size_t b = 0; b < bands.spectra.size(); ++b) {
    const EnvelopeSpectrum& spectrum = bands.spectra[b];
    if (b > 0 && spectrum.band.width() < narrowest) continue;
    BandSearch here{searched, spectrum, bands.share[b]};
    const double best_here = search_band(here, b, least, out.parts, at);
    if (b == 0) {
      out.whole = spectrum;
      out.shaft = here.shaft_score();
      out.kurtosis = spectrum.kurtosis;
    }
    if (best_here > top) {
      top = best_here;
      strongest = &spectrum;
    }
  }
  for (auto& part : out.parts)
    if (const auto* spectrum = at[static_cast<std::size_t>(part.part)])
      look_beside(part, *spectrum, searched);
  out.strongest = *strongest;
  return out;
}

BearingEvidence RepeatedEvidence::with(const std::vector<std::pair<std::size_t, double>>& bins) {
  std::vector<std::ptrdiff_t> changed;
  for (const auto& [bin, value] : bins) {
    spectrum_.depth2[bin] = value;
    changed.push_back(static_cast<std::ptrdiff_t>(bin));
  }
  known_.differs_in(std::move(changed));
  BearingEvidence out;
  for (int p = 0; p < part_count; ++p)
    out.parts[static_cast<std::size_t>(p)].part = static_cast<Part>(p);
  std::array<const EnvelopeSpectrum*, part_count> at{};
  BandSearch here{searched_, spectrum_, 1.0, &known_};
  (void)search_band(here, 0, 0, out.parts, at);
  out.shaft = here.shaft_score();
  for (auto& part : out.parts)
    if (at[static_cast<std::size_t>(part.part)] != nullptr) look_beside(part, spectrum_, searched_);
  for (const auto& [bin, value] : bins) spectrum_.depth2[bin] = whole_.depth2[bin];
  return out;
}

std::vector<BandStrength> band_strengths(const BandSpectra& bands, Hz shaft,
                                         const DefectOrders& orders, double tolerance,
                                         const Basis& basis) {
  std::vector<BandStrength> all;
  const Searched searched{shaft, orders, tolerance, basis};
  for (std::size_t b = 0; b < bands.spectra.size(); ++b) {
    const EnvelopeSpectrum& spectrum = bands.spectra[b];
    BandSearch band{searched, spectrum, bands.share[b]};
    BandStrength here{spectrum.band, Part::outer_ring, 0, spectrum.kurtosis};
    for (int p = 0; p < part_count; ++p)
      band.each_family(
          static_cast<Part>(p), [] { return 0.0; },
          [&](const FamilyTemplate&, const FamilyScore&, double strength) {
            if (strength > here.strength)
              here = {here.band, static_cast<Part>(p), strength, here.kurtosis};
          });
    all.push_back(here);
  }
  return all;
}

FamilyEvidence to_family(const PartEvidence& evidence, const DefectOrders& orders) {
  FamilyEvidence f;
  f.part = evidence.part;
  f.expected = orders.of(evidence.part);
  f.slip = evidence.score.slip;
  f.fitted = f.expected * (1 + f.slip);
  f.lines = evidence.score.lines;
  f.harmonics_detected = evidence.score.standing;
  f.sidebands_detected = evidence.score.sidebands;
  f.depth = evidence.score.depth;
  // The best of all bands was taken; they overlap, so their number is an upper bound.
  f.log10_false_alarm = std::min(0.0, evidence.score.log10_chance + std::log10(evidence.bands));
  f.band = evidence.band;
  f.strength = evidence.strength;
  return f;
}

}  // namespace bearingdsp
