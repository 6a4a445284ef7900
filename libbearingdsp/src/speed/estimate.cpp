#include "bearingdsp/speed/estimate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "comb.hpp"
#include "core/mains.hpp"
#include "dsp/detail.hpp"

namespace bearingdsp {
namespace {

using detail::require;
using speed_detail::Field;
using speed_detail::Fields;
using speed_detail::fit_apart;
using speed_detail::LineSets;
using speed_detail::make_field;
using speed_detail::nearest;
using speed_detail::refine;
using speed_detail::Scored;

// How often a harmonic of a turning shaft stands, by harmonic number. Round figures; the result
// hardly depends on them, since a missing line costs log(1 - p) and a standing one gains much more.
double detection_rate(const SpeedModel& m, bool vibration, int h) {
  if (vibration)
    return h == 1    ? m.vibration_1
           : h == 2  ? m.vibration_2
           : h <= 4  ? m.vibration_4
           : h <= 12 ? m.vibration_12
                     : m.vibration_more;
  return h == 1 ? m.envelope_1 : h == 2 ? m.envelope_2 : h <= 8 ? m.envelope_8 : m.envelope_more;
}

// Log likelihood ratio of one expected frequency: a line of known scatter is present with
// probability p, against lines that stand anywhere.
double line_score(const Field& field, double f, double extra_sigma, double p, int* matched) {
  *matched = -1;
  if (f > field.set->top) return 0;
  const SpeedModel& m = field.model->speed;
  const int i = nearest(field.set->lines, f);
  const double missing = std::log1p(-p);
  if (i < 0) return missing;
  const auto u = static_cast<std::size_t>(i);
  const speed_detail::Line& line = field.set->lines[u];
  const double sigma = std::hypot(line.sigma, extra_sigma);
  const double z = (line.f - f) / sigma;
  if (std::abs(z) > m.gate_sigmas) return missing;
  const double density =
      std::exp(-0.5 * z * z) / (sigma * std::sqrt(2 * std::numbers::pi)) / field.density[u];
  const double ratio = std::log(1 - p + p * std::min(density, m.max_density_ratio));
  if (ratio > 0) *matched = i;
  return field.mains[u] ? std::min(ratio, m.mains_cap) : ratio;
}

// Lines already explained, by field and index: no line is explained twice.
using Used = std::array<std::vector<bool>, 2>;

void score(const Fields& fields, Scored& s, Used* used = nullptr) {
  const SpeedModel& m = fields[0].model->speed;
  s.vibration_score = s.envelope_score = 0;
  s.vibration_lines = s.envelope_lines = s.low_lines = 0;
  s.is_separate = false;
  for (std::size_t w = 0; w < 2; ++w) {
    double sum = 0;
    int lines = 0;
    for (int h = 1; h <= m.scored_harmonics && h * s.f < fields[w].set->top; ++h) {
      int matched = -1;
      sum += line_score(fields[w], h * s.f, m.wander * h * s.f + 0.5 * h * s.sigma,
                        detection_rate(m, w == 0, h), &matched);
      if (matched < 0) continue;
      ++lines;
      if (h <= 2) {
        ++s.low_lines;
        const speed_detail::Line& line = fields[w].set->lines[static_cast<std::size_t>(matched)];
        if (w == 0 && line.prominence > m.beyond_chance) s.is_separate = true;
      }
      if (used != nullptr) (*used)[w][static_cast<std::size_t>(matched)] = true;
    }
    // Whether a recording shows the shaft there at all is one question, not one a harmonic.
    const double shown = w == 0 ? m.vibration_shows : m.envelope_shows;
    const double gain =
        sum > 50 ? sum + std::log(shown) : std::log(1 - shown + shown * std::exp(sum));
    (w == 0 ? s.vibration_score : s.envelope_score) = gain;
    (w == 0 ? s.vibration_lines : s.envelope_lines) = lines;
  }
  s.score = s.vibration_score + s.envelope_score;
}

// In the comb of a true rate the strength of a harmonic does not depend on whether its number is
// divisible by k. If it does, k times the rate is the likelier reading: log likelihood ratio of one
// mean log prominence against two, worst over k. Only up to the highest harmonic that stands.
double divisor_penalty(const Fields& fields, const Scored& s) {
  const SpeedModel& m = fields[0].model->speed;
  const double own_variance = m.divisor_variance;
  std::array<std::vector<double>, 2> strength;
  for (std::size_t w = 0; w < 2; ++w) {
    std::size_t last = 0;
    for (int h = 1; h <= m.divisor_harmonics && h * s.f < fields[w].set->top; ++h) {
      int matched = -1;
      line_score(fields[w], h * s.f, m.wander * h * s.f + 0.5 * h * s.sigma, 0.5, &matched);
      strength[w].push_back(
          matched < 0
              ? std::log(m.missing_prominence)
              : std::log(fields[w].set->lines[static_cast<std::size_t>(matched)].prominence));
      if (matched >= 0) last = strength[w].size();
    }
    strength[w].resize(last);
  }
  double worst = 0;
  for (std::size_t k = 2; k <= 6; ++k) {
    double penalty = 0;
    for (const auto& v : strength) {
      double n[2] = {0, 0};
      double sum[2] = {0, 0};
      double square = 0;
      for (std::size_t h = 1; h <= v.size(); ++h) {
        const std::size_t group = h % k == 0 ? 1 : 0;
        n[group] += 1;
        sum[group] += v[h - 1];
        square += v[h - 1] * v[h - 1];
      }
      if (n[0] < 2 || n[1] < 2 || sum[1] / n[1] <= sum[0] / n[0]) continue;
      const double all = n[0] + n[1];
      const double within = square - sum[0] * sum[0] / n[0] - sum[1] * sum[1] / n[1];
      const double total = square - (sum[0] + sum[1]) * (sum[0] + sum[1]) / all;
      penalty += 0.5 * all * std::log((total + own_variance * all) / (within + own_variance * all));
    }
    worst = std::max(worst, penalty);
  }
  return worst;
}

// A comb that is not the shaft's: where its fundamental may lie, and the spacing of its sidebands.
struct Family {
  double low;
  double high;
  double side;       // spacing of the sidebands
  double side_rate;  // how often a sideband stands
  int seed_harmonics;
  int harmonics;
};

// How often a harmonic of a defect series is detected: impacts make long combs in envelopes, and
// short or long ones in the vibration below its resonances.
double family_rate(const SpeedModel& m, bool vibration, int h) {
  if (vibration) return m.family_vibration;
  return h <= 2 ? m.family_2 : h <= 5 ? m.family_5 : h <= 12 ? m.family_12 : m.family_more;
}

// Log likelihood ratio of the family with this fundamental; lines already used count for nothing.
double comb_score(const Fields& fields, const Family& family, double g, double sigma, double shaft,
                  const Used& used, std::vector<std::pair<int, int>>* taken) {
  const SpeedModel& m = fields[0].model->speed;
  double sum = 0;
  taken->clear();
  for (int h = 1; h <= family.harmonics && h * g < m.vibration_top; ++h) {
    const int sides = h <= m.side_harmonics && family.side > 0 ? 1 : 0;
    for (int side = -sides; side <= sides; ++side) {
      const double f = h * g + side * family.side;
      if (f <= 0) continue;
      const double slack = m.family_slack * h * g + 0.5 * h * sigma;
      // Multiples of the shaft are not asked again: missing there is no news, nor is standing.
      if (shaft > 0 && std::abs(f - std::round(f / shaft) * shaft) < 2 * slack) continue;
      for (int w = 0; w < 2; ++w) {
        const Field& field = fields[static_cast<std::size_t>(w)];
        int matched = -1;
        const double p = side != 0 ? family.side_rate : family_rate(m, w == 0, h);
        const double gain = line_score(field, f, slack, p, &matched);
        if (matched >= 0) {
          if (used[static_cast<std::size_t>(w)][static_cast<std::size_t>(matched)]) continue;
          taken->emplace_back(w, matched);
        }
        sum += gain;
      }
    }
  }
  return sum;
}

// The best family within the interval, given that the shaft turns at s.f and explains its own
// multiples; the cost of having looked at many fundamentals is taken off.
double family_score(const Fields& fields, const Family& family, const Scored& s, Used& used,
                    int* lines) {
  double best = 0;
  int tried = 0;
  std::vector<double> seen;
  std::vector<std::pair<int, int>> taken;
  std::vector<std::pair<int, int>> best_taken;
  for (const Field& field : fields) {
    for (std::size_t i = 0; i < field.set->lines.size(); ++i) {
      const speed_detail::Line& seed = field.set->lines[i];
      if (field.mains[i] || seed.prominence < field.seed_floor) continue;
      for (int k = 1; k <= family.seed_harmonics; ++k) {
        const double g = seed.f / k;
        if (g < family.low) break;
        if (g > family.high) continue;
        const double sigma = seed.sigma / k;
        if (std::any_of(seen.begin(), seen.end(),
                        [&](double v) { return std::abs(v - g) < 0.5 * sigma; }))
          continue;
        seen.push_back(g);
        ++tried;
        const double sum =
            comb_score(fields, family, g, sigma, s.from_defect ? 0 : s.f, used, &taken);
        if (sum > best) {
          best = sum;
          best_taken = taken;
        }
      }
    }
  }
  best -= std::log(1.0 + tried);
  if (best <= 0) return 0;
  for (const auto& [w, i] : best_taken)
    used[static_cast<std::size_t>(w)][static_cast<std::size_t>(i)] = true;
  *lines += static_cast<int>(best_taken.size());
  return best;
}

void add_families(const Fields& fields, const std::optional<DefectOrders>& orders, Scored& s) {
  const SpeedModel& m = fields[0].model->speed;
  const SlipModel& slip = fields[0].model->slip;
  Used used{std::vector<bool>(fields[0].set->lines.size()),
            std::vector<bool>(fields[1].set->lines.size())};
  if (!s.from_defect) {
    Scored again = s;
    score(fields, again, &used);
  }
  s.defect_score = 0;
  s.defect_lines = 0;
  const auto add = [&](double low, double high, double side, double side_rate, int seeds,
                       int harmonics) {
    if (!(low > 0)) return;
    s.defect_score += family_score(fields, {low, high, side, side_rate, seeds, harmonics}, s, used,
                                   &s.defect_lines);
  };
  if (!orders) {
    add(m.unknown_low * s.f, m.unknown_high * s.f, s.f, m.side_unknown, m.unknown_seeds,
        m.scored_harmonics);
  } else {
    const auto low = [&](Part part) {
      return (1 - orders->uncertainty(part) - slip.max_lag) * s.f;
    };
    const auto high = [&](Part part) {
      return (1 + orders->uncertainty(part) + slip.max_lead) * s.f;
    };
    const double outer = orders->bpfo.value();
    const double inner = orders->bpfi.value();
    const double element = 2 * orders->bsf.value();
    const double cage = orders->ftf.value();
    add(low(Part::outer_ring) * outer, high(Part::outer_ring) * outer, s.f, m.side_outer,
        m.ring_seeds, m.scored_harmonics);
    add(low(Part::inner_ring) * inner, high(Part::inner_ring) * inner, s.f, m.side_inner,
        m.ring_seeds, m.scored_harmonics);
    add(low(Part::rolling_element) * element, high(Part::rolling_element) * element, cage * s.f,
        m.side_element, m.ring_seeds, m.scored_harmonics);
    // Last the cage's own comb, with what the others left: it runs on as long as the outer ring's,
    // whose sidebands it makes, and its multiples fall close to simple fractions of 1x.
    add(low(Part::cage) * cage, high(Part::cage) * cage, 0, 0, m.cage_seeds, m.scored_harmonics);
  }
  s.score += s.defect_score;
}

// An induction motor also shows its supply: lines at n f + k d, where d is the slip frequency times
// the pole pairs, above the shaft's harmonics. They form a comb of their own close to the shaft's
// and are worth explaining, since the shaft is the lower of the two.
void add_supply(const Fields& fields, Scored& s) {
  const SpeedModel& m = fields[0].model->speed;
  double best = 0;
  int tried = 0;
  for (const Field& seed_field : fields) {
    for (const speed_detail::Line& seed : seed_field.set->lines) {
      const double n = std::floor(seed.f / s.f);
      if (n < 1 || n > 4) continue;
      for (int k = 1; k <= static_cast<int>(n); ++k) {
        const double d = (seed.f - n * s.f) / k;
        if (d < m.supply_low * s.f || d > m.supply_high * s.f ||
            d < m.supply_apart * seed_field.set->spacing)
          continue;
        ++tried;
        double sum = 0;
        int matched = -1;
        for (int h = 1; h <= 10; ++h) {
          for (int j = 1; j <= std::min(h, 3); ++j) {
            const double f = h * s.f + j * d;
            const double slack = m.wander * f + 0.5 * h * s.sigma + j * seed.sigma / k;
            sum += line_score(fields[0], f, slack, m.supply_vibration, &matched);
            if (h <= 4) sum += line_score(fields[1], f, slack, m.supply_envelope, &matched);
          }
        }
        best = std::max(best, sum);
      }
    }
  }
  // Never more than the shaft's own lines say: a supply comb without a shaft is no witness.
  s.supply_score =
      std::clamp(best - std::log(1.0 + tried), 0.0, m.supply_share * std::max(s.score, 0.0));
  s.score += s.supply_score;
}

// Is the second rate one of the bearing's, of a shaft that turns at the first?
bool of_the_family(double shaft, double rate, const DefectOrders& orders, const SlipModel& slip) {
  const double low = 1 - slip.max_lag - orders.relative_uncertainty;
  const double high = 1 + slip.max_lead + orders.relative_uncertainty;
  const std::array families{orders.bpfo, orders.bpfi, 2 * orders.bsf, orders.ftf, 2 * orders.ftf};
  return std::any_of(families.begin(), families.end(), [&](Order q) {
    return rate > low * q.value() * shaft && rate < high * q.value() * shaft;
  });
}

// Do 1x and 2x of a rate both stand in the vibration, one of them above random scatter, where no
// multiple of the other comb explains them and the mains do not?
bool shows_itself_beside(const Fields& fields, const Scored& s, const Scored& other) {
  const Field& field = fields[0];
  const SpeedModel& m = field.model->speed;
  double strongest = 0;
  for (const int h : {1, 2}) {
    int matched = -1;
    line_score(field, h * s.f, m.wander * h * s.f + 0.5 * h * s.sigma, detection_rate(m, true, h),
               &matched);
    if (matched < 0) return false;
    const auto i = static_cast<std::size_t>(matched);
    const speed_detail::Line& line = field.set->lines[i];
    const double k = std::max(1.0, std::round(line.f / other.f));
    const double slack = std::hypot(line.sigma, m.wander * line.f + 0.5 * k * other.sigma);
    if (field.mains[i] || std::abs(line.f - k * other.f) < m.gate_sigmas * slack) return false;
    strongest = std::max(strongest, line.prominence);
  }
  return strongest > m.beyond_chance;
}

// What the likeliest comb shows a shaft may as well show as its bearing's damage: impacts make
// combs as long as a shaft's. Where another rate has lines of its own and takes that comb for one
// of its families, the comb weighs as much for it as for itself, and is no rival any more.
void take_over(const Fields& fields, const DefectOrders& orders, std::vector<Scored>& found) {
  if (found.empty() || found.front().from_defect) return;
  const Scored top = found.front();
  const auto shaft = std::find_if(found.begin(), found.end(), [&](const Scored& s) {
    return !s.from_defect && of_the_family(s.f, top.f, orders, fields[0].model->slip) &&
           shows_itself_beside(fields, s, top);
  });
  if (shaft == found.end()) return;
  Scored better = *shaft;
  better.score = std::max(better.score, better.own_score + top.own_score -
                                            std::log(fields[0].model->speed.families_tried));
  better.defect_lines = std::max(better.defect_lines, top.vibration_lines + top.envelope_lines);
  std::erase_if(found, [&](const Scored& s) {
    // The comb itself, scattered by slip, and what was made of it at the better rate.
    return std::abs(s.f - top.f) < fields[0].model->slip.max_lag * top.f || s.f == better.f ||
           (s.from_defect && std::abs(s.f - better.f) < 3 * s.sigma);
  });
  found.push_back(better);
}

/// Rates of which a line may be a low harmonic, rising; closer than their own precision they would
/// lead to the same fit.
std::vector<Scored> seeds(const Fields& fields, double low, double high) {
  const SpeedModel& m = fields[0].model->speed;
  std::vector<Scored> all;
  for (const Field& field : fields) {
    const int top_harmonic = field.vibration ? m.shaft_seeds_vibration : m.shaft_seeds_envelope;
    for (const speed_detail::Line& line : field.set->lines) {
      for (int h = 1; h <= top_harmonic; ++h) {
        const double f = line.f / h;
        if (f < low) break;
        if (f > high) continue;
        Scored s;
        s.f = f;
        s.sigma = line.sigma / h;
        all.push_back(s);
      }
    }
  }
  std::sort(all.begin(), all.end(), [](const Scored& a, const Scored& b) { return a.f < b.f; });
  std::vector<Scored> kept;
  for (const Scored& s : all)
    if (kept.empty() || s.f - kept.back().f > 0.5 * std::min(s.sigma, kept.back().sigma))
      kept.push_back(s);
  return kept;
}

void sort_by_score(std::vector<Scored>& v) {
  std::sort(v.begin(), v.end(), [](const Scored& a, const Scored& b) { return a.score > b.score; });
}

/// The first `most` that differ by more than their precision.
std::vector<Scored> distinct(const std::vector<Scored>& v, std::size_t most) {
  std::vector<Scored> out;
  for (const Scored& s : v) {
    const bool known = std::any_of(out.begin(), out.end(), [&](const Scored& o) {
      return std::abs(o.f - s.f) < std::max(3 * std::max(o.sigma, s.sigma), 3e-4 * s.f);
    });
    if (!known) out.push_back(s);
    if (out.size() >= most) break;
  }
  return out;
}

/// Each comb may be a defect family of a shaft that shows no line of its own: the rates that would
/// make it one.
std::vector<Scored> unseen_shafts(const Fields& fields, const std::vector<Scored>& combs,
                                  const DefectOrders& orders, double low, double high) {
  const SpeedModel& m = fields[0].model->speed;
  std::vector<Scored> out;
  for (std::size_t i = 0; i < combs.size() && i < static_cast<std::size_t>(m.combs_of_bearing);
       ++i) {
    for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element}) {
      const Order q = part == Part::rolling_element ? 2 * orders.bsf : orders.of(part);
      if (!(q.value() > 0)) continue;
      Scored s;
      s.f = combs[i].f / q.value();
      if (s.f < low || s.f > high) continue;
      // Slip leaves the rate open even where the orders are exact.
      s.sigma = s.f * std::hypot(fields[0].model->slip.rate_spread, 0.5 * orders.uncertainty(part));
      s.from_defect = true;
      s.score = m.unseen_shaft;
      out.push_back(s);
    }
  }
  return out;
}

