#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/evidence/unknown_family.hpp"
#include "bearingdsp/spectra/cyclic_coherence.hpp"
#include "capture/quality_measured.hpp"
#include "core/mains.hpp"
#include "evidence/transforms.hpp"
#include "verdict/envelope_amplitude.hpp"
#include "verdict/examination_detail.hpp"
#include "verdict/excluded_depth.hpp"
#include "verdict/foreign_family.hpp"
#include "verdict/mixture.hpp"
#include "verdict/shared_bands.hpp"
#include "verdict/steadiness.hpp"
#include "verdict/unexplained_impacts.hpp"
#include "verdict/unknown_bearing.hpp"
#include "verdict/weigh.hpp"
#include "verdict/words.hpp"

namespace bearingdsp {
namespace {

/// rms of the alternating part of the envelope in a band, in the unit of the samples.
double envelope_level(const RecordSpectrum& spectrum, Band band, FftPlans& plans) {
  const double df = spectrum.line_spacing().value();
  const auto first = static_cast<std::size_t>(std::max(1.0, std::round(band.low.value() / df)));
  const auto last = std::min(spectrum.bins.size() - 1,
                             static_cast<std::size_t>(std::round(band.high.value() / df)));
  if (first + 8 > last) return 0;
  const auto e2 = squared_envelope(spectrum.bins, spectrum.n, first, last, plans,
                                   {.alias_free_lines = 0, .edge_lines = 0});
  double sum = 0;
  double sum2 = 0;
  for (const double e : e2) {
    sum += std::sqrt(e);
    sum2 += e;
  }
  const auto n = static_cast<double>(e2.size());
  return std::sqrt(std::max(0.0, sum2 / n - sum / n * (sum / n)));
}

Curve envelope_curve(const EnvelopeSpectrum& spectrum, std::size_t lines, Hz shaft,
                     std::string title) {
  Curve c{std::move(title), "", "orders", "modulation depth", {}, {}};
  for (std::size_t k = 1; k < std::min(lines, spectrum.depth2.size()); ++k) {
    c.x.push_back(static_cast<double>(k) * (spectrum.line_spacing / shaft));
    c.y.push_back(std::sqrt(spectrum.depth2[k]));
  }
  return c;
}

/// What the positions of one machine share after the bands, made where it is first asked for.
class SharedFigures {
 public:
  SharedFigures(const ExaminationDetail& detail, FftPlans& plans)
      : detail_{detail}, plans_{plans}, quality_(detail.chosen.size()) {}
  /// Of the examined axes.
  const std::vector<RecordSpectrum>& spectra() {
    if (spectra_.empty()) spectra_ = record_spectra(detail_.axes(), plans_);
    return spectra_;
  }
  /// Of a chosen channel, by its place among them.
  const capture_detail::MeasuredQuality& quality(std::size_t chosen) {
    auto& kept = quality_[chosen];
    if (!kept) {
      const Capture& capture = *detail_.capture;
      const std::size_t channel = detail_.chosen[chosen];
      kept = capture_detail::measure_quality(capture.view(channel),
                                             capture.channels[channel].full_scale, plans_,
                                             &detail_.repaired.glitches[chosen]);
    }
    return *kept;
  }

