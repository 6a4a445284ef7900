#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstdint>
#include <memory>
#include <numbers>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "bearingdsp/evidence/other_causes.hpp"
#include "bearingdsp/evidence/unknown_family.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/speed/order_tracking.hpp"
#include "bearingdsp/speed/tacho.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "speed/lines.hpp"
#include "support/model_cases.hpp"
#include "support/orders.hpp"
#include "verdict/foreign_family.hpp"
#include "verdict/shaft_motion.hpp"
#include "verdict/steadiness.hpp"
#include "verdict/tacho_check.hpp"
#include "verdict/unexplained_impacts.hpp"
#include "verdict/unknown_bearing.hpp"
#include "verdict/weigh.hpp"

using namespace bearingdsp;

// Single stages of the engine, each on many drawn inputs: a limit is noticed where a drawn value
// lies between the limit and where it was moved to, and a few hundred draws have such values.
namespace test {
namespace {

constexpr int part_total = static_cast<int>(part_count);

/// The numbers of many draws, each added to its own sum.
class Sums {
 public:
  void add(const std::vector<double>& numbers) {
    sum_.resize(std::max(sum_.size(), numbers.size()));
    // Unlike weights, so that two changes do not cancel.
    ++draws_;
    const double weight = 1 + 0.1 * (draws_ % 7);
    for (std::size_t i = 0; i < numbers.size(); ++i) sum_[i] += weight * numbers[i];
  }
  [[nodiscard]] std::vector<double> take() { return std::move(sum_); }

 private:
  std::vector<double> sum_;
  int draws_{0};
};

class Drawn {
 public:
  explicit Drawn(std::uint64_t seed) : random_{seed} {}
  bool chance(double p) { return random_.uniform() < p; }
  double between(double low, double high) { return low + (high - low) * random_.uniform(); }
  double log_between(double low, double high) {
    return std::exp(between(std::log(low), std::log(high)));
  }
  int whole(int low, int high) {
    return std::min(high, low + static_cast<int>((high - low + 1) * random_.uniform()));
  }
  double normal() { return random_.normal(); }
  double exponential() { return random_.exponential(); }
  template <class T, std::size_t n>
  const T& one_of(const std::array<T, n>& all) {
    return all[static_cast<std::size_t>(whole(0, static_cast<int>(n) - 1))];
  }