std::vector<Scored> search(const Fields& fields, double low, double high,
                           const std::optional<DefectOrders>& orders) {
  const SpeedModel& m = fields[0].model->speed;
  std::vector<Scored> fitted;
  for (Scored s : seeds(fields, low, high)) {
    refine(fields, s);
    if (s.f < low || s.f > high) continue;
    score(fields, s);
    fitted.push_back(s);
  }
  sort_by_score(fitted);
  fitted = distinct(fitted, static_cast<std::size_t>(m.looked_at));
  if (orders) {
    const auto unseen = unseen_shafts(fields, fitted, *orders, low, high);
    fitted.insert(fitted.end(), unseen.begin(), unseen.end());
  }
  for (Scored& s : fitted) {
    if (s.from_defect) {
      add_families(fields, orders, s);
      continue;
    }
    add_supply(fields, s);
    if (s.f * 2 < high) s.score -= divisor_penalty(fields, s);
    s.own_score = s.score;
    add_families(fields, orders, s);
  }
  sort_by_score(fitted);
  if (orders) {
    take_over(fields, *orders, fitted);
    sort_by_score(fitted);
  }
  constexpr std::size_t max_candidates = 8;
  if (fitted.size() > max_candidates) fitted.resize(max_candidates);
  return fitted;
}