 private:
  const ExaminationDetail& detail_;
  FftPlans& plans_;
  std::vector<RecordSpectrum> spectra_;
  std::vector<std::optional<capture_detail::MeasuredQuality>> quality_;
};

/// Quality of the chosen channels for what is asked.
void assess(Diagnosis& d, const ExaminationDetail& detail, SharedFigures& shared) {
  const Capture& capture = *detail.capture;
  QualityNeeds needs;
  if (d.speed.found()) needs.shaft = d.speed.rate;
  // With still fewer there is no answer, and the headline says why.
  if (d.orders &&
      d.duration.value() * d.speed.rate.value() >= detail.options.model.record.min_revolutions)
    needs.revolutions = telling_revolutions;
  if (d.orders) needs.smallest_spacing = 0.9 * d.orders->ftf;
  std::size_t with_broadband = 0;
  const bool others_live = std::any_of(d.figures.begin(), d.figures.end(),
                                       [](const SignalFigures& f) { return f.rms > 0; });
  for (std::size_t c = 0; c < detail.chosen.size(); ++c) {
    ++with_broadband;
    for (auto& finding : capture_detail::quality_for(shared.quality(c), needs)) {
      finding.where = capture.channels[detail.chosen[c]].name;
      // A silent axis takes nothing from what the others show.
      if (finding.kind == FindingKind::dead_channel && others_live) {
        finding.weight = Weight::caution;
        finding.consequence += "; the others are judged without it";
      }
      if (finding.kind == FindingKind::no_broadband || finding.kind == FindingKind::dead_channel)
        --with_broadband;
      d.findings.push_back(std::move(finding));
    }
  }
  if (with_broadband > 0)
    for (auto& finding : d.findings)
      if (finding.kind == FindingKind::no_broadband) finding.weight = Weight::note;
}

void take_judgement(Diagnosis& d, const Judgement& j) {
  d.verdict = j.verdict;
  d.place = j.place;
  d.probability_of_damage = j.damage;
  d.probability_of_part = j.part;
  d.probability_of_place = j.place_probability;
  d.place_set = j.set;
}

/// Takes "no fault" back: of this bearing nothing is known.
void cannot_tell(Diagnosis& d) { take_judgement(d, {.damage = 0.5}); }

/// Impacts at no order of the bearing given: damage of another one, or nothing that can be said.
/// The speed had been refined on lines of the bearing given, which this one does not have: the
/// series is stated at the `speed` before that, and what was fitted to those lines is dropped.
void name_another_bearing(Diagnosis& d, UnknownFamily series, const ShaftSpeed& speed,
                          const ModelParameters& parameters) {
  const auto other = another_bearing(series, parameters);
  if (!other) return cannot_tell(d);
  take_judgement(d, *other);
  series.fundamental = to_order(at_speed(series.fundamental, d.speed.rate), speed.rate);
  d.speed = speed;
  d.unknown_order = series.fundamental;
  d.families.clear();
  d.bands.clear();
  d.bands_tried.clear();
  d.findings.push_back(
      {FindingKind::ambiguous, Weight::caution, "",
       fmt::format("impacts at {:.3f} x shaft speed, which is no frequency of the bearing given",
                   series.fundamental.value()),
       "another bearing than the one given is damaged, or another machine part strikes",
       "check the bearing number, and the bearing at the other end"});
}

/// With a wrong bearing number the damaged bearing's lines are where nobody looked, and what
/// stands at this bearing's orders are their sidebands and multiples. A strong family that is
/// neither the shaft's nor this bearing's makes both "no fault" and a fault that it explains
/// "cannot tell".
void question_the_bearing(Diagnosis& d, const BearingEvidence& evidence, const Judgement& judgement,
                          const ShaftSpeed& before, const Basis& basis, double order_resolution) {
  const ModelParameters& parameters = basis.model;
  const JudgementModel& model = parameters.judgement;
  double least = strength_at(model.fault_from, model);
  if (d.verdict != Verdict::no_fault) least = std::max(least, judgement.strength);
  const UnknownFamily unknown = search_unknown_family(evidence.whole, d.speed.rate, basis, least);
  if (unknown.strength < least) return;
  if (d.verdict != Verdict::no_fault) {
    if (of_this_bearing(unknown.fundamental, evidence, *d.orders, order_resolution, parameters))
      return;
    const double left = strength_beside(
        unknown, evidence, judgement, *d.orders, order_resolution,
        parameters.tried.uncertainty_reach * d.speed.relative_uncertainty, parameters);
    if (damage_probability(left, model) >= model.fault_from) return;
  }
  d.unknown_order = unknown.fundamental;
  const auto near = near_component(unknown, *d.orders, parameters);
  if (!near) return name_another_bearing(d, unknown, before, parameters);
  take_judgement(d, near->judgement);
  d.order_deviation = near->deviation;
  d.findings.push_back(
      {FindingKind::ambiguous, Weight::caution, "",
       fmt::format("impacts at {:.3f} x shaft speed, {:.1f} % {} {} of the bearing given ({:.3f})",
                   unknown.fundamental.value(), 100 * std::abs(near->deviation),
                   near->deviation < 0 ? "below" : "above",
                   near->part == Part::outer_ring ? "BPFO" : "BPFI",
                   d.orders->of(near->part).value()),
       "another bearing is fitted, its inside differs from the catalogue, or it runs without load",
       "count the rolling elements and give --elements, or check the number on the bearing"});
}

/// "No fault" holds only if the shaft's speed was known all through the recording, and is the
/// shaft's.
void question_the_speed(Diagnosis& d, const ShaftMotion& motion, const Basis& basis,
                        SharedFigures& shared, FftPlans& plans) {
  if (d.verdict == Verdict::no_fault)
    if (auto doubt = motion_in_doubt(motion, shared.spectra(), basis, plans))
      d.findings.push_back(std::move(*doubt));
  const auto open = std::find_if(d.findings.begin(), d.findings.end(), [&](const Finding& f) {
    return f.weight == Weight::caution &&
           (f.kind == FindingKind::speed_varies ||
            (f.kind == FindingKind::speed_implausible && motion.may_be_supplys));
  });
  if (d.verdict != Verdict::no_fault || open == d.findings.end()) return;
  open->weight = Weight::blocking;
  cannot_tell(d);
}

/// "No fault" holds only if no train of impacts is left unexplained.
void question_the_silence(Diagnosis& d, const EnvelopeSpectrum& whole,
                          const DiagnoseOptions& options, const Basis& basis) {
  if (d.verdict != Verdict::no_fault) return;
  // Impacts make all multiples of their rate alike; only a shaft makes the first one larger.
  const double likely = basis.model.impacts.unbalance;
  const bool unbalanced =
      std::any_of(d.other_causes.begin(), d.other_causes.end(), [&](const CauseEvidence& c) {
        return c.cause == OtherCause::unbalance && c.probability >= likely;
      });
  auto doubt = unbalanced ? std::optional<Finding>{}
                          : impacts_at_assumed_rate(whole, d.speed, options, d.orders, basis);
  if (!doubt && d.orders) doubt = impacts_at_cage_rate(whole, d.speed, *d.orders, basis);
  if (doubt) d.findings.push_back(std::move(*doubt));
}

/// "No fault" holds only for a recording that can be trusted: half clipped, it shows no impacts. Of
/// tones and a recorder's rounding between them nothing holds.
void question_the_record(Diagnosis& d) {
  const bool nothing = std::any_of(d.findings.begin(), d.findings.end(), [](const Finding& f) {
    return f.kind == FindingKind::no_broadband && f.weight == Weight::caution;
  });
  if (nothing || (d.verdict == Verdict::no_fault &&
                  std::any_of(d.findings.begin(), d.findings.end(), wording::leaves_open)))
    cannot_tell(d);
}

/// Where the sample rate is open, so is every frequency: neither a fault nor its absence holds.
void question_the_rate(Diagnosis& d) {
  const bool open = std::any_of(d.findings.begin(), d.findings.end(), [](const Finding& f) {
    return f.kind == FindingKind::rate_disagrees && f.weight == Weight::blocking;
  });
  if (!open) return;
  cannot_tell(d);
  d.unknown_order.reset();
  d.order_deviation.reset();
  d.other_causes.clear();
}

void keep_bands(Diagnosis& d, const BearingEvidence& evidence) {
  for (const auto& family : d.families) {
    if (!(family.strength > 0)) continue;
    const bool known = std::any_of(d.bands.begin(), d.bands.end(), [&](const BandEvidence& b) {
      return b.band.low == family.band.low && b.band.high == family.band.high;
    });
    if (known) continue;
    const auto& part = evidence.parts[static_cast<std::size_t>(family.part)];
    d.bands.push_back(
        {family.band, family.channel, part.band_kurtosis, part.score.evidence, part.share});
  }
}

void keep_bands_tried(Diagnosis& d, const BandSpectra& bands, double tolerance,
                      const Basis& basis) {
  for (const BandStrength& b : band_strengths(bands, d.speed.rate, *d.orders, tolerance, basis))
    d.bands_tried.push_back({b.band, b.part, b.strength, b.kurtosis, false});
  const auto strongest = std::max_element(
      d.bands_tried.begin(), d.bands_tried.end(),
      [](const BandTried& a, const BandTried& b) { return a.strength < b.strength; });
  if (strongest != d.bands_tried.end() && strongest->strength > 0) strongest->chosen = true;
}

/// The cyclic frequencies that are looked at: three to four harmonics of the inner ring's family.
Hz highest_shown(const Diagnosis& d) {
  constexpr double without_bearing = 20;
  const double most = d.orders ? 3.5 * d.orders->bpfi.value() : without_bearing;
  return at_speed(Order{most}, d.speed.rate);
}

/// A candidate, or none, under the motion that it gives the shaft.
struct Hypothesis {
  std::optional<DefectOrders> orders;
  ShaftMotion motion;
  Findings findings;
  double revolutions{0};
  std::optional<std::size_t> group;  ///< none: no speed, or too few revolutions
};

/// The candidates for one bearing.
struct Position {
  std::vector<BearingCandidate> candidates;
  std::vector<Hypothesis> hypotheses;  ///< as many, or one without a bearing
};

Hypothesis hypothesis(const ExaminationDetail& detail, std::optional<DefectOrders> orders,
                      BandGroups& groups) {
  Hypothesis h;
  h.motion = find_motion(detail.motion, detail.options, orders, h.findings);
  const ShaftSpeed& speed = h.motion.speed.best;
  h.orders = std::move(orders);
  if (!speed.found()) return h;
  h.revolutions = detail.found.duration.value() * speed.rate.value();
  if (h.revolutions < detail.options.model.record.min_revolutions) return h;
  h.group = groups.add(
      h.motion, h.orders ? std::optional{band_needs(speed.rate, *h.orders, detail.options.model)}
                         : std::nullopt);
  return h;
}

Position position(const ExaminationDetail& detail, std::vector<BearingCandidate> candidates,
                  BandGroups& groups) {
  Position p;
  if (candidates.empty()) {
    p.hypotheses.push_back(hypothesis(detail, std::nullopt, groups));
    return p;
  }
  for (const BearingCandidate& c : candidates)
    p.hypotheses.push_back(hypothesis(detail, c.orders, groups));
  // Of candidates some may leave the speed open: the others are judged without them.
  const bool any = std::any_of(p.hypotheses.begin(), p.hypotheses.end(),
                               [](const Hypothesis& h) { return h.group.has_value(); });
  for (std::size_t i = 0; i < candidates.size();) {
    if (any && !p.hypotheses[i].group) {
      p.hypotheses.erase(p.hypotheses.begin() + static_cast<std::ptrdiff_t>(i));
      candidates.erase(candidates.begin() + static_cast<std::ptrdiff_t>(i));
    } else {
      ++i;
    }
  }
  p.candidates = std::move(candidates);
  return p;
}

/// What the motion of a hypothesis says of the recording as a whole.
void take_motion(Diagnosis& d, const Hypothesis& h, const ExaminationDetail& detail, bool causes,
                 SharedFigures& shared, FftPlans& plans) {
  d.orders = h.orders;
  d.speed = h.motion.speed.best;
  d.findings.insert(d.findings.end(), h.findings.begin(), h.findings.end());
  assess(d, detail, shared);
  if (!causes) return;
  const EvenAxes even = evened(detail.axes(), h.motion.track);
  std::vector<std::span<const std::complex<double>>> known;
  if (!h.motion.track)
    for (const RecordSpectrum& spectrum : shared.spectra()) known.emplace_back(spectrum.bins);
  d.other_causes =
      detail::other_causes(even.views, known, detail.axis_names, d.speed,
                           {.line_frequency = detail.options.line_frequency,
                            .pole_pairs = detail.options.pole_pairs,
                            .min_probability = detail.options.model.causes.min_probability},
                           plans, detail.options.model);
}

std::string words_of(const DefectOrders& orders) {
  return orders.rolling_elements > 0 ? fmt::format("{} elements", orders.rolling_elements)
                                     : fmt::format("BPFO {:.3f}", orders.bpfo.value());
}

std::string_view answer(const Judgement& j) {
  return j.verdict == Verdict::fault ? words(j.place) : words(j.verdict);
}

/// Which candidates were tried, and what each says by itself.
Finding ambiguous(const std::vector<BearingCandidate>& candidates,
                  const std::vector<Weighed>& weighed, const DefectOrders& shown) {
  std::string tried;
  bool differ = false;
  for (std::size_t i = 0; i < weighed.size(); ++i) {
    const Judgement& j = weighed[i].judgement;
    differ = differ || answer(j) != answer(weighed[0].judgement);
    add_part(tried, fmt::format("{}: {} (damage {:.0f} %)", words_of(candidates[i].orders),
                                answer(j), 100 * j.damage));
  }
  Finding f;
  f.kind = FindingKind::ambiguous;
  f.weight = differ ? Weight::caution : Weight::note;
  f.what = fmt::format("the designation stands for {} different bearings. Tried: {}",
                       candidates.size(), tried);
  f.consequence = differ ? fmt::format(
                               "the answer depends on which one is fitted; shown is the "
                               "one with {}",
                               words_of(shown))
                         : "all of them give the same answer";
  f.advice = "count the rolling elements, or read the manufacturer, and give --elements";
  return f;
}

void take_families(Diagnosis& d, const BearingEvidence& evidence, const Judgement& own,
                   const std::string& names) {
  for (const auto& part : evidence.parts) {
    d.families.push_back(to_family(part, *d.orders));
    d.families.back().channel = names;
    d.families.back().strength = own.own_strength[static_cast<std::size_t>(part.part)];
  }
  std::stable_sort(d.families.begin(), d.families.end(),
                   [](const auto& a, const auto& b) { return a.strength > b.strength; });
}

/// Without a bearing: is there a harmonic series that is not the shaft's?
Judgement judge_unknown(Diagnosis& d, const EnvelopeSpectrum& whole, const Basis& basis) {
  const UnknownFamily unknown = search_unknown_family(whole, d.speed.rate, basis);
  const Judgement j =
      judge_without_bearing(unknown, unknown_cage(whole, d.speed.rate, basis), basis.model);
  take_judgement(d, j);
  d.unknown_order = unknown.strength > 0 ? std::optional{unknown.fundamental} : std::nullopt;
  return j;
}

/// rms of the envelope in the band that is shown, channel by channel.
void add_envelope_levels(Diagnosis& d, const SharedBands& shared, Band band, SharedFigures& figures,
                         FftPlans& plans) {
  for (std::size_t a = 0, f = 0; f < d.figures.size(); ++f) {
    if (!(d.figures[f].rms > 0)) continue;
    double sum = 0;
    for (std::size_t i = 0; i < shared.pieces; ++i, ++a) {
      const double level =
          shared.pieces == 1 ? envelope_level(figures.spectra()[a], band, plans)
                             : envelope_level(record_spectrum(shared.cuts[a], plans), band, plans);
      sum += level * level;
    }
    d.figures[f].envelope_rms = std::sqrt(sum / static_cast<double>(shared.pieces));
  }
}

void add_envelope_curves(Diagnosis& d, const EnvelopeSpectrum& whole,
                         const EnvelopeSpectrum& strongest) {
  // The whole band's reaches farther than the bearing's lines.
  const std::size_t lines = strongest.depth2.size();
  d.curves.push_back(envelope_curve(whole, lines, d.speed.rate, "envelope spectrum, whole band"));
  d.curves.push_back(
      envelope_curve(strongest, lines, d.speed.rate, "envelope spectrum, strongest band"));
}

/// The judgement of one position, with what a reader is shown of it.
class Conclusion {
 public:
  Conclusion(const ExaminationDetail& detail, FftPlans& plans, const BandGroups& groups,
             SharedFigures& figures, const Position& at, bool full)
      : detail_{detail},
        plans_{plans},
        groups_{groups},
        figures_{figures},
        at_{at},
        full_{full},
        basis_{basis_on(detail.options.line_frequency, detail.options.model)} {
    d_ = detail.found;
    if (!full) d_.curves.clear();
  }