 private:
  Random random_;
};

void append(std::vector<double>& out, const Judgement& j) {
  out.insert(out.end(),
             {j.damage, j.strength, static_cast<double>(j.verdict), static_cast<double>(j.place),
              j.place_probability, static_cast<double>(j.set.size()), j.unresolved ? 1.0 : 0.0});
  out.insert(out.end(), j.part.begin(), j.part.end());
  out.insert(out.end(), j.own_strength.begin(), j.own_strength.end());
}

void append(std::vector<double>& out, const FamilyScore& s) {
  out.insert(out.end(), {s.evidence, s.log10_chance, s.depth, s.dominance_db / 10, 1.0 * s.standing,
                         1.0 * s.sidebands, 1.0 * s.usable, 100 * s.slip, 100 * s.smear,
                         s.strength(), s.strength(3)});
}

// ---------------------------------------------------------------- judgement

DefectOrders drawn_orders(Drawn& draw) {
  const std::array known{nine_elements(), eight_elements(), ten_elements(),
                         orders_of(8, 3.05, 4.95, 1.53, 0.381),
                         // With d/D = 1/5 twice BSF is BPFI.
                         orders_of(8, 3.2, 4.8, 2.4, 0.4)};
  DefectOrders o = draw.one_of(known);
  if (draw.chance(0.4))
    o.part_uncertainty[static_cast<std::size_t>(Part::rolling_element)] = draw.between(0.02, 0.05);
  return o;
}

double impact(Part part, const DefectOrders& o) {
  return part == Part::rolling_element ? 2 * o.bsf.value() : o.of(part).value();
}

/// Lines of a family; some of them near the lattice of another.
std::vector<LineEvidence> drawn_lines(Drawn& draw, double fundamental, double lattice, int reach,
                                      double resolution) {
  std::vector<LineEvidence> lines;
  for (int k = 1; k <= 5; ++k) {
    LineEvidence line;
    line.harmonic = k;
    double order = k * fundamental;
    if (draw.chance(0.5)) {
      const int m = draw.whole(-reach, reach);
      const double n = std::max(1.0, std::round((order - m) / lattice));
      order = n * lattice + m + draw.between(-6, 6) * resolution;
    }
    line.order = Order{order};
    line.depth = draw.log_between(0.01, 0.5);
    line.detected = draw.chance(0.8);
    line.shared = draw.chance(0.1);
    lines.push_back(line);
  }
  return lines;
}

BearingEvidence drawn_evidence(Drawn& draw, const DefectOrders& orders, double resolution) {
  BearingEvidence e;
  const double lag = 0.008 * draw.normal();
  const Part strong = static_cast<Part>(draw.whole(0, part_total - 1));
  for (int p = 0; p < part_total; ++p) {
    PartEvidence& part = e.parts[static_cast<std::size_t>(p)];
    part.part = static_cast<Part>(p);
    part.strength = draw.chance(0.2) ? 0.0 : draw.log_between(0.01, 1);
    part.score.slip = 0.008 * draw.normal();
    part.tolerance = draw.between(0.02, 0.08);
    part.score.sidebands = draw.whole(0, 4);
    part.unresolved = draw.chance(0.2) ? draw.log_between(0.1, 0.4) : 0.0;
  }
  auto& outer = e.parts[static_cast<std::size_t>(Part::outer_ring)];
  auto& inner = e.parts[static_cast<std::size_t>(Part::inner_ring)];
  if (draw.chance(0.4)) {
    // Both rings, of one cage speed or nearly so.
    outer.score.slip = lag;
    inner.score.slip = -lag * orders.bpfo.value() / orders.bpfi.value() + 0.004 * draw.normal();
    outer.strength = draw.log_between(0.2, 1);
    inner.strength = outer.strength * draw.between(0.4, 1.6);
  }
  auto& rolling = e.parts[static_cast<std::size_t>(Part::rolling_element)];
  const Part ring = draw.chance(0.5) ? Part::outer_ring : Part::inner_ring;
  if (draw.chance(0.4)) {
    // On the same lines as a ring.
    const auto& on = e.parts[static_cast<std::size_t>(ring)];
    const double f = impact(ring, orders) * (1 + on.score.slip) + draw.between(-4, 4) * resolution;
    rolling.score.slip = f / impact(Part::rolling_element, orders) - 1;
    rolling.strength = on.strength * draw.between(0.5, 1.5);
  }
  if (draw.chance(0.5))
    e.parts[static_cast<std::size_t>(Part::cage)].score.slip = draw.between(-0.05, 0.05);
  for (PartEvidence& part : e.parts) {
    const auto& by = e.parts[static_cast<std::size_t>(strong)];
    part.score.lines = drawn_lines(draw, impact(part.part, orders) * (1 + part.score.slip),
                                   impact(strong, orders) * (1 + by.score.slip), 10, resolution);
    if (part.part == Part::inner_ring || draw.chance(0.5)) continue;
    part.turning = draw.whole(1, 8);
    for (const LineEvidence& line : part.score.lines)
      if (line.sideband == 0 && line.detected) part.turning_power += line.depth * line.depth;
    part.turning_power *= draw.log_between(0.05, 1);
  }
  return e;
}

std::vector<double> judged(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 400; ++i) {
    const DefectOrders orders = drawn_orders(draw);
    const double resolution = draw.log_between(0.005, 0.03);
    const BearingEvidence evidence = drawn_evidence(draw, orders, resolution);
    std::vector<double> out;
    append(out, judge(evidence, orders, resolution, model));
    out.push_back(damage_probability(draw.log_between(0.05, 1), model.judgement));
    sums.add(out);
  }
  return sums.take();
}

/// Lines of another bearing beside those of the one given.
std::vector<double> foreign(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 400; ++i) {
    const DefectOrders orders = drawn_orders(draw);
    const double resolution = draw.log_between(0.003, 0.03);
    UnknownFamily series;
    const Part near = static_cast<Part>(draw.whole(0, 2));
    const std::array multiples{0.25, 1.0 / 3, 0.5, 1.0, 2.0, 3.0, 4.0};
    series.fundamental = Order{draw.one_of(multiples) * impact(near, orders) *
                                   (draw.chance(0.5) ? 1 + 0.03 * draw.normal() : 1.0) +
                               draw.between(-6, 6) * resolution};
    series.strength = draw.log_between(0.1, 1.5);
    BearingEvidence evidence = drawn_evidence(draw, orders, resolution);
    for (PartEvidence& part : evidence.parts)
      part.score.lines = drawn_lines(draw, impact(part.part, orders) * (1 + part.score.slip),
                                     series.fundamental.value(), 5, resolution);
    const Judgement own = judge(evidence, orders, resolution, {});
    FamilyScore cage;
    cage.evidence = 10;
    cage.dominance_db = 3;
    cage.depth = draw.log_between(0.01, 0.5);
    std::vector<double> out{
        of_this_bearing(series.fundamental, evidence, orders, resolution, model) ? 1.0 : 0.0,
        strength_beside(series, evidence, own, orders, resolution, draw.log_between(1e-4, 0.02),
                        model)};
    append(out, judge_without_bearing(series, cage, model));
    const auto another = another_bearing(series, model);
    append(out, another.value_or(Judgement{}));
    const auto beside = near_component(series, orders, model);
    append(out, beside ? beside->judgement : Judgement{});
    out.push_back(beside ? 100 * beside->deviation : 0.0);
    sums.add(out);
  }
  return sums.take();
}

// ---------------------------------------------------------------- series in envelope spectra

/// A line of that power, as Hann's window draws it.
void add_line(EnvelopeSpectrum& s, double bin, double power) {
  const auto middle = static_cast<int>(std::lround(bin));
  for (int k = middle - 1; k <= middle + 1; ++k) {
    if (k < 0 || k >= static_cast<int>(s.depth2.size())) continue;
    const double d = std::abs(bin - k);
    s.depth2[static_cast<std::size_t>(k)] += power * std::max(0.0, 1 - 0.75 * d * d);
  }
}

/// Exponential noise with series in it. Order of the lines in bins: as many as revolutions.
struct Noisy {
  EnvelopeSpectrum spectrum;
  Hz shaft{25};
  double bins_per_order{0};
  double floor{0};

  Noisy(Drawn& draw, double orders, double revolutions) {
    bins_per_order = revolutions;
    spectrum.line_spacing = Hz{shaft.value() / revolutions};
    spectrum.band = {Hz{0}, Hz{10000}};
    spectrum.depth2.resize(static_cast<std::size_t>(orders * revolutions));
    floor = draw.log_between(1e-4, 1e-2);
    for (double& v : spectrum.depth2) v = floor * draw.exponential();
    // What rises towards zero frequency.
    const double rise = draw.chance(0.5) ? draw.log_between(1, 100) : 0;
    for (std::size_t k = 0; k < spectrum.depth2.size(); ++k)
      spectrum.depth2[k] *= 1 + rise * std::exp(-static_cast<double>(k) / (0.15 * revolutions));
  }
  void series(Drawn& draw, double order, int harmonics, double depth, double side, double smear) {
    for (int k = 1; k <= harmonics; ++k) {
      const double power = depth * depth * draw.log_between(0.3, 1);
      const double bin = k * order * bins_per_order;
      const int lines = std::max(1, static_cast<int>(smear * bin));
      for (int i = 0; i < lines; ++i)
        add_line(spectrum, bin + (i - 0.5 * (lines - 1)), power / lines * 1.5);
      if (side > 0)
        for (const int m : {-1, 1})
          if (draw.chance(0.7))
            add_line(spectrum, bin + m * side * bins_per_order, power * draw.between(0.05, 0.5));
    }
  }
};