/// Could a comb be one of the bearing's families at the given speed, rather than another shaft?
bool of_the_bearing(double rate, double given, const SpeedOptions& options, const SlipModel& slip) {
  if (!options.orders) return false;
  const double play = options.given_tolerance + slip.max_lag + options.orders->relative_uncertainty;
  const auto& o = *options.orders;
  const std::array families{o.bpfo, o.bpfi, 2 * o.bsf, o.ftf};
  return std::any_of(families.begin(), families.end(), [&](Order q) {
    return std::abs(rate - q.value() * given) < play * q.value() * given;
  });
}

// Probabilities of candidates, best first, against one another and against chance. Lines of one
// machine are not independent witnesses: their joint log likelihood is tempered.
std::vector<SpeedCandidate> rated(const std::vector<Scored>& found, double reference,
                                  const SpeedModel& m) {
  const double strongest = found.empty() ? 0 : std::max(found.front().score, 0.0);
  const double heat = m.tempering / (1 + strongest / m.crowded);
  // Differences to the strongest keep the exponentials in range.
  double total = std::exp(m.tempering * (reference - strongest));
  for (const Scored& s : found) total += std::exp(heat * (s.score - strongest));
  std::vector<SpeedCandidate> out;
  for (const Scored& s : found) {
    SpeedCandidate c;
    c.rate = Hz{s.f};
    c.relative_uncertainty = s.sigma / s.f;
    c.score = s.score;
    c.probability = std::exp(heat * (s.score - strongest)) / total;
    c.vibration_lines = s.vibration_lines;
    c.envelope_lines = s.envelope_lines;
    c.defect_lines = s.defect_lines;
    c.supply_score = s.supply_score;
    out.push_back(c);
  }
  return out;
}

