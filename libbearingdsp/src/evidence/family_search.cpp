#include "bearingdsp/evidence/family_search.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <memory>
#include <numbers>
#include <optional>
#include <utility>

#include "bearingdsp/dsp/tails.hpp"
#include "evidence/pooled.hpp"
#include "evidence/smoothed.hpp"

namespace bearingdsp {
namespace {

using Index = Smoothed::Index;

std::size_t at(Index i) { return static_cast<std::size_t>(i); }

double decibels(double ratio) { return 10 * std::log10(ratio); }

/// Nearest whole number of x >= 0; std::round is a call into the C library, here it would be a
/// tenth of the cost.
Index nearest(double x) { return static_cast<Index>(x + 0.5); }

/// One place where a harmonic may stand, judged against its surroundings.
struct Spot {
  double excess{0};  // power above the floor, or above the mirror image
  double value{0};
  double nats{0};
  Index bin{-1};  // none: outside the spectrum
};

/// How many of some hundred values are greater than one, and their median. None may be below 0.
/// They are not put in order, only into groups: the bits of a positive float ascend with it, so that
/// a difference of bits tells the group. Within a group they are compared.
class Ranking {
 public:
  explicit Ranking(const std::vector<double>& value) : grouped_(value.size()) {
    std::vector<std::uint32_t> key(value.size());
    std::uint32_t highest = 0;
    std::uint32_t lowest = ~std::uint32_t{0};
    for (std::size_t i = 0; i < value.size(); ++i) {
      key[i] = bits(value[i]);
      highest = std::max(highest, key[i]);
      lowest = std::min(lowest, key[i]);
    }
    // What lies sixteen octaves below the largest is one group.
    constexpr std::uint32_t octaves = 16U << 23U;
    lowest_ = std::max(std::min(lowest, highest), highest > octaves ? highest - octaves : 0);
    while ((highest - lowest_) >> shift_ >= groups) ++shift_;
    for (auto& k : key) {
      k = group_of(k);
      ++start_[k + 1];
    }
    for (std::size_t g = 0; g < groups; ++g) start_[g + 1] += start_[g];
    auto next = start_;
    for (std::size_t i = 0; i < value.size(); ++i) grouped_[next[key[i]]++] = value[i];
  }
  /// The upper one of two in the middle; 0 of none.
  [[nodiscard]] double median() const {
    if (grouped_.empty()) return 0;
    const std::size_t rank = grouped_.size() / 2;
    std::size_t g = 0;
    while (start_[g + 1] <= rank) ++g;
    std::vector<double> group(grouped_.begin() + start_[g], grouped_.begin() + start_[g + 1]);
    const auto middle = group.begin() + static_cast<std::ptrdiff_t>(rank - start_[g]);
    std::nth_element(group.begin(), middle, group.end());
    return *middle;
  }
  [[nodiscard]] double share_above(double v) const {
    const std::uint32_t g = group_of(bits(v));
    std::size_t count = grouped_.size() - start_[g + 1];
    for (std::size_t i = start_[g]; i < start_[g + 1]; ++i) count += grouped_[i] > v ? 1U : 0U;
    return static_cast<double>(count) / static_cast<double>(grouped_.size());
  }

 private:
  static constexpr std::uint32_t groups = 256;
  static std::uint32_t bits(double v) {
    return std::bit_cast<std::uint32_t>(static_cast<float>(v));
  }
  [[nodiscard]] std::uint32_t group_of(std::uint32_t key) const {
    return std::min(key > lowest_ ? (key - lowest_) >> shift_ : 0, groups - 1);
  }

  std::vector<double> grouped_;
  std::uint32_t lowest_{0};
  unsigned shift_{0};
  std::array<std::uint32_t, groups + 1> start_{};
};

/// Surroundings of one harmonic at one smoothing.
class Surroundings {
 public:
  Surroundings(const FamilyModel& model, const Smoothed& smooth, Index from, Index to, Index half,
               Index reach)
      : model_{&model},
        from_{from},
        half_{half},
        reach_{reach},
        value_{values(smooth, from, to, half)},
        ranking_{value_},
        floor_{ranking_.median()},
        // The median of exponentially distributed bins is ln 2 of their mean; smoothing makes them
        // alike.
        mean_floor_{half == 0 ? floor_ / std::numbers::ln2 : floor_},
        places_{
            std::max(1.0, static_cast<double>(value_.size()) / static_cast<double>(2 * half + 1))},
        floor_nats_{value_.empty() ? 0.0 : nats(share_above(floor_))} {}

