#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <numeric>
#include <span>
#include <string>

#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/dsp/integrate.hpp"
#include "bearingdsp/dsp/spectrum.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "bearingdsp/evidence/unknown_family.hpp"
#include "bearingdsp/spectra/cyclic_coherence.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "verdict/foreign_family.hpp"
#include "verdict/shaft_motion.hpp"
#include "verdict/words.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t least_samples = 1024;
// Slip of 1-2 % from the kinematic orders is common [randall2011].
constexpr double slip_tolerance = 0.02;
constexpr double slip_spread = 0.01;
constexpr double widest_tolerance = 0.08;
// Speeds less likely than this are not tried, nor more than this many.
constexpr double least_candidate = 0.05;
constexpr int most_candidates = 3;
// A part weaker than this in every band is left at what the whole band shows of it: it moves the
// probability of damage by less than 0.00001.
constexpr double least_strength = 0.03;
// Fewer turns cannot part a family from its neighbours: half an order must hold six lines.
constexpr double least_turns = 14;

// A longer record is taken in pieces. Slip spreads a line over a share of its frequency, the smears
// that are tried are made for some hundred turns, and arrays of half an hour are unwieldy.
constexpr double most_turns = 1000;

bool vibration(const Channel& channel) { return channel.unit != SampleUnit::revolution; }

Error refusal(Errc code, std::string where, std::string what, std::string advice) {
  return {code, std::move(where), std::move(what), std::move(advice)};
}

Result<void> check(const Capture& capture, const DiagnoseOptions& options) {
  const auto bad = [](std::string option, std::string what, std::string advice) {
    return Result<void>{
        refusal(Errc::bad_argument, std::move(option), std::move(what), std::move(advice))};
  };
  if (!(capture.rate.value() > 0) || !std::isfinite(capture.rate.value()))
    return Result<void>{
        refusal(Errc::missing_metadata, capture.source, "the sample rate is not known", "give it")};
  if (options.speed && !(options.speed->value() > 0 && std::isfinite(options.speed->value())))
    return bad("speed", "is not above zero", "give the speed in revolutions per minute");
  if (!(options.speed_tolerance > 0 && options.speed_tolerance < 0.5))
    return bad("speed tolerance", "is outside 0 .. 0.5", "give a fraction such as 0.05");
  if (options.speed_low && options.speed_high && !(*options.speed_low < *options.speed_high))
    return bad("speed interval", "is empty", "give the lower speed first");
  if (options.orders)
    for (const Order o :
         {options.orders->bpfo, options.orders->bpfi, options.orders->bsf, options.orders->ftf})
      if (!(o.value() > 0 && std::isfinite(o.value())))
        return bad("defect orders", "are not all above zero", "give BPFO, BPFI, BSF and FTF");
  return {};
}

/// Indices of the channels to analyse.
Result<std::vector<std::size_t>> choose_channels(const Capture& capture,
                                                 const DiagnoseOptions& options) {
  std::vector<std::size_t> chosen;
  std::string names;
  for (const auto& c : capture.channels) names += (names.empty() ? "" : ", ") + c.name;
  for (const auto& wanted : options.channels) {
    const auto it = std::find_if(capture.channels.begin(), capture.channels.end(),
                                 [&](const Channel& c) { return c.name == wanted; });
    if (it == capture.channels.end())
      return refusal(Errc::not_found, capture.source, "has no channel '" + wanted + "'",
                     "it holds: " + names);
    chosen.push_back(static_cast<std::size_t>(it - capture.channels.begin()));
  }
  if (options.channels.empty())
    for (std::size_t i = 0; i < capture.channels.size(); ++i)
      if (vibration(capture.channels[i]) && capture.channels[i].name != options.tacho_channel)
        chosen.push_back(i);
  std::erase_if(chosen,
                [&](std::size_t i) { return capture.channels[i].samples.size() < least_samples; });
  if (chosen.empty())
    return refusal(Errc::too_short, capture.source,
                   "no vibration channel holds " + std::to_string(least_samples) + " samples",
                   "record at least a few seconds");
  return chosen;
}

SignalFigures figures_of(const Channel& channel, Hz rate, FftPlans& plans) {
  SignalFigures f;
  f.channel = channel.name;
  f.unit = channel.unit;
  const auto centred = remove_mean(channel.samples);
  f.rms = rms(centred);
  f.peak = peak(centred);
  f.crest_factor = f.rms > 0 ? f.peak / f.rms : 0;
  f.kurtosis = f.rms > 0 ? kurtosis(centred) : 0;
  if (auto v = velocity_rms(centred, rate, channel.unit, plans); v) f.velocity_rms = *v;
  return f;
}

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