const std::vector<Hz> both_mains{Hz{50}, Hz{60}};

BandSpectra drawn_bands(Drawn& draw, const DefectOrders& orders) {
  BandSpectra bands;
  const double revolutions = draw.log_between(12, 150);
  const std::array smears{0.0, 0.0, 0.01, 0.02, 0.04};
  const double smear = draw.one_of(smears);
  const Part part = static_cast<Part>(draw.whole(0, part_total - 1));
  const double slip = 1 + 0.01 * draw.normal();
  for (const double share : {1.0, 0.5, 0.34, 0.25}) {
    Noisy here{draw, orders.bpfi.value() * 5.3, revolutions};
    const double depth = draw.log_between(0.03, 0.8);
    const double side = part == Part::inner_ring        ? 1.0
                        : part == Part::rolling_element ? orders.ftf.value()
                                                        : 0.0;
    if (draw.chance(0.8)) here.series(draw, impact(part, orders) * slip, 6, depth, side, smear);
    if (draw.chance(0.6)) here.series(draw, 1, 10, draw.log_between(0.03, 0.5), 0, 0);
    if (draw.chance(0.3)) {
      const double strong = draw.log_between(0.03, 0.5);
      here.series(draw, draw.between(2, 6), 4, strong, 0, 0);
    }
    if (draw.chance(0.3))
      here.series(draw, draw.whole(3, 5) + draw.between(-0.2, 0.2), 3, depth, 0, 0);
    if (draw.chance(0.3)) here.series(draw, draw.whole(2, 5), 2, depth, 0, 0);
    if (draw.chance(0.3)) {
      const double strong = draw.log_between(0.1, 0.5);
      here.series(draw, 100 * (1 + 0.001 * draw.normal()) / 25, 5, strong, 0, 0);
    }
    here.spectrum.kurtosis = draw.between(0, 3);
    bands.spectra.push_back(std::move(here.spectrum));
    bands.share.push_back(share);
  }
  return bands;
}

std::vector<double> families(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 12; ++i) {
    const DefectOrders orders = drawn_orders(draw);
    const BandSpectra bands = drawn_bands(draw, orders);
    const BearingEvidence e = bearing_evidence(bands, Hz{25}, orders, draw.between(0.02, 0.05),
                                               {both_mains, model}, 0.03);
    std::vector<double> out;
    for (const PartEvidence& part : e.parts) {
      append(out, part.score);
      out.insert(out.end(), {part.strength, part.unresolved, part.share, part.shaft_depth});
    }
    append(out, e.shaft);
    sums.add(out);
  }
  return sums.take();
}

/// Series that slip has smeared, in recordings long enough to show their width.
std::vector<double> smears(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 6; ++i) {
    Noisy here{draw, 24, draw.log_between(50, 300)};
    const double order = draw.between(2.2, 6);
    const double width = draw.log_between(0.006, 0.06);
    const double over = draw.log_between(1, 10);
    for (int k = 1; k <= 4; ++k) {
      const double middle = k * order * here.bins_per_order;
      const double half = 0.5 * width * middle;
      for (double b = middle - half; b <= middle + half; ++b)
        if (b < static_cast<double>(here.spectrum.depth2.size()))
          here.spectrum.depth2[static_cast<std::size_t>(b)] +=
              over * here.floor * draw.exponential();
    }
    std::vector<double> out;
    append(out, score_family(here.spectrum, here.shaft,
                             {Order{order * (1 + 0.01 * draw.normal())}, 4, 0.02, Order{0}, true,
                              both_mains},
                             model));
    sums.add(out);
  }
  return sums.take();
}

/// Shares about the one from which smears are looked for, series beside harmonics of the shaft, and
/// speeds that are tried beside a nominal one.
std::vector<double> weighed(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 4; ++i) {
    const DefectOrders orders = drawn_orders(draw);
    BandSpectra bands = drawn_bands(draw, orders);
    for (double& share : bands.share)
      if (share < 1) share = draw.log_between(0.02, 1);
    SpeedEstimate speed;
    speed.best.method = SpeedMethod::given;
    speed.best.rate = Hz{25 * (1 + 0.02 * draw.normal())};
    speed.best.relative_uncertainty = draw.log_between(0.001, 0.06);
    for (int c = 0; c < 5; ++c)
      speed.candidates.push_back({.rate = Hz{25 * (1 + (c == 0 ? 0.0 : 0.02) * draw.normal())},
                                  .relative_uncertainty = draw.log_between(1e-4, 1e-3),
                                  .score = 0,
                                  .probability = draw.log_between(0.03, 0.4),
                                  .vibration_lines = 0,
                                  .envelope_lines = 0,
                                  .defect_lines = 0});
    std::sort(speed.candidates.begin(), speed.candidates.end(),
              [](const auto& a, const auto& b) { return a.probability > b.probability; });
    const Weighed w = weigh(bands, speed, orders, Seconds{4}, {both_mains, model});
    std::vector<double> out{w.speed.rate.value() / 25, w.tolerance};
    append(out, w.judgement);
    const BandNeeds needs = band_needs(Hz{draw.log_between(5, 60)}, orders, model);
    out.insert(out.end(), {needs.up_to.value() / 100, needs.narrowest.value() / 100});
    sums.add(out);
  }
  return sums.take();
}