  Diagnosis draw() {
    const bool any = std::any_of(at_.hypotheses.begin(), at_.hypotheses.end(),
                                 [](const Hypothesis& h) { return h.group.has_value(); });
    if (!any) {
      const Hypothesis& h = at_.hypotheses.front();
      take_motion(d_, h, detail_, full_, figures_, plans_);
      question_the_rate(d_);
      wording::explain(d_, {}, d_.speed.found() ? std::optional{h.revolutions} : std::nullopt);
      return std::move(d_);
    }
    if (at_.candidates.empty()) {
      take_motion(d_, at_.hypotheses.front(), detail_, full_, figures_, plans_);
      without_bearing(at_.hypotheses.front());
    } else {
      with_candidates();
    }
    return std::move(d_);
  }

 private:
  void add_trail(const Hypothesis& h, const SharedBands& shared) {
    if (h.motion.track) d_.trail.push_back({"order_tracking", "source=" + h.motion.track->source});
    if (shared.pieces > 1) d_.trail.push_back({"cut", "pieces=" + std::to_string(shared.pieces)});
    d_.trail.push_back(
        {"flatten", "smoothing=" + wording::number(shared.smoothing.value()) + " Hz"});
  }

  void add_shown(const SharedBands& shared, const EnvelopeSpectrum& whole,
                 const EnvelopeSpectrum& strongest) {
    if (!full_) return;
    if (detail_.options.keep_curves == CurvesKept::all)
      d_.coherence = cyclic_coherence(shared.flat, highest_shown(d_), plans_);
    add_envelope_levels(d_, shared, strongest.band, figures_, plans_);
    if (detail_.options.keep_curves != CurvesKept::none) add_envelope_curves(d_, whole, strongest);
    if (detail_.options.keep_curves != CurvesKept::all) return;
    const Order highest{d_.curves.back().x.empty() ? 0 : d_.curves.back().x.back()};
    if (auto c = envelope_amplitude(detail_, shared, d_, strongest.band, highest, plans_))
      d_.curves.push_back(std::move(*c));
  }