  [[nodiscard]] bool holds(Index i) const {
    return i > from_ && i + 1 < from_ + static_cast<Index>(value_.size());
  }
  [[nodiscard]] double operator[](Index i) const { return value_[at(i - from_)]; }
  [[nodiscard]] double mean_floor() const { return mean_floor_; }
  /// Share of the surroundings that is stronger than v.
  [[nodiscard]] double share_above(double v) const { return ranking_.share_above(v); }

  [[nodiscard]] Spot judge(Index i, double enbw, double reflected) const {
    Spot s;
    s.bin = i;
    const double own = (*this)[i];
    double v = own;
    // A flank of a stronger neighbour is not a line.
    if (half_ == 0 && ((*this)[i - 1] > v || (*this)[i + 1] > v)) v = std::min(v, floor_);
    v = std::max(v - reflected, std::min(v, floor_));
    s.value = v;
    // Of flanks above the floor, a third of all, one value serves.
    s.nats = v == floor_ ? floor_nats_ : nats(share_above(v));
    // Power of the whole smear, not of one bin, above what chance reaches: the best of several
    // places in noise stands three times over the mean, less after smoothing. Without this, knocks
    // (whose envelope spectrum is a high noisy plateau) would look deep.
    const auto width = static_cast<double>(2 * half_ + 1);
    s.excess = std::max(0.0, v - (1 + model_->floor_spread / std::sqrt(width)) * mean_floor_) *
               width / (half_ == 0 ? 1.0 : enbw);
    return s;
  }

  /// How far a spot stands above the strongest place within reach on either side, dB.
  [[nodiscard]] double dominance_db(const Spot& spot) const {
    const double limit = model_->dominance_limit_db;
    if (spot.bin < 0) return -limit;
    const Index beside = half_ + 2;
    const double rival = std::max(strongest(spot.bin - reach_, spot.bin - beside - 1),
                                  strongest(spot.bin + beside + 1, spot.bin + reach_));
    return std::clamp(decibels((spot.value + 1e-300) / (rival + 1e-300)), -limit, limit);
  }

 private:
  static std::vector<double> values(const Smoothed& smooth, Index from, Index to, Index half) {
    return smooth.means(from, to, half);
  }
  /// -ln of the chance of a place that so large a share of the others exceeds.
  [[nodiscard]] double nats(double share) const {
    const double p = std::min(1.0, (share * places_ + 1) / (places_ + 1));
    return std::min(model_->line_cap, -std::log(p));
  }
  /// Strongest value from first to last; places outside count as empty.
  [[nodiscard]] double strongest(Index first, Index last) const {
    double best = 0;
    last = std::min(last, from_ + static_cast<Index>(value_.size()) - 1);
    for (Index i = std::max(first, from_); i <= last; ++i) best = std::max(best, (*this)[i]);
    return best;
  }