void add_plain_curves(Diagnosis& d, const Channel& channel, Hz rate, FftPlans& plans) {
  Curve wave{"waveform", channel.name, "s", std::string{symbol(channel.unit)}, {}, {}};
  for (std::size_t i = 0; i < channel.samples.size(); ++i)
    wave.x.push_back(static_cast<double>(i) / rate.value());
  wave.y = channel.samples;
  d.curves.push_back(std::move(wave));
  if (auto s = amplitude_spectrum(channel.samples, rate, plans, {.unit = channel.unit}); s) {
    Curve spectrum{"spectrum", channel.name, "Hz", std::string{symbol(channel.unit)} + " rms", {},
                   {}};
    for (std::size_t k = 1; k < s->y.size(); ++k)
      spectrum.x.push_back(static_cast<double>(k) * s->line_spacing.value());
    spectrum.y.assign(s->y.begin() + 1, s->y.end());
    d.curves.push_back(std::move(spectrum));
  }
}

/// Quality of the chosen channels for what is asked.
void assess(Diagnosis& d, const Capture& capture, const std::vector<std::size_t>& chosen,
            const DiagnoseOptions& options, FftPlans& plans) {
  QualityNeeds needs;
  if (d.speed.found()) needs.shaft = d.speed.rate;
  if (options.orders) needs.smallest_spacing = 0.9 * options.orders->ftf;
  const bool others_live = std::any_of(d.figures.begin(), d.figures.end(),
                                       [](const SignalFigures& f) { return f.rms > 0; });
  for (const std::size_t i : chosen) {
    needs.full_scale = capture.channels[i].full_scale;
    for (auto& finding : assess_quality(capture.view(i), needs, plans)) {
      finding.where = capture.channels[i].name;
      // A silent axis takes nothing from what the others show.
      if (finding.kind == FindingKind::dead_channel && others_live) {
        finding.weight = Weight::caution;
        finding.consequence += "; the others are judged without it";
      }
      d.findings.push_back(std::move(finding));
    }
  }
}

/// Takes "no fault" back: of this bearing nothing is known.
void cannot_tell(Diagnosis& d) {
  d.verdict = Verdict::indeterminate;
  d.place = Place::cannot_tell;
  d.probability_of_damage = 0.5;
  d.probability_of_part = {};
  d.probability_of_place = 0;
}

/// The evidence under the speed that it speaks for most.
struct Weighed {
  BearingEvidence evidence;
  Judgement judgement;
  ShaftSpeed speed;
  double tolerance{0};
};

/// With a wrong bearing number the damaged bearing's lines stand where nobody looked, and what
/// stands at this bearing's orders are their sidebands and multiples. A strong family that is
/// neither the shaft's nor this bearing's makes both "no fault" and a fault that it explains
/// "cannot tell".
void question_the_bearing(Diagnosis& d, const Weighed& weighed, const JudgementModel& model,
                          double order_resolution, const std::vector<Hz>& mains) {
  const BearingEvidence& evidence = weighed.evidence;
  const Judgement& judgement = weighed.judgement;
  double least = strength_at(model.fault_from, model);
  if (d.verdict != Verdict::no_fault) least = std::max(least, judgement.strength);
  const UnknownFamily unknown = search_unknown_family(evidence.whole, d.speed.rate, mains, least);
  if (unknown.strength < least) return;
  if (d.verdict != Verdict::no_fault) {
    if (of_this_bearing(unknown.fundamental, evidence, *d.orders, order_resolution)) return;
    const double left = strength_beside(unknown, evidence, judgement, *d.orders, order_resolution,
                                        2 * d.speed.relative_uncertainty);
    if (damage_probability(left, model) >= model.fault_from) return;
  }
  d.unknown_order = unknown.fundamental;
  cannot_tell(d);
}

/// "No fault" holds only if the shaft's speed was known all through the record.
void question_the_speed(Diagnosis& d) {
  const auto unsteady = std::find_if(d.findings.begin(), d.findings.end(), [](const Finding& f) {
    return f.kind == FindingKind::speed_varies && f.weight == Weight::caution;
  });
  if (d.verdict != Verdict::no_fault || unsteady == d.findings.end()) return;
  unsteady->weight = Weight::blocking;
  cannot_tell(d);
}