  void without_bearing(const Hypothesis& h) {
    const SharedBands& shared = groups_[*h.group];
    add_trail(h, shared);
    const EnvelopeSpectrum& whole = shared.bands.spectra.front();
    const Judgement j = judge_unknown(d_, whole, basis_);
    question_the_speed(d_, h.motion, basis_, figures_, plans_);
    question_the_silence(d_, whole, detail_.options, basis_);
    question_the_record(d_);
    add_shown(shared, whole, whole);
    question_the_rate(d_);
    wording::explain(d_, j, h.revolutions);
  }

  void with_candidates() {
    std::vector<Weighed> weighed;
    for (const Hypothesis& h : at_.hypotheses) {
      const SharedBands& shared = groups_[*h.group];
      weighed.push_back(weigh(shared.bands, h.motion.speed, *h.orders, shared.piece, basis_));
    }
    const Mixture mixture = mix(weighed, at_.candidates, basis_.model);
    const Hypothesis& h = at_.hypotheses[mixture.best];
    const SharedBands& shared = groups_[*h.group];
    const Weighed& w = weighed[mixture.best];
    take_motion(d_, h, detail_, full_, figures_, plans_);
    add_trail(h, shared);
    d_.speed = w.speed;
    d_.trail.push_back({"bearing_evidence", "tolerance=" + wording::number(w.tolerance)});
    take_families(d_, w.evidence, w.judgement, detail_.names);
    keep_bands(d_, w.evidence);
    if (full_ && detail_.options.keep_curves == CurvesKept::all)
      keep_bands_tried(d_, shared.bands, w.tolerance, basis_);
    take_judgement(d_, mixture.judgement);
    question_the_bearing(d_, w.evidence, mixture.judgement, h.motion.speed.best, basis_,
                         static_cast<double>(shared.pieces) / h.revolutions);
    question_the_speed(d_, h.motion, basis_, figures_, plans_);
    question_the_silence(d_, w.evidence.whole, detail_.options, basis_);
    question_the_record(d_);
    if (at_.candidates.size() > 1)
      d_.findings.push_back(ambiguous(at_.candidates, weighed, *d_.orders));
    add_shown(shared, w.evidence.whole, w.evidence.strongest);
    question_the_rate(d_);
    if (d_.verdict == Verdict::no_fault)
      d_.excluded_depth =
          excluded_depth(w.evidence.whole, d_.speed.rate, *d_.orders, w.tolerance,
                         static_cast<double>(shared.pieces) / h.revolutions, basis_);
    wording::explain(d_, mixture.judgement, h.revolutions);
  }