std::vector<double> unknown_series(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 4; ++i) {
    Noisy here{draw, 50, draw.log_between(14, 80)};
    if (draw.chance(0.8)) {
      const double depth = draw.log_between(0.1, 0.8);
      here.series(draw, draw.log_between(1.8, 14), 5, depth, 1, 0);
    }
    if (draw.chance(0.8)) {
      const double depth = draw.log_between(0.05, 0.5);
      here.series(draw, draw.between(0.33, 0.47), 6, depth, 0, 0);
    }
    if (draw.chance(0.5)) here.series(draw, 1, 9, draw.log_between(0.05, 0.5), 0, 0);
    std::vector<double> out;
    const UnknownFamily u = search_unknown_family(here.spectrum, here.shaft, {both_mains, model});
    append(out, u.score);
    out.insert(out.end(), {u.strength, u.fundamental.value()});
    append(out, unknown_cage(here.spectrum, here.shaft, {both_mains, model}));
    out.push_back(unknown_family_reach(here.shaft, model).value() / 1000);
    sums.add(out);
  }
  return sums.take();
}

/// Impacts that "no fault" would leave unexplained.
std::vector<double> impacts(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 40; ++i) {
    Noisy here{draw, 14, draw.log_between(20, 100)};
    const int harmonics = draw.whole(2, 11);
    const double depth = draw.log_between(0.15, 0.5);
    const DefectOrders orders = drawn_orders(draw);
    const bool cage = draw.chance(0.5);
    here.series(draw, cage ? orders.ftf.value() : 1 + 0.002 * draw.normal(), harmonics, depth, 0,
                0);
    ShaftSpeed speed;
    speed.method = SpeedMethod::harmonic_comb;
    speed.rate = here.shaft;
    speed.relative_uncertainty = draw.log_between(1e-4, 0.01);
    DiagnoseOptions options;
    options.model = model;
    if (draw.chance(0.7)) {
      // Intervals near those whose bearings would have impacts at this rate.
      options.speed_low = Rpm{draw.log_between(600, 9000)};
      options.speed_high = Rpm{options.speed_low->value() * draw.between(1.02, 1.3)};
    }
    const auto given = draw.chance(0.7) ? std::optional{orders} : std::nullopt;
    sums.add({impacts_at_assumed_rate(here.spectrum, speed, options, given, {both_mains, model})
                  ? 1.0
                  : 0.0,
              impacts_at_cage_rate(here.spectrum, speed, orders, {both_mains, model}) ? 1.0 : 0.0});
  }
  return sums.take();
}

// ---------------------------------------------------------------- speed

using speed_detail::Line;
using speed_detail::LineSet;
using speed_detail::LineSets;

void add_comb(Drawn& draw, LineSet& set, double rate, int harmonics, double shown, double offset) {
  for (int h = 1; h <= harmonics; ++h) {
    const double f = h * rate + offset;
    if (f <= 0 || f >= set.top || !draw.chance(shown)) continue;
    const double sigma = set.spacing * draw.log_between(0.03, 0.3);
    set.lines.push_back({f + sigma * draw.normal(), sigma, draw.log_between(10, 1000)});
  }
}

/// What a spectrum of four seconds may show: the shaft, the supply, a bearing, anything.
LineSets drawn_line_sets(Drawn& draw, double shaft, const DefectOrders& orders) {
  LineSets sets;
  sets.vibration = {{}, 1200, 0.25};
  sets.envelope = {{}, 600, 0.25};
  const bool seen = draw.chance(0.8);
  const double slip_rate = shaft * draw.log_between(0.002, 0.1);
  const Part part = static_cast<Part>(draw.whole(0, part_total - 1));
  const double family = impact(part, orders) * shaft * (1 + 0.008 * draw.normal());
  const bool damaged = draw.chance(0.6);
  const int divisor = draw.chance(0.2) ? draw.whole(2, 4) : 1;
  for (LineSet* set : {&sets.vibration, &sets.envelope}) {
    const bool vibration = set == &sets.vibration;
    if (seen) {
      const double shown = draw.between(0.3, 0.9);
      add_comb(draw, *set, divisor * shaft, draw.whole(3, 30), shown, 0);
    }
    if (draw.chance(0.4)) add_comb(draw, *set, 50 * (1 + 0.0003 * draw.normal()), 15, 0.6, 0);
    if (draw.chance(0.3))
      for (int j = 1; j <= 3; ++j) add_comb(draw, *set, shaft, 6, 0.6, j * slip_rate);
    if (damaged)
      for (const double side : {0.0, -1.0, 1.0})
        add_comb(draw, *set, family, vibration ? 8 : 15, side == 0 ? 0.7 : 0.3, side * shaft);
    const int others = draw.whole(0, 25);
    for (int i = 0; i < others; ++i)
      set->lines.push_back({draw.between(3, set->top), 0.03, draw.log_between(10, 60)});
    set->lines = speed_detail::merge_lines(std::move(set->lines), set->spacing);
  }
  return sets;
}

void append(std::vector<double>& out, const SpeedEstimate& e, double shaft) {
  out.insert(out.end(),
             {static_cast<double>(e.best.method), e.best.rate.value() / shaft,
              100 * e.best.relative_uncertainty, e.best.confidence,
              e.disagrees_with_given ? 1.0 : 0.0, static_cast<double>(e.candidates.size())});
  for (std::size_t c = 0; c < 3; ++c) {
    const SpeedCandidate at = c < e.candidates.size() ? e.candidates[c] : SpeedCandidate{};
    out.insert(out.end(), {at.rate.value() / shaft, 100 * at.relative_uncertainty, at.score / 100,
                           at.probability, 1.0 * at.vibration_lines, 1.0 * at.envelope_lines,
                           1.0 * at.defect_lines});
  }
}