  const FamilyModel* model_;
  Index from_;
  Index half_;
  Index reach_;
  std::vector<double> value_;
  Ranking ranking_;
  double floor_;
  double mean_floor_;
  double places_;
  double floor_nats_;
};

/// First bin worth comparing with: the rise towards zero frequency is no rival.
Index first_rival(const FamilyModel& model, Index centre, double bins_per_order) {
  return std::max<Index>(
      2, std::min(static_cast<Index>(model.rise_orders * bins_per_order),
                  static_cast<Index>(model.rise_share * static_cast<double>(centre))));
}

/// All the spots of one harmonic for one smear, from slip -tolerance to +tolerance.
struct Harmonic {
  Index first{0};
  Surroundings around;
  std::vector<Spot> spots;
  /// For each place the strongest spot within one bin of it: play for the rounding of the common
  /// fundamental. Smears need none and have none.
  std::vector<Index> strongest{};
};

/// How far slip may move a harmonic, in bins.
Index slip_play(const FamilyTemplate& wanted, double centre) {
  return static_cast<Index>(std::ceil(wanted.tolerance * centre)) + 2;
}

Harmonic judge_harmonic(const FamilyModel& model, const Smoothed& smooth,
                        const FamilyTemplate& wanted, double bins_per_order, double centre,
                        Index half, double enbw) {
  const auto reach = static_cast<Index>(std::floor(model.neighbourhood * bins_per_order));
  const Index play = slip_play(wanted, centre);
  const Index middle = nearest(centre);
  // A smear needs room around it: half an order would hold hardly anything else.
  const auto smeared = static_cast<Index>(model.smear_room * static_cast<double>(half));
  const Index room = std::max(reach, smeared);
  Harmonic h{
      middle - play,
      Surroundings{model, smooth,
                   std::max(first_rival(model, middle, bins_per_order), middle - room - play),
                   std::min(smooth.size() - 1, middle + room + play), half, reach},
      {}};
  const Surroundings& around = h.around;
  h.spots.reserve(at(2 * play + 1));
  for (Index i = middle - play; i <= middle + play; ++i) {
    if (!around.holds(i)) {
      h.spots.push_back({});
      continue;
    }
    double reflected = 0;
    const double shaft =
        static_cast<double>(nearest(static_cast<double>(i) / bins_per_order)) * bins_per_order;
    if (wanted.avoid_shaft &&
        std::abs(static_cast<double>(i) - shaft) < model.mirror_reach * bins_per_order) {
      // What stands alike on both sides of a shaft harmonic is its skirt or its modulation.
      const Index image = nearest(2 * shaft) - i;
      reflected = smooth.mean(image, half);
      if (half == 0)
        reflected = std::max({reflected, smooth.mean(image - 1, 0), smooth.mean(image + 1, 0)});
    }
    h.spots.push_back(around.judge(i, enbw, reflected));
  }
  if (half > 0) return h;
  const auto last = static_cast<Index>(h.spots.size()) - 1;
  for (Index i = 0; i <= last; ++i) {
    Index best = i;
    for (const Index q : {i - 1, i + 1})
      if (q >= 0 && q <= last && h.spots[at(q)].value > h.spots[at(best)].value) best = q;
    h.strongest.push_back(best);
  }
  return h;
}

/// judge_harmonic(), or what is known of it where none of the bins that it reads differs.
std::shared_ptr<const Harmonic> harmonic_of(const FamilyModel& model, const Smoothed& smooth,
                                            const FamilyTemplate& wanted, double bins_per_order,
                                            double centre, Index half, double enbw,
                                            KnownHarmonics* known) {
  const auto judged = [&](const Smoothed& here) {
    return std::make_shared<const Harmonic>(
        judge_harmonic(model, here, wanted, bins_per_order, centre, half, enbw));
  };
  if (known == nullptr) return judged(smooth);
  // Surroundings, or the image beyond a shaft harmonic, whichever lies farther.
  const double reach =
      std::max({model.neighbourhood * bins_per_order, model.smear_room * static_cast<double>(half),
                2 * model.mirror_reach * bins_per_order}) +
      static_cast<double>(slip_play(wanted, centre) + half + 4);
  if (!known->same(static_cast<Index>(std::floor(centre - reach)),
                   static_cast<Index>(std::ceil(centre + reach))))
    return judged(smooth);
  auto& kept = (*known)[{centre, half, wanted.tolerance, wanted.avoid_shaft}];
  if (!kept) kept = judged(known->base());
  return std::static_pointer_cast<const Harmonic>(kept);
}

/// Positions that lines of a series cannot be separated from, in bins.
struct Interval {
  double from;
  double to;
};

/// Shaft harmonics (unless they count) and what electrical impulses make: twice the mains frequency
/// and its multiples, known to a few hundredths of a per cent. Only those that meet low .. high.
std::vector<Interval> shared_places(const FamilyModel& model, const EnvelopeSpectrum& spectrum,
                                    const FamilyTemplate& wanted, double bins_per_order, double low,
                                    double high) {
  std::vector<Interval> out;
  const auto multiples = [&](double step, double spread, int first) {
    const auto from = [&](double n) { return (n * step - model.apart_bins) / (1 + spread); };
    const auto to = [&](double n) { return (n * step + model.apart_bins) / (1 - spread); };
    for (double n = std::max<double>(first, std::floor(low / step) - 1); from(n) < high; ++n)
      if (to(n) > low) out.push_back({from(n), to(n)});
  };
  if (wanted.avoid_shaft) multiples(bins_per_order, 0, 0);
  for (const Hz f : wanted.mains) multiples(2 * f / spectrum.line_spacing, model.mains_spread, 1);
  return out;
}

void add_sidebands(const FamilyModel& model, FamilyScore& score, const Smoothed& smooth,
                   const FamilyTemplate& wanted, double bins_per_order) {
  std::vector<LineEvidence> extra;
  for (const auto& line : score.lines) {
    if (!line.detected) continue;
    for (const int m : {-1, 1}) {
      auto e = line_at(smooth, Order{line.order.value() + m * wanted.sideband.value()},
                       bins_per_order, model);
      if (!e) continue;
      e->harmonic = line.harmonic;
      e->sideband = m;
      if (e->detected) ++score.sidebands;
      extra.push_back(*e);
    }
  }
  score.lines.insert(score.lines.end(), extra.begin(), extra.end());
}

}  // namespace

std::optional<LineEvidence> line_at(const Smoothed& smooth, Order order, double bins_per_order,
                                    const FamilyModel& model) {
  const auto reach = static_cast<Index>(std::floor(model.neighbourhood * bins_per_order));
  const double position = order.value() * bins_per_order;
  const auto i = static_cast<Index>(std::round(position));
  if (i < 3 || i + 3 >= smooth.size()) return std::nullopt;
  const Surroundings around{
      model, smooth, std::max<Index>(1, i - reach), std::min(smooth.size() - 1, i + reach),
      0,     reach};
  double v = 0;
  for (Index q = i - 1; q <= i + 1; ++q) v = std::max(v, smooth.mean(q, 0));
  LineEvidence e;
  e.order = Order{position / bins_per_order};
  e.prominence_db = decibels((v + 1e-300) / (around.mean_floor() + 1e-300));
  e.depth = std::sqrt(std::max(0.0, v - around.mean_floor()));
  e.detected = around.share_above(v) < model.sideband_rank;
  return e;
}

double FamilyScore::strength(double wanted_db) const noexcept {
  if (evidence < min_evidence) return 0;
  return depth * std::pow(10.0, std::min(dominance_db - wanted_db, 0.0) / 20);
}

namespace {

/// Is it every second line only that stands? Then the family is one of twice the order: another
/// part, or another bearing.
bool belongs_to_multiple(const std::vector<LineEvidence>& lines, double nothing) {
  double even = 0;
  double odd = 0;
  int even_count = 0;
  int odd_count = 0;
  for (const auto& line : lines) {
    if (line.shared) continue;
    const double power = line.detected ? line.depth * line.depth : 0.0;
    const bool is_even = line.harmonic % 2 == 0;
    (is_even ? even : odd) += power;
    if (is_even && line.detected) ++even_count;
    if (!is_even) ++odd_count;
  }
  return even_count > 1 && odd_count > 0 && odd / odd_count < nothing * even / even_count;
}

/// One trial: all harmonics of one smear at one slip.
struct Trial {
  double evidence{-1e9};
  double depth2{0};
  double slip{0};
  std::size_t smear{0};
};

/// What is common to all trials of one family in one spectrum.
class Family {
 public:
  Family(const FamilyModel& model, const EnvelopeSpectrum& spectrum, const Smoothed& smooth,
         Hz shaft, const FamilyTemplate& wanted, KnownHarmonics* known)
      : model_{model},
        smears_{0.0, model.smear_1, model.smear_2, model.smear_3},
        spectrum_{spectrum},
        wanted_{wanted},
        bins_per_order_{shaft / spectrum.line_spacing},
        f_{wanted.fundamental.value() * bins_per_order_} {
    for (int k = 1; k <= wanted.harmonics; ++k)
      if (k * f_ * (1 + wanted.tolerance) + 3 < static_cast<double>(smooth.size())) harmonics_ = k;
    if (model.neighbourhood * bins_per_order_ < model.min_neighbours) harmonics_ = 0;
    for (int k = 1; k <= harmonics_; ++k)
      shared_.push_back(shared_places(model, spectrum, wanted, bins_per_order_,
                                      k * f_ * (1 - wanted.tolerance) - 1,
                                      k * f_ * (1 + wanted.tolerance) + 1));
    for (std::size_t m = 0; m < smears_.size() && harmonics_ > 0; ++m) {
      // A smear is no wider than the line itself, or the band too narrow to tell: not tried.
      if (m > 0 && (smears_[m] * f_ < 2 || !wanted.smeared)) break;
      judged_.emplace_back();
      if (!(max_depth(smooth, m) >= wanted.min_depth)) continue;
      for (int k = 1; k <= harmonics_; ++k) {
        const Index half = half_width(m, k);
        judged_[m].push_back(harmonic_of(model, smooth, wanted, bins_per_order_, k * f_, half,
                                         spectrum.enbw_bins, known));
      }
    }
  }