/// "No fault" holds only for a record that can be trusted: half clipped, it shows no impacts.
void question_the_record(Diagnosis& d) {
  if (d.verdict != Verdict::no_fault) return;
  if (std::any_of(d.findings.begin(), d.findings.end(),
                  [](const Finding& f) { return f.weight == Weight::blocking; }))
    cannot_tell(d);
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

void keep_bands_tried(Diagnosis& d, std::span<const RecordSpectrum> flat, double tolerance,
                      const std::vector<Hz>& mains, FftPlans& plans) {
  const BandSpectra bands = band_spectra(flat, d.speed.rate, *d.orders, plans);
  for (const BandStrength& b : band_strengths(bands, d.speed.rate, *d.orders, tolerance, mains))
    d.bands_tried.push_back({b.band, b.part, b.strength, b.kurtosis, false});
  const auto strongest = std::max_element(
      d.bands_tried.begin(), d.bands_tried.end(),
      [](const BandTried& a, const BandTried& b) { return a.strength < b.strength; });
  if (strongest != d.bands_tried.end() && strongest->strength > 0) strongest->chosen = true;
}

/// The track as a piece sees it that begins later.
PhaseTrack from(const PhaseTrack& whole, Seconds start) {
  PhaseTrack piece = whole;
  const double before = whole.revolutions_until(start);
  for (double& t : piece.time) t -= start.value();
  for (double& r : piece.revolutions) r -= before;
  return piece;
}

/// Equal pieces of each axis, axis by axis.
std::vector<SignalView> cut(const std::vector<SignalView>& axes, std::size_t pieces) {
  const std::size_t size = axes[0].x.size() / pieces;
  std::vector<SignalView> out;
  for (const auto& axis : axes)
    for (std::size_t i = 0; i < pieces; ++i)
      out.push_back({axis.x.subspan(i * size, size), axis.rate, axis.unit});
  return out;
}

/// Their flattened spectra, each under its part of the track. The plain ones are not kept: made
/// again where they are asked for, they cost less than their room.
std::vector<RecordSpectrum> flat_spectra(const std::vector<SignalView>& cuts, std::size_t pieces,
                                         const std::optional<PhaseTrack>& track, Seconds duration,
                                         Hz smoothing, FftPlans& plans) {
  std::vector<std::shared_ptr<const PhaseTrack>> tracks(pieces);
  for (std::size_t i = 0; track && i < pieces; ++i)
    tracks[i] = std::make_shared<const PhaseTrack>(
        from(*track, Seconds{static_cast<double>(i * cuts[0].x.size()) / cuts[0].rate.value()}));
  std::vector<RecordSpectrum> out;
  for (std::size_t i = 0, piece = 0; i < cuts.size(); ++i) {
    out.push_back(flattened(record_spectrum(cuts[i], plans), smoothing));
    out.back().track = tracks[piece];
    if (++piece == pieces) piece = 0;
    if (track && pieces > 1)
      out.back().turns = track->revolutions_until(duration) / duration.value() *
                         static_cast<double>(out.back().n) / cuts[i].rate.value();
  }
  return out;
}

/// The cyclic frequencies that are looked at: three to four harmonics of the inner ring's family.
Hz highest_shown(const Diagnosis& d) {
  constexpr double without_bearing = 20;
  const double most = d.orders ? 3.5 * d.orders->bpfi.value() : without_bearing;
  return at_speed(Order{most}, d.speed.rate);
}

/// Strength of the strongest part, less the farther its slip is from zero: two speeds explain the
/// same lines, one of them by a slip that bearings do not have. `open`: how far the speed itself
/// is, for what looks like slip may as well be its error.
double plausible_strength(const Weighed& w, double open) {
  const double spread = std::hypot(slip_spread, open);
  double best = 0;
  for (const auto& part : w.evidence.parts)
    best = std::max(best, w.judgement.own_strength[static_cast<std::size_t>(part.part)] *
                              std::exp(-0.5 * std::pow(part.score.slip / spread, 2)));
  return best;
}

/// What each speed that was tried says of the place. Where two say different parts and neither
/// speaks clearly louder, the place is open: the record does not fix the speed.
class SpeedsWeighed {
 public:
  void add(const Weighed& w, double plausible) {
    const double weight = std::pow(plausible, JudgementModel{}.place_power);
    total_ += weight;
    for (std::size_t p = 0; p < part_.size(); ++p)
      if (w.judgement.damage > 0) part_[p] += weight * w.judgement.part[p] / w.judgement.damage;
  }
  void share_out(Judgement& j) const {
    if (j.verdict != Verdict::fault || j.place == Place::several || !(total_ > 0)) return;
    for (std::size_t p = 0; p < part_.size(); ++p) j.part[p] = j.damage * part_[p] / total_;
    name_place(j, {});
  }

 private:
  std::array<double, part_count> part_{};
  double total_{0};
};

Weighed weigh(std::span<const RecordSpectrum> flat, const SpeedEstimate& speed,
              const DefectOrders& orders, Seconds duration, FftPlans& plans,
              const std::vector<Hz>& mains) {
  const BandSpectra bands = band_spectra(flat, speed.best.rate, orders, plans);
  const auto under = [&](const ShaftSpeed& assumed, double least) {
    Weighed w;
    w.speed = assumed;
    w.tolerance = std::min(widest_tolerance, slip_tolerance + 2 * assumed.relative_uncertainty);
    w.evidence = bearing_evidence(bands, assumed.rate, orders, w.tolerance, mains, least);
    w.judgement = judge(w.evidence, orders, 1 / (assumed.rate.value() * duration.value()));
    return w;
  };
  Weighed best = under(speed.best, least_strength);
  SpeedsWeighed all;
  all.add(best, plausible_strength(best, speed.best.relative_uncertainty));
  // A nominal speed is only good to some per cent. Speeds that the record itself speaks for, each
  // good to a few hundredths of a per cent, are tried beside it: a family shows much more clearly
  // at the right one.
  if (speed.best.method != SpeedMethod::given) return best;
  int tried = 0;
  for (const auto& candidate : speed.candidates) {
    if (candidate.probability < least_candidate || tried == most_candidates) break;
    ++tried;
    ShaftSpeed assumed = speed.best;
    assumed.method = SpeedMethod::defect_comb;
    assumed.rate = candidate.rate;
    assumed.relative_uncertainty = candidate.relative_uncertainty;
    assumed.confidence = candidate.probability;
    assumed.why = "the speed near the given one at which a defect family fits best";
    // A look at the strong families first: most candidates have none. Two of them may be joined.
    const double least = JudgementModel{}.even_strength;
    if (under(assumed, least / std::numbers::sqrt2).judgement.strength <= least) continue;
    Weighed w = under(assumed, least_strength);
    // Damage that shows at the given speed stays there unless a candidate explains it better, the
    // given speed being only nominal.
    const bool nominal = best.speed.method == SpeedMethod::given;
    const double open =
        nominal && best.judgement.strength > least ? speed.best.relative_uncertainty : 0.0;
    if (w.judgement.strength <= least) continue;
    all.add(w, plausible_strength(w, 0));
    if (plausible_strength(w, 0) <= 1.05 * plausible_strength(best, open)) continue;
    best = std::move(w);
  }
  all.share_out(best.judgement);
  // A family alone cannot part speed from slip: what is reported is no better than the slip.
  if (best.speed.method == SpeedMethod::defect_comb)
    best.speed.relative_uncertainty = std::hypot(best.speed.relative_uncertainty, slip_spread);
  return best;
}

}  // namespace