std::vector<double> speeds(std::uint64_t seed, const ModelParameters& model) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 6; ++i) {
    const double shaft = draw.between(15, 50);
    const DefectOrders orders = drawn_orders(draw);
    const SpeedLines lines{std::make_shared<const LineSets>(drawn_line_sets(draw, shaft, orders)),
                           Seconds{4}};
    SpeedOptions options;
    if (draw.chance(0.6)) options.given = Hz{shaft * draw.between(0.93, 1.07)};
    if (draw.chance(0.7)) options.orders = orders;
    if (draw.chance(0.5)) options.line_frequency = Hz{50};
    if (draw.chance(0.5)) options.search = {Hz{shaft * 0.8}, Hz{shaft * 1.3}};
    std::vector<double> out;
    append(out, estimate_speed(lines, options, model), shaft);
    sums.add(out);
  }
  return sums.take();
}

// ---------------------------------------------------------------- motion

/// A slow recording of a shaft whose rate changes, cheap to look at.
std::vector<double> shaft_signal(Drawn& draw, double rate, double seconds, double shaft,
                                 double drift, double wander, double noise) {
  const auto n = static_cast<std::size_t>(rate * seconds);
  std::vector<double> x(n);
  double turn = 0;
  double slow = 0;
  std::array<double, 6> amplitude{};
  for (double& a : amplitude) a = draw.chance(0.7) ? draw.log_between(0.1, 1) : 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    const double t = static_cast<double>(i) / static_cast<double>(n);
    slow += (wander * draw.normal() - slow) / (0.3 * rate);
    turn += shaft * (1 + drift * (t - 0.5) + 20 * slow) / rate;
    x[i] = noise * draw.normal();
    for (std::size_t h = 0; h < amplitude.size(); ++h)
      x[i] += amplitude[h] * std::sin(2 * std::numbers::pi * static_cast<double>(h + 1) * turn);
  }
  return x;
}

std::vector<double> tracks(std::uint64_t seed, const ModelParameters& model, FftPlans& plans) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 3; ++i) {
    const double shaft = draw.between(15, 30);
    const double seconds = draw.chance(0.2) ? draw.between(0.9, 2.2) : draw.between(2, 4);
    // Each in a statement of its own: a compiler evaluates arguments in whatever order.
    const double noise = draw.log_between(0.02, 5);
    const double wander = draw.log_between(0.001, 0.1);
    const double drift = draw.between(-0.5, 0.5);
    const auto x = shaft_signal(draw, 1000, seconds, shaft, drift, wander, noise);
    const SignalView axis{x, Hz{1000}, SampleUnit::acceleration};
    TrackOptions options;
    options.search = {Hz{0.7 * shaft}, Hz{1.4 * shaft}};
    options.check_evened = draw.chance(0.5);
    options.max_drift = draw.chance(0.5) ? model.motion.max_drift : 0.0;
    options.max_order = draw.between(2, 20);
    const auto track = track_from_vibration({&axis, 1}, plans, options, model);
    if (track)
      sums.add({1, track->mean_rate().value() / shaft, track->tracked_variation, track->angle_error,
                track->confidence, track->worthwhile ? 1.0 : 0.0, track->departure()});
    else
      sums.add({0, 0, 0, 0, 0, 0, 0});
  }
  return sums.take();
}

/// Tachos and given speeds that contradict each other, or nearly so.
std::vector<double> tachos(std::uint64_t seed, const ModelParameters& model, FftPlans& plans) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 6; ++i) {
    const double shaft = draw.between(20, 30);
    const auto x = shaft_signal(draw, 2600, 1.5, shaft, 0, 0, draw.log_between(0.02, 3));
    const SignalView axis{x, Hz{2600}, SampleUnit::acceleration};
    DiagnoseOptions options;
    options.model = model;
    options.tacho_channel = "tacho";
    options.speed_tolerance = draw.log_between(0.001, 0.06);
    options.pulses_per_revolution = draw.whole(1, 4);
    const bool wrong_count = draw.chance(0.5);
    const int counted = draw.chance(0.5) ? draw.whole(1, 6) : draw.whole(150, 250);
    TachoReading reading;
    reading.speed.method = SpeedMethod::tacho;
    reading.speed.confidence = 1;
    reading.speed.rate = Hz{shaft * (wrong_count ? counted / options.pulses_per_revolution : 1.0) *
                            (1 + 0.006 * draw.normal())};
    const double off = 1 + (draw.chance(0.5) ? 0.01 * draw.normal() : draw.between(-0.06, 0.06));
    if (draw.chance(0.7)) {
      options.speed = shaft_speed(Hz{off * shaft});
    } else if (draw.chance(0.5)) {
      options.speed_low = shaft_speed(Hz{shaft * draw.between(1, 1.05)});
      options.speed_high = shaft_speed(Hz{shaft * 1.3});
    } else {
      options.speed_low = shaft_speed(Hz{shaft * 0.8});
      options.speed_high = shaft_speed(Hz{shaft * draw.between(0.95, 1)});
    }
    Findings findings;
    const TachoChecked c = check_tacho(reading, {&axis, 1}, options, false, plans, findings);
    double words = 0;
    for (const Finding& f : findings) words += f.advice.find("--pulses") != f.advice.npos ? 2 : 1;
    sums.add({static_cast<double>(c.trust), c.pulses_per_revolution / 100, c.confidence, words});
  }
  return sums.take();
}