  /// The best of all slips and smears, or nothing.
  [[nodiscard]] std::optional<Trial> search() const {
    std::optional<Trial> best;
    for (std::size_t m = 0; m < judged_.size(); ++m) {
      if (judged_[m].empty()) continue;
      const int steps = slips(m);
      const double paid = trials(m);
      for (int j = -steps; j <= steps; ++j) {
        Trial t{0, 0, steps > 0 ? wanted_.tolerance * j / steps : 0.0, m};
        int usable = 0;
        for (int k = 1; k <= harmonics_; ++k) {
          const Spot* spot = at_harmonic(k, t);
          if (spot == nullptr) continue;
          ++usable;
          // Under chance -ln p has mean 1: taken off, more harmonics are not better by themselves.
          t.evidence += spot->nats - 1;
          if (detected(*spot)) t.depth2 += spot->excess;
        }
        if (usable == 0) continue;
        t.evidence -= paid;
        if (!best || t.evidence > best->evidence ||
            (t.evidence == best->evidence && t.depth2 > best->depth2))
          best = t;
      }
    }
    return best;
  }

  /// Everything about one trial.
  [[nodiscard]] FamilyScore describe(const Trial& t) const {
    FamilyScore score;
    score.evidence = t.evidence;
    score.slip = t.slip;
    score.smear = smears_[t.smear];
    score.min_evidence = model_.min_evidence;
    score.depth = std::sqrt(t.depth2);
    double dominance = 0;
    double noise_nats = 0;
    for (int k = 1; k <= harmonics_; ++k) {
      LineEvidence line;
      line.harmonic = k;
      line.order = Order{position(k, t) / bins_per_order_};
      const Spot* spot = at_harmonic(k, t);
      if (spot == nullptr) {
        line.shared = is_shared(k, position(k, t));
        if (line.shared) score.lines.push_back(line);
        continue;
      }
      ++score.usable;
      const Surroundings& around = judged_[t.smear][at(k - 1)]->around;
      dominance += around.dominance_db(*spot);
      if (spot->bin >= 0) line.order = Order{static_cast<double>(spot->bin) / bins_per_order_};
      const double floor = around.mean_floor();
      line.prominence_db = decibels((spot->value + 1e-300) / (floor + 1e-300));
      noise_nats += noise_surprise(spot->value / (floor + 1e-300), t.smear, k);
      line.depth = std::sqrt(spot->excess);
      line.detected = detected(*spot);
      if (line.detected) ++score.standing;
      score.lines.push_back(line);
    }
    if (belongs_to_multiple(score.lines, model_.odd_power)) score.depth = 0;
    score.dominance_db = dominance / score.usable;
    // -ln p of each line is exponential under chance, so their sum is a gamma variate; with the
    // play of one bin a sharp line has two places to be lucky in.
    const double tried = trials(t.smear) + (t.smear == 0 ? score.usable * std::numbers::ln2 : 0.0);
    score.log10_chance =
        std::min(0.0, (log_gamma_q(score.usable, noise_nats) + tried) / std::numbers::ln10);
    return score;
  }