  const ExaminationDetail& detail_;
  FftPlans& plans_;
  const BandGroups& groups_;
  SharedFigures& figures_;
  const Position& at_;
  bool full_;
  Basis basis_;
  Diagnosis d_;
};

/// Nothing varies: there is nothing to judge.
Diagnosis nothing_recorded(const ExaminationDetail& detail,
                           const std::vector<BearingCandidate>& bearings) {
  Diagnosis d = detail.found;
  if (!bearings.empty()) d.orders = bearings.front().orders;
  d.findings.push_back({FindingKind::dead_channel, Weight::blocking, detail.names,
                        "every chosen channel is constant", "there is nothing to analyse",
                        "check the sensor, the cable and the channel"});
  wording::explain(d, {}, std::nullopt);
  return d;
}

Result<void> check(const std::vector<BearingCandidate>& bearings) {
  for (const BearingCandidate& b : bearings) {
    for (const Order o : {b.orders.bpfo, b.orders.bpfi, b.orders.bsf, b.orders.ftf})
      if (!(o.value() > 0 && std::isfinite(o.value())))
        return Error{Errc::bad_argument, "defect orders", "are not all above zero",
                     "give BPFO, BPFI, BSF and FTF"};
    if (!(b.weight > 0 && std::isfinite(b.weight)))
      return Error{Errc::bad_argument, "weight of a bearing", "is not above zero",
                   "give each candidate a weight such as 1"};
  }
  return {};
}

}  // namespace

Result<std::vector<Diagnosis>> judge_positions(
    const Examination& examination, FftPlans& plans,
    const std::vector<std::vector<BearingCandidate>>& positions) {
  const ExaminationDetail& detail = examination.detail();
  for (const auto& bearings : positions)
    if (auto ok = check(bearings); !ok) return ok.error();
  std::vector<Diagnosis> out;
  if (detail.axes().empty()) {
    for (const auto& bearings : positions) out.push_back(nothing_recorded(detail, bearings));
    return out;
  }
  BandGroups groups{detail, plans};
  std::vector<Position> at;
  for (const auto& bearings : positions) at.push_back(position(detail, bearings, groups));
  groups.demodulate(detail.options.keep_curves == CurvesKept::all);
  SharedFigures figures{detail, plans};
  for (const Position& p : at)
    out.push_back(Conclusion{detail, plans, groups, figures, p, out.empty()}.draw());
  return out;
}

Result<Diagnosis> judge(const Examination& examination, FftPlans& plans,
                        const std::vector<BearingCandidate>& bearings) {
  auto all = judge_positions(examination, plans, {bearings});
  if (!all) return all.error();
  return std::move(all->front());
}

Result<Diagnosis> diagnose(const Capture& capture, FftPlans& plans,
                           const DiagnoseOptions& options) {
  // Judged before the call returns, so nothing outlives the caller's capture.
  const std::shared_ptr<const Capture> borrowed{std::shared_ptr<void>{}, &capture};
  const auto examination = examine(borrowed, plans, options);
  if (!examination) return examination.error();
  return judge(*examination, plans, options.bearings);
}

}  // namespace bearingdsp