/// Noise with a line that may wander, impulses of the supply and knocks.
std::vector<double> steadiness(std::uint64_t seed, const ModelParameters& model, FftPlans& plans) {
  Drawn draw{seed};
  Sums sums;
  constexpr double rate = 4096;
  for (int i = 0; i < 8; ++i) {
    const double shaft = draw.between(15, 30);
    const double seconds = draw.chance(0.5) ? 2 : 6;
    auto x = shaft_signal(draw, rate, seconds, shaft,
                          draw.chance(0.5) ? 0 : draw.log_between(3e-4, 0.05), 0, 0);
    const double strength = draw.log_between(0.005, 0.2);
    for (double& v : x) v = strength * v + draw.normal();
    const auto ring = [&](double at, double peak) {
      const auto first = static_cast<std::size_t>(at * rate);
      for (std::size_t k = first; k < std::min(x.size(), first + 60); ++k)
        x[k] += peak * std::exp(-static_cast<double>(k - first) / 12) *
                std::sin(1.6 * static_cast<double>(k - first));
    };
    if (draw.chance(0.6)) {
      const double twice = 100 * (1 + 0.006 * draw.normal());
      const double peak = draw.log_between(1, 20);
      for (double t = 0.001; t < seconds; t += 1 / twice) ring(t, peak);
    }
    const int knocks = draw.chance(0.6) ? draw.whole(1, 14) : 0;
    for (int k = 0; k < knocks; ++k) {
      const double peak = draw.log_between(3, 20);
      ring(draw.between(0, seconds - 0.01), peak);
    }
    if (draw.chance(0.4)) {
      const double peak = draw.log_between(0.5, 5);
      for (double t = 0.002; t < seconds; t += draw.between(0.9, 1.1) / (3.58 * shaft))
        ring(t, peak);
    }
    const SignalView axis{x, Hz{rate}, SampleUnit::acceleration};
    const Hz assumed{shaft * (1 + 0.03 * draw.normal())};
    const Basis basis{{Hz{50}}, model};
    std::vector<double> squares = x;
    for (double& v : squares) v *= v;
    const SignalView envelope{squares, Hz{rate}, SampleUnit::uncalibrated};
    sums.add({steady_harmonic({&axis, 1}, assumed, basis, plans) ? 1.0 : 0.0,
              impulsiveness_left(record_spectrum(axis, plans), assumed, basis, plans),
              smeared_impacts({&envelope, 1}, assumed, model, plans)});
  }
  return sums.take();
}

/// Noise that swells at a changing rate, by so little that its kurtosis is that of noise.
std::vector<double> humps(std::uint64_t seed, const ModelParameters& model, FftPlans& plans) {
  Drawn draw{seed};
  Sums sums;
  constexpr double rate = 8192;
  constexpr double seconds = 12;
  for (int i = 0; i < 4; ++i) {
    const double shaft = draw.between(20, 35);
    const double order = draw.between(3, 7);
    const double drift = draw.between(0.1, 0.3);
    const double depth = draw.between(0.1, 0.18);
    std::vector<double> x(static_cast<std::size_t>(rate * seconds));
    for (std::size_t k = 0; k < x.size(); ++k) {
      const double t = static_cast<double>(k) / rate;
      const double turns = shaft * t * (1 + drift * (t / (2 * seconds) - 0.5));
      x[k] = draw.normal() * std::sqrt(1 + depth * std::cos(2 * std::numbers::pi * order * turns));
    }
    const SignalView axis{x, Hz{rate}, SampleUnit::acceleration};
    ShaftMotion motion;
    motion.speed.best.rate = Hz{shaft};
    motion.speed.best.method = SpeedMethod::given;
    sums.add({motion_in_doubt(motion, record_spectra({&axis, 1}, plans), {{Hz{50}}, model}, plans)
                  ? 1.0
                  : 0.0});
  }
  return sums.take();
}

// ---------------------------------------------------------------- causes other than the bearing

/// Tones of a shaft at random, over noise: what counts is that every combination comes.
std::vector<double> drawn_axis(Drawn& draw, double rate, double shaft, double supply) {
  std::vector<double> x(static_cast<std::size_t>((rate < 2000 ? 12 : 1.3) * rate));
  const double noise = draw.chance(0.3) ? draw.log_between(2, 80) : draw.log_between(0.001, 3);
  const double depth = draw.chance(0.5) ? draw.log_between(0.02, 0.8) : 0;
  const double rhythm = 2 * std::numbers::pi * shaft * draw.log_between(0.4, 15) / rate;
  for (std::size_t i = 0; i < x.size(); ++i)
    x[i] = noise * (1 + depth * std::sin(rhythm * static_cast<double>(i))) * draw.normal();
  const auto tone = [&](double hz, double velocity) {
    // A tone turns by the same angle from sample to sample.
    const double w = 2 * std::numbers::pi * hz;
    std::complex<double> at = std::polar(velocity * w * std::numbers::sqrt2, draw.between(0, 6.3));
    const auto step = std::polar(1.0, w / rate);
    for (double& v : x) {
      v += at.real();
      at *= step;
    }
  };
  const auto velocity = [&] { return draw.log_between(1e-5, 5e-3); };
  const bool third = draw.chance(0.1);  // far above the others, as of a coupling with three jaws
  for (int k = 1; k <= 3; ++k)
    if (draw.chance(0.9)) tone(k * shaft, velocity() * (third && k == 3 ? 30 : 1));
  const bool loose = draw.chance(0.4);
  for (int k = 4; k <= 12 && loose; ++k)
    if (draw.chance(0.7)) tone(k * shaft, velocity() / 3);
  for (int k = 1; k <= 6 && loose; ++k)
    if (draw.chance(0.6)) tone((k + 0.5) * shaft, velocity() / 3);
  const bool rub = draw.chance(0.3);
  for (int k = 1; k <= 10 && rub; ++k)
    if (k % 3 != 0 && draw.chance(0.5)) tone(k * shaft / 3, velocity() / 3);
  if (draw.chance(0.5)) {
    const double hum = velocity();
    tone(2 * supply * (1 + 0.002 * draw.normal()), hum);
  }
  if (draw.chance(0.6)) {
    // Slip times poles of the motor on that mains.
    const double pairs = std::floor(supply / shaft + 0.01);
    const double pass = 2 * pairs * (supply / pairs - shaft);
    const double side = draw.log_between(1e-6, 1e-3);
    tone(shaft - pass, side);
    tone(shaft + pass, side);
  }
  if (draw.chance(0.3) && rate > 12000) {
    const double order =
        draw.chance(0.5) ? draw.whole(2, 6) + 0.07 * draw.normal() : draw.between(2, 13);
    const std::array scatters{0.0, 0.0, 0.3, 1.0};
    const double scatter = draw.one_of(scatters);  // Hz
    const double even = draw.between(0.2, 1);      // every second line may be weaker
    const double level = noise * draw.log_between(0.02, 1);
    bool second = false;
    for (double f = 1200; f < 6500; f += order * shaft) {
      const double line = (second ? even : 1) * level * draw.between(0.5, 1) / f;
      tone(f + scatter * draw.normal(), line);
      second = !second;
    }
  }
  if (draw.chance(0.3)) {
    const double peak = noise * draw.log_between(3, 30);
    for (double t = 0; t < 1.25; t += draw.exponential() * 0.05)
      x[static_cast<std::size_t>(t * rate)] += peak;
  }
  return x;
}