Result<Diagnosis> diagnose(const Capture& capture, FftPlans& plans,
                           const DiagnoseOptions& options) {
  if (auto ok = check(capture, options); !ok) return ok.error();
  auto chosen = choose_channels(capture, options);
  if (!chosen) return chosen.error();

  Diagnosis d;
  d.source = capture.source;
  d.rate = capture.rate;
  d.duration = capture.duration();
  d.orders = options.orders;
  d.findings = capture.findings;
  d.trail = capture.trail;
  std::vector<SignalView> axes;
  std::vector<std::string> axis_names;
  std::string names;
  for (const std::size_t i : *chosen) {
    const Channel& channel = capture.channels[i];
    d.channels.push_back(channel.name);
    names += (names.empty() ? "" : "+") + channel.name;
    d.figures.push_back(figures_of(channel, capture.rate, plans));
    if (d.figures.back().rms > 0) {
      axes.push_back(capture.view(i));
      axis_names.push_back(channel.name);
    }
    if (options.keep_curves == CurvesKept::all) add_plain_curves(d, channel, capture.rate, plans);
  }
  if (axes.empty()) {
    d.findings.push_back({FindingKind::dead_channel, Weight::blocking, names,
                          "every chosen channel is constant", "there is nothing to analyse",
                          "check the sensor, the cable and the channel"});
    words::explain(d, {}, std::nullopt);
    return d;
  }

  const ShaftMotion motion = find_motion(capture, axes, options, plans, d.findings);
  d.speed = motion.speed.best;
  assess(d, capture, *chosen, options, plans);
  const EvenAxes even = evened(axes, motion.track);
  d.other_causes = other_causes(even.views, axis_names, d.speed,
                                {.line_frequency = options.line_frequency}, plans);

  const double turns = d.speed.found() ? d.duration.value() * d.speed.rate.value() : 0.0;
  if (!d.speed.found() || turns < least_turns) {
    words::explain(d, {}, d.speed.found() ? std::optional{turns} : std::nullopt);
    return d;
  }

  if (motion.track) d.trail.push_back({"order_tracking", "source=" + motion.track->source});
  // A speed may be given that no whole number of revolutions holds.
  const double most_pieces = std::max(1.0, static_cast<double>(axes[0].x.size() / least_samples));
  const auto pieces =
      static_cast<std::size_t>(std::min(most_pieces, std::ceil(turns / most_turns)));
  if (pieces > 1) d.trail.push_back({"cut", "pieces=" + std::to_string(pieces)});
  const auto cuts = cut(axes, pieces);
  const Hz smoothing{std::max(50.0, 3 * d.speed.rate.value())};
  auto flat = flat_spectra(cuts, pieces, motion.track, d.duration, smoothing, plans);
  d.trail.push_back({"flatten", "smoothing=" + words::number(smoothing.value()) + " Hz"});

  const std::vector<Hz> mains = options.line_frequency ? std::vector<Hz>{*options.line_frequency}
                                                       : std::vector<Hz>{Hz{50}, Hz{60}};
  std::optional<Judgement> judgement;
  EnvelopeSpectrum strongest;
  EnvelopeSpectrum whole;
  if (options.orders) {
    Weighed weighed = weigh(flat, motion.speed, *options.orders,
                            (1 / static_cast<double>(pieces)) * d.duration, plans, mains);
    BearingEvidence& evidence = weighed.evidence;
    judgement = weighed.judgement;
    d.speed = weighed.speed;
    d.trail.push_back({"bearing_evidence", "tolerance=" + words::number(weighed.tolerance)});
    for (const auto& part : evidence.parts) {
      d.families.push_back(to_family(part, *options.orders));
      d.families.back().channel = names;
      d.families.back().strength = judgement->own_strength[static_cast<std::size_t>(part.part)];
    }
    std::stable_sort(d.families.begin(), d.families.end(),
                     [](const auto& a, const auto& b) { return a.strength > b.strength; });
    keep_bands(d, evidence);
    if (options.keep_curves == CurvesKept::all)
      keep_bands_tried(d, flat, weighed.tolerance, mains, plans);
    strongest = std::move(evidence.strongest);
    d.verdict = judgement->verdict;
    d.place = judgement->place;
    d.probability_of_damage = judgement->damage;
    d.probability_of_part = judgement->part;
    d.probability_of_place = judgement->place_probability;
    question_the_bearing(d, weighed, JudgementModel{}, static_cast<double>(pieces) / turns, mains);
    question_the_speed(d);
    question_the_record(d);
    whole = std::move(evidence.whole);
  } else {
    whole = whole_envelope_spectrum(flat, d.speed.rate, plans);
    strongest = whole;
    const UnknownFamily unknown = search_unknown_family(whole, d.speed.rate, mains);
    const JudgementModel model;
    d.probability_of_damage = damage_probability(unknown.strength, model);
    if (d.probability_of_damage >= model.fault_from) {
      d.verdict = Verdict::fault;
      d.place = Place::unclear;
      d.probability_of_place = d.probability_of_damage;
    }
    d.unknown_order = unknown.strength > 0 ? std::optional{unknown.fundamental} : std::nullopt;
  }
  if (options.keep_curves == CurvesKept::all)
    d.coherence = cyclic_coherence(flat, highest_shown(d), plans);
  flat = {};
  for (std::size_t a = 0, f = 0; f < d.figures.size(); ++f)
    if (d.figures[f].rms > 0) {
      double sum = 0;
      for (std::size_t i = 0; i < pieces; ++i)
        sum +=
            std::pow(envelope_level(record_spectrum(cuts[a++], plans), strongest.band, plans), 2);
      d.figures[f].envelope_rms = std::sqrt(sum / static_cast<double>(pieces));
    }
  if (options.keep_curves != CurvesKept::none) {
    // The whole band's reaches farther than the bearing's lines.
    const std::size_t lines = strongest.depth2.size();
    d.curves.push_back(envelope_curve(whole, lines, d.speed.rate, "envelope spectrum, whole band"));
    d.curves.push_back(
        envelope_curve(strongest, lines, d.speed.rate, "envelope spectrum, strongest band"));
  }
  words::explain(d, judgement, turns);
  return d;
}

}  // namespace bearingdsp