void check(const SpeedOptions& options) {
  require(options.search.low.value() > 0 && options.search.high > options.search.low,
          "estimate_speed: search interval must satisfy 0 < low < high");
  require(options.given_tolerance > 0 && options.given_tolerance < 0.5,
          "estimate_speed: tolerance of the given speed must be between 0 and 0.5");
  require(!options.given || options.given->value() > 0,
          "estimate_speed: given speed must be above 0");
}

/// What is left where the recording does not tell: the given speed, if there is one.
void not_found(SpeedEstimate& out, std::string why, const SpeedOptions& options,
               const SpeedModel& m) {
  out.why = std::move(why);
  out.best = {};
  if (options.given) {
    out.best.method = SpeedMethod::given;
    out.best.rate = *options.given;
    out.best.relative_uncertainty = options.given_tolerance / std::numbers::sqrt3;
    out.best.confidence = m.given_confidence;
  }
  out.best.why = out.why;
}

std::string lines_of(const SpeedCandidate& c) {
  return fmt::format("{} harmonics of {:.3f} Hz in the vibration and {} in envelopes",
                     c.vibration_lines, c.rate.value(), c.envelope_lines);
}

/// Is it the supply's rate or twice it? Impulses of the supply make combs as long as a shaft's, and
/// an induction motor slips.
bool of_the_supply(const SpeedCandidate& c, const Basis& basis) {
  const SpeedModel& m = basis.model.speed;
  const double rate = c.rate.value();
  return std::any_of(basis.mains.begin(), basis.mains.end(), [&](Hz mains) {
    const double supply = mains.value();
    const double k = std::round(rate / supply);
    return k >= 1 && k <= 2 &&
           std::abs(rate - k * supply) < (m.mains_spread + 2 * c.relative_uncertainty) * rate;
  });
}