  [[nodiscard]] double bins_per_order() const { return bins_per_order_; }

 private:
  [[nodiscard]] Index half_width(std::size_t m, int k) const {
    return nearest(0.5 * smears_[m] * k * f_);
  }
  /// No trial of this smear is deeper: each harmonic at the strongest place that slip allows, with
  /// no floor taken off.
  [[nodiscard]] double max_depth(const Smoothed& smooth, std::size_t m) const {
    double depth2 = 0;
    for (int k = 1; k <= harmonics_; ++k) {
      const Index half = half_width(m, k);
      const Index middle = nearest(k * f_);
      const Index play = slip_play(wanted_, k * f_);
      depth2 += smooth.most(middle - play, middle + play, half) *
                (half == 0 ? 1.0 : static_cast<double>(2 * half + 1) / spectrum_.enbw_bins);
    }
    return std::sqrt(depth2);
  }
  /// -ln of the chance that noise reaches this multiple of its mean: a line of the squared envelope
  /// spectrum of (coloured) Gaussian noise is exponentially distributed, the mean over a smear of n
  /// independent lines is a gamma variate of shape n. Averaging over axes only makes it rarer.
  [[nodiscard]] double noise_surprise(double ratio, std::size_t m, int k) const {
    const auto width = static_cast<double>(2 * half_width(m, k) + 1);
    const double shape = std::max(1.0, width / spectrum_.enbw_bins);
    return std::min(model_.noise_cap, -log_gamma_q(shape, shape * std::max(0.0, ratio)));
  }
  /// Slips tried to each side of zero.
  [[nodiscard]] int slips(std::size_t m) const {
    const double step = std::max(model_.slip_step_bins, model_.slip_step_smear * smears_[m] * f_) /
                        (f_ * harmonics_);
    return static_cast<int>(std::ceil(wanted_.tolerance / step));
  }
  /// ln of the number of trials.
  [[nodiscard]] double trials(std::size_t m) const {
    return std::log((2.0 * slips(m) + 1) * static_cast<double>(smears_.size()));
  }
  [[nodiscard]] double position(int k, const Trial& t) const { return k * f_ * (1 + t.slip); }
  [[nodiscard]] bool detected(const Spot& spot) const {
    return spot.nats >= model_.detected && spot.excess > 0;
  }
  /// A line that cannot be separated from a shaft harmonic, or from electrical impulses.
  [[nodiscard]] bool is_shared(int k, double bin) const {
    const auto& places = shared_[at(k - 1)];
    return std::any_of(places.begin(), places.end(),
                       [&](const Interval& i) { return bin > i.from && bin < i.to; });
  }
  /// The spot of a harmonic, with one bin of tolerance for the rounding of the common fundamental;
  /// null where it does not count.
  [[nodiscard]] const Spot* at_harmonic(int k, const Trial& t) const {
    const double bin = position(k, t);
    if (is_shared(k, bin)) return nullptr;
    const Harmonic& h = *judged_[t.smear][at(k - 1)];
    const Index i = nearest(bin) - h.first;
    if (i < 1 || i + 1 >= static_cast<Index>(h.spots.size())) return nullptr;
    return &h.spots[at(h.strongest.empty() ? i : h.strongest[at(i)])];
  }