std::vector<double> causes(std::uint64_t seed, const ModelParameters& model, FftPlans& plans) {
  Drawn draw{seed};
  Sums sums;
  const std::array rates{1000.0, 4000.0, 9000.0, 14000.0, 14000.0, 20000.0};
  const std::array units{SampleUnit::acceleration, SampleUnit::acceleration, SampleUnit::volt};
  for (int i = 0; i < 4; ++i) {
    const double rate = draw.one_of(rates);
    // Of motors with two, four and six poles.
    const std::array synchronous{50.0, 25.0, 25.0, 50.0 / 3};
    const double shaft = draw.one_of(synchronous) * (1 - draw.log_between(0.004, 0.1));
    const SampleUnit unit = draw.one_of(units);
    const int count = draw.whole(1, 3);
    const bool named = draw.chance(0.5);
    std::vector<std::vector<double>> axes;
    std::vector<SignalView> views;
    std::vector<std::string> names;
    for (int a = 0; a < count; ++a) axes.push_back(drawn_axis(draw, rate, shaft, 50));
    for (int a = 0; a < count; ++a) {
      views.push_back({axes[static_cast<std::size_t>(a)], Hz{rate}, unit});
      names.push_back(named && a == count - 1 ? "axial" : fmt::format("x{}", a));
    }
    ShaftSpeed speed;
    speed.method = draw.chance(0.5) ? SpeedMethod::given : SpeedMethod::harmonic_comb;
    speed.rate = Hz{shaft * (1 + 0.001 * draw.normal())};
    speed.relative_uncertainty = draw.log_between(1e-4, 0.05);
    speed.confidence = draw.between(0.5, 1);
    OtherCauseOptions options;
    if (draw.chance(0.6)) options.line_frequency = Hz{50};
    if (draw.chance(0.5)) options.pole_pairs = static_cast<int>(50.01 / shaft);
    options.min_probability = 0;
    std::array<double, 8> probability{};
    for (const CauseEvidence& c : other_causes(views, names, speed, options, plans, model))
      probability[static_cast<std::size_t>(c.cause)] = 100 * c.probability;
    sums.add({probability.begin(), probability.end()});
  }
  return sums.take();
}

// ---------------------------------------------------------------- motion of whole recordings

/// The whole of what is found out of the motion, on slow recordings.
std::vector<double> motion_of(const Capture& capture, const DiagnoseOptions& options,
                              FftPlans& plans) {
  std::vector<SignalView> axes{capture.view(0)};
  Findings findings;
  const MotionEvidence evidence = motion_evidence(capture, axes, options, plans, findings);
  const auto orders =
      options.bearings.empty() ? std::nullopt : std::optional{options.bearings.front().orders};
  const ShaftMotion motion = find_motion(evidence, options, orders, findings);
  const auto doubt =
      motion_in_doubt(motion, record_spectra(axes, plans), {{Hz{50}}, options.model}, plans);
  std::vector<double> out{static_cast<double>(motion.speed.best.method),
                          motion.speed.best.rate.value() / 25,
                          100 * motion.speed.best.relative_uncertainty,
                          motion.speed.best.confidence,
                          10 * motion.speed.best.relative_variation,
                          motion.track ? 1.0 : 0.0,
                          motion.by_impacts ? 1.0 : 0.0,
                          evidence.followed ? 1 + evidence.followed->track.departure() : 0.0,
                          evidence.followed && evidence.followed->steady ? 1.0 : 0.0,
                          evidence.followed && evidence.followed->even_lines ? 1.0 : 0.0,
                          evidence.impacts ? 1 + evidence.impacts->track.departure() : 0.0,
                          doubt ? 1.0 : 0.0,
                          static_cast<double>(motion.speed.candidates.size())};
  double kinds = 0;
  for (const Finding& f : findings)
    kinds += static_cast<double>(f.kind) + 0.3 * static_cast<double>(f.weight);
  out.push_back(kinds);
  return out;
}