/// Why the best candidate does not count as found; empty where it does.
std::string why_in_doubt(const std::vector<SpeedCandidate>& candidates, const Scored& best,
                         const Basis& basis, const SpeedOptions& options) {
  const SpeedModel& m = basis.model.speed;
  const SpeedCandidate& top = candidates.front();
  if (top.probability < options.required_confidence)
    return candidates.size() > 1 && candidates[1].probability > 0.1
               ? fmt::format("{}, but {:.3f} Hz fits nearly as well", lines_of(top),
                             candidates[1].rate.value())
               : fmt::format("{}, but that leaves 1x in doubt", lines_of(top));
  // A bearing's family alone has combs at simple fractions of it, such as a third or two
  // sevenths, whose third or seventh harmonics are present and whose first are not; and families
  // at the wrong speed and a slip may make up the rest of the score.
  if (!best.from_defect && !best.is_separate &&
      (top.vibration_lines + top.envelope_lines < m.min_lines || best.low_lines < m.min_low_lines))
    return fmt::format("{}: too few to identify 1x", lines_of(top));
  if (top.relative_uncertainty >
      (options.given ? options.given_tolerance / 10 : options.required_uncertainty))
    return top.relative_uncertainty < 1
               ? fmt::format("{}, known only to ±{:.2f} %", lines_of(top),
                             100 * top.relative_uncertainty)
               : fmt::format("{}, which may all come from the bearing", lines_of(top));
  if (!options.given && of_the_supply(top, basis))
    return fmt::format("{}, which may be the supply's", lines_of(top));
  return {};
}