  const FamilyModel& model_;
  std::array<double, 4> smears_;  // one line, then widths of smeared ones
  const EnvelopeSpectrum& spectrum_;
  const FamilyTemplate& wanted_;
  double bins_per_order_;
  double f_;  // bins
  int harmonics_{0};
  std::vector<std::vector<Interval>> shared_;                         // by harmonic
  std::vector<std::vector<std::shared_ptr<const Harmonic>>> judged_;  // by smear, then harmonic
};

}  // namespace

FamilyScore score_family(const EnvelopeSpectrum& spectrum, Hz shaft, const FamilyTemplate& wanted,
                         const ModelParameters& model) {
  return score_family(spectrum, Smoothed{spectrum.depth2}, shaft, wanted, model);
}

FamilyScore score_family(const EnvelopeSpectrum& spectrum, const Smoothed& smooth, Hz shaft,
                         const FamilyTemplate& wanted, const ModelParameters& model,
                         KnownHarmonics* known) {
  const Family family{model.family, spectrum, smooth, shaft, wanted, known};
  const auto best = family.search();
  if (!best) return {};
  FamilyScore score = family.describe(*best);
  if (wanted.sideband.value() > 0)
    add_sidebands(model.family, score, smooth, wanted, family.bins_per_order());
  return score;
}

}  // namespace bearingdsp