Capture slow_capture(Drawn& draw, bool tacho) {
  SimulationPlan p;
  p.seed = 1 + static_cast<std::uint64_t>(draw.whole(0, 1'000'000));
  p.rate = Hz{4000};
  p.duration = Seconds{draw.between(1.5, 3)};
  p.speed = Rpm{draw.between(1200, 1800)};
  p.orders = nine_elements();
  p.resonances = {{Hz{1300}, 0.05, 1.0}};
  const std::array drifts{0.0, 0.0, 0.006, 0.03, 0.1, 0.4};
  p.speed_drift = draw.one_of(drifts) * draw.between(-1, 1);
  p.speed_wander = draw.chance(0.5) ? draw.log_between(0.0003, 0.02) : 0;
  if (draw.chance(0.15)) {
    // Fast enough a rate for impacts to be followed as far up as they may lie.
    p.rate = Hz{10000};
    p.speed = Rpm{draw.between(900, 1100)};
    p.duration = Seconds{1.5};
  }
  const double line = draw.log_between(0.01, 1);
  for (int h = 0; h < 6; ++h)
    p.shaft_harmonics.push_back(draw.chance(0.7) ? line * draw.log_between(0.2, 1) : 0.0);
  if (draw.chance(0.7))
    p.defects = {
        {.part = static_cast<Part>(draw.whole(0, 2)), .severity = draw.log_between(1, 30)}};
  if (draw.chance(0.2)) p.mains_hum = draw.log_between(0.05, 1);
  if (draw.chance(0.3)) p.shocks_per_second = draw.between(0.5, 6);
  p.shock_peak = 30;
  if (tacho) p.tacho_pulses = draw.whole(1, 5);
  return simulate(p).value().capture;
}

DiagnoseOptions drawn_options(Drawn& draw, const ModelParameters& model) {
  DiagnoseOptions o;
  o.model = model;
  if (draw.chance(0.5)) o.bearings = {nine_elements()};
  o.line_frequency = Hz{50};
  const double kind = draw.between(0, 1);
  if (kind < 0.5) {
    o.speed = Rpm{draw.between(1200, 1800)};
  } else if (kind < 0.8) {
    o.speed_low = Rpm{draw.between(1000, 1500)};
    o.speed_high = Rpm{draw.between(1550, 2200)};
  }
  return o;
}

/// A shaft whose speed changes about as much as smears the lines that are looked for.
std::vector<double> hardly_changing(std::uint64_t seed, const ModelParameters& model,
                                    FftPlans& plans) {
  Drawn draw{seed};
  Sums sums;
  for (int i = 0; i < 6; ++i) {
    SimulationPlan p;
    p.seed = seed;
    p.rate = Hz{4000};
    p.duration = Seconds{draw.between(1.5, 3)};
    p.speed = Rpm{draw.between(1200, 1800)};
    p.speed_drift = draw.log_between(0.002, 0.01);
    p.tacho_pulses = 1;
    DiagnoseOptions options;
    options.model = model;
    options.tacho_channel = "tacho";
    sums.add(motion_of(simulate(p).value().capture, options, plans));
  }
  return sums.take();
}

/// A steady shaft, and lines beside it whose rate changes.
std::vector<double> two_rates(std::uint64_t seed, const ModelParameters& model, FftPlans& plans) {
  Drawn draw{seed};
  const double shaft = draw.between(20, 28);
  Capture capture;
  capture.rate = Hz{2600};
  Channel channel;
  channel.name = "x";
  channel.unit = SampleUnit::acceleration;
  channel.samples = shaft_signal(draw, 2600, 3, shaft, 0, 0, 0.3);
  const double ratio = 1 + (draw.chance(0.5) ? 1 : -1) * draw.between(0.07, 0.13);
  const auto beside = shaft_signal(draw, 2600, 3, ratio * shaft, draw.between(0.02, 0.15), 0, 0);
  const double share = draw.log_between(1, 10);
  for (std::size_t i = 0; i < channel.samples.size(); ++i) channel.samples[i] += share * beside[i];
  capture.channels.push_back(std::move(channel));
  DiagnoseOptions options;
  options.model = model;
  options.speed = shaft_speed(Hz{shaft * draw.between(0.96, 1.04)});
  return motion_of(capture, options, plans);
}

std::vector<double> motions(std::uint64_t seed, const ModelParameters& model, FftPlans& plans) {
  Drawn draw{7000 + seed};
  const bool tacho = draw.chance(0.15);
  const Capture capture = slow_capture(draw, tacho);
  DiagnoseOptions options = drawn_options(draw, model);
  if (tacho) {
    options.tacho_channel = "tacho";
    options.pulses_per_revolution = draw.whole(1, 5);
  }
  return motion_of(capture, options, plans);
}

}  // namespace

std::vector<ModelCase> model_part_cases() {
  std::vector<ModelCase> cases;
  const auto add = [&](const char* what, int count, auto outputs) {
    for (int i = 1; i <= count; ++i)
      cases.push_back({fmt::format("part: {} {}", what, i),
                       [outputs, i](const ModelParameters& model, FftPlans& plans) {
                         return outputs(static_cast<std::uint64_t>(i), model, plans);
                       }});
  };
  const auto without_plans = [](auto outputs) {
    return [outputs](std::uint64_t seed, const ModelParameters& model, FftPlans&) {
      return outputs(seed, model);
    };
  };
  add("judgement", 8, without_plans(judged));
  add("foreign series", 8, without_plans(foreign));
  add("families", 25, without_plans(families));
  add("unknown series", 20, without_plans(unknown_series));
  add("impacts", 10, without_plans(impacts));
  add("speeds", 40, without_plans(speeds));
  add("smears", 30, without_plans(smears));
  add("weighed", 40, without_plans(weighed));
  add("tachos", 40, tachos);
  add("causes", 150, causes);
  add("tracks", 40, tracks);
  add("steadiness", 25, steadiness);
  add("humps", 6, humps);
  add("hardly changing speeds", 10, hardly_changing);
  add("two rates", 20, two_rates);
  add("motions", 100, motions);
  return cases;
}

}  // namespace test