/// Nothing fits what was given: is another speed clearly detected?
void look_elsewhere(SpeedEstimate& out, const Fields& fields, double lowest,
                    const SpeedOptions& options, const ModelParameters& model) {
  const SpeedModel& m = model.speed;
  const double given = options.given->value();
  const double low = std::max(options.search.low.value(), lowest);
  const auto elsewhere =
      rated(search(fields, low, options.search.high.value(), options.orders), m.chance_blind, m);
  if (elsewhere.empty()) return;
  const SpeedCandidate& other = elsewhere.front();
  if (!(other.probability > m.beyond_doubt) || other.vibration_lines < m.min_lines ||
      of_the_bearing(other.rate.value(), given, options, model.slip) ||
      !(std::abs(other.rate.value() - given) > options.given_tolerance * given))
    return;
  out.disagrees_with_given = true;
  out.candidates.insert(out.candidates.begin(), other);
  out.why = fmt::format(
      "the speed given is {:.0f} rpm, but the vibration contains {} harmonics of {:.3f} Hz, as "
      "from "
      "a shaft at {:.0f} rpm",
      shaft_speed(Hz{given}).value(), other.vibration_lines, other.rate.value(),
      shaft_speed(other.rate).value());
  out.best.why = out.why;
  out.best.confidence = 1 - other.probability;
}

}  // namespace

SpeedInterval induction_motor_interval(Hz line_frequency, int pole_pairs, double max_slip) {
  require(line_frequency.value() > 0, "induction_motor_interval: line frequency must be above 0");
  require(pole_pairs >= 1, "induction_motor_interval: at least one pole pair");
  require(max_slip > 0 && max_slip < 1, "induction_motor_interval: slip must be between 0 and 1");
  const double synchronous = line_frequency.value() / pole_pairs;
  return {Hz{synchronous * (1 - max_slip)}, Hz{synchronous}};
}

SpeedLines speed_lines(std::span<const SignalView> axes, FftPlans& plans,
                       const ModelParameters& model) {
  return speed_detail::speed_lines(axes, {}, plans, model);
}

SpeedLines speed_detail::speed_lines(std::span<const SignalView> axes, const Transforms& known,
                                     FftPlans& plans, const ModelParameters& model) {
  require(!axes.empty() && axes.size() <= 8, "estimate_speed: one to eight axes");
  for (const SignalView& a : axes)
    require(
        a.x.size() == axes.front().x.size() && a.rate == axes.front().rate && a.rate.value() > 0,
        "estimate_speed: axes must have one length and one rate above 0");
  SpeedLines lines;
  lines.duration = Seconds{static_cast<double>(axes.front().x.size()) / axes.front().rate.value()};
  if (axes.front().x.size() >= 1024)
    lines.sets = std::make_shared<const speed_detail::LineSets>(
        speed_detail::find_lines(axes, known, plans, model));
  return lines;
}

SpeedEstimate estimate_speed(std::span<const SignalView> axes, FftPlans& plans,
                             const SpeedOptions& options, const ModelParameters& model) {
  return estimate_speed(speed_lines(axes, plans, model), options, model);
}

SpeedEstimate estimate_speed(const SpeedLines& lines, const SpeedOptions& options,
                             const ModelParameters& model) {
  check(options);
  const SpeedModel& m = model.speed;
  SpeedEstimate out;
  const double given = options.given ? options.given->value() : 0;
  const double low =
      options.given ? given * (1 - options.given_tolerance) : options.search.low.value();
  const double high =
      options.given ? given * (1 + options.given_tolerance) : options.search.high.value();
  const double seconds = lines.duration.value();
  // Two harmonics must lie apart by more than a windowed line is wide, with room for a floor.
  const double lowest = m.shortest_revolutions / seconds;
  if (low < lowest || !lines.sets) {
    not_found(out,
              fmt::format("{:.2f} s contain {:.1f} revolutions at {:.1f} Hz; {:.0f} are needed to "
                          "resolve harmonics of 1x",
                          seconds, seconds * low, low, m.shortest_revolutions),
              options, m);
    if (options.given || !lines.sets || high < 2 * lowest) return out;
  }
  const LineSets& sets = *lines.sets;
  const Basis basis = basis_on(options.line_frequency, model);
  const Fields fields{make_field(sets.vibration, true, basis),
                      make_field(sets.envelope, false, basis)};
  auto found = search(fields, std::max(low, lowest), high, options.orders);
  if (!found.empty() && !found.front().from_defect)
    fit_apart(fields, options.orders, found.front());
  out.candidates = rated(found, options.given ? m.chance_in_window : m.chance_blind, m);
  if (out.candidates.empty()) {
    not_found(out, "no line is present at whole multiples of any frequency in the interval",
              options, m);
    return out;
  }
  const std::string doubt = why_in_doubt(out.candidates, found.front(), basis, options);
  if (!doubt.empty()) {
    not_found(out, doubt, options, m);
  } else {
    const SpeedCandidate& top = out.candidates.front();
    out.why = lines_of(top);
    out.best.method = found.front().from_defect ? SpeedMethod::defect_comb
                      : options.given           ? SpeedMethod::given_refined
                                                : SpeedMethod::harmonic_comb;
    out.best.rate = top.rate;
    out.best.relative_uncertainty = top.relative_uncertainty;
    out.best.confidence = top.probability;
    out.best.why = out.why;
  }
  if (options.given && out.best.method == SpeedMethod::given)
    look_elsewhere(out, fields, lowest, options, model);
  return out;
}

}  // namespace bearingdsp
