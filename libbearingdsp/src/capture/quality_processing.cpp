#include "quality_processing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "bearingdsp/dsp/spectrum.hpp"

namespace bearingdsp::capture_detail {
namespace {

// Short-time level. Differences of neighbouring samples leave out the mean and the slow shaft
// lines, which a block of 10 ms holds a part of only.
constexpr double block_seconds = 0.01;
constexpr std::size_t fewest_block_samples = 32;
constexpr double min_seconds = 1.0;
constexpr double silence_db = -300.0;  ///< stands for a block of zeros

// Automatic gain. It turns the level down within some 10 ms of a loud event and up again within
// 0.1 to 3 s. After an impact a machine rings: its level is higher than before, never lower.
constexpr double knock_db = 12.0;        ///< over the median
constexpr double knock_seconds = 0.1;    ///< longer ones are no knocks
constexpr double knocks_apart = 0.5;     ///< s: what lies beside a knock is not another one's
constexpr double joined_seconds = 0.05;  ///< loud blocks that are closer belong to one knock
constexpr std::size_t fewest_knocks = 3;
constexpr double drop_db = 4.0;       ///< median over the knocks; chance moves it by some 1 dB
constexpr double each_drop_db = 2.0;  ///< of each knock

// Noise suppression. The signal is switched off within a few 10 ms. A damped ringing or a motor
// that runs down takes longer, and impacts are shorter than an open stretch.
constexpr double open_share = 0.8;  ///< of the blocks are below the level of what is open
constexpr double closed_db = 30.0;  ///< below it
constexpr double edge_db = 12.0;    ///< still open this close to the edge
constexpr double edge_seconds = 0.03;
constexpr double stretch_seconds = 0.1;  ///< of silence, and open before it
constexpr std::size_t fewest_silences = 3;

// Voice band. Telephony ends at 3.4 or 7 kHz, whatever the rate of the file. The filter before a
// converter ends near 0.8 of half the rate or above; the response of a machine has no such edge.
constexpr double edge_low = 1000.0;  ///< Hz
constexpr double edge_high = 0.6;    ///< of half the rate
constexpr double edge_step = 1.03;
constexpr double cut_db = 40.0;
constexpr double band_low = 200.0;       ///< Hz: from here to the edge is the band that was kept
constexpr double within_band_db = 25.0;  ///< it reaches up to the edge: else it faded before
constexpr double cut_resolution = 0.1;   ///< s: length of a segment of the spectrum
constexpr double poor_band = 5000.0;     ///< Hz: as in quality.cpp, bearings ring up to 10 kHz

double decibels(double power) { return power > 0 ? 10 * std::log10(power) : silence_db; }

/// The value that `share` of them lie below; they are not empty.
double level_at_share(std::vector<double> values, double share) {
  const auto k = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(k), values.end());
  return values[k];
}

struct Levels {
  std::vector<double> db;
  double step{};  ///< s
  [[nodiscard]] std::size_t blocks(double seconds) const {
    return static_cast<std::size_t>(std::lround(seconds / step));
  }
};

Levels short_levels(const SignalView& s) {
  const auto n = std::max(fewest_block_samples,
                          static_cast<std::size_t>(std::lround(block_seconds * s.rate.value())));
  Levels levels{{}, static_cast<double>(n) / s.rate.value()};
  for (std::size_t at = 1; at + n <= s.x.size(); at += n) {
    double sum = 0;
    for (std::size_t i = at; i < at + n; ++i) sum += (s.x[i] - s.x[i - 1]) * (s.x[i] - s.x[i - 1]);
    levels.db.push_back(decibels(sum / static_cast<double>(n)));
  }
  return levels;
}

struct Stretch {
  std::size_t begin{0}, end{0};  ///< blocks
};

/// The stretches of blocks above `limit`; those closer than `joined` blocks are one.
std::vector<Stretch> stretches_above(std::span<const double> db, double limit, std::size_t joined) {
  std::vector<Stretch> found;
  for (std::size_t i = 0; i < db.size(); ++i) {
    if (db[i] <= limit) continue;
    if (!found.empty() && i - found.back().end < joined)
      found.back().end = i + 1;
    else
      found.push_back({i, i + 1});
  }
  return found;
}

double median_between(std::span<const double> db, std::size_t begin, std::size_t end) {
  return level_at_share({db.begin() + static_cast<std::ptrdiff_t>(begin),
                         db.begin() + static_cast<std::ptrdiff_t>(end)},
                        0.5);
}

/// By how much the level drops across each single knock, dB; below 0 it rises.
std::vector<double> drops_after_knocks(const Levels& levels) {
  const std::span<const double> db{levels.db};
  const double usual = level_at_share(levels.db, 0.5);
  const auto knocks = stretches_above(db, usual + knock_db, levels.blocks(joined_seconds));
  const std::size_t apart = levels.blocks(knocks_apart);
  std::vector<double> drops;
  for (std::size_t k = 0; k < knocks.size(); ++k) {
    const auto [begin, end] = knocks[k];
    if (end - begin > levels.blocks(knock_seconds)) continue;
    if (k > 0 && begin - knocks[k - 1].end < apart) continue;
    if (k + 1 < knocks.size() && knocks[k + 1].begin - end < apart) continue;
    const std::size_t before = levels.blocks(0.25);
    const std::size_t after = levels.blocks(0.2);
    if (begin < before || end + after > db.size()) continue;
    drops.push_back(median_between(db, begin - before, begin - levels.blocks(0.03)) -
                    median_between(db, end + levels.blocks(0.06), end + after));
  }
  return drops;
}

void look_for_gain(const Levels& levels, Findings& out) {
  const std::vector<double> drops = drops_after_knocks(levels);
  if (drops.size() < fewest_knocks) return;
  const double usual = level_at_share(drops, 0.5);
  if (usual < drop_db || *std::min_element(drops.begin(), drops.end()) < each_drop_db) return;
  out.push_back({FindingKind::processed, Weight::caution, "",
                 fmt::format("after each of {} loud knocks the level drops (median {:.1f} dB) and "
                             "recovers: an automatic gain is on",
                             drops.size(), usual),
                 "levels are not comparable, and impacts are evened out: weak damage may be missed",
                 "switch off automatic gain in the settings of the phone or sound card, or use an "
                 "accelerometer, and record again"});
}

void look_for_gate(const Levels& levels, Findings& out) {
  const std::vector<double>& db = levels.db;
  const double open = level_at_share(db, open_share);
  if (open <= silence_db) return;
  const auto loud = stretches_above(db, open - closed_db, 1);
  const std::size_t shortest = levels.blocks(stretch_seconds);
  const std::size_t edge = levels.blocks(edge_seconds);
  std::size_t silences = 0;
  std::size_t closed = 0;
  for (std::size_t k = 0; k < loud.size(); ++k) {
    const auto [begin, end] = loud[k];
    const std::size_t next = k + 1 < loud.size() ? loud[k + 1].begin : db.size();
    if (next - end < shortest || end - begin < shortest) continue;
    if (db[end - edge] < open - edge_db) continue;
    ++silences;
    closed += next - end;
  }
  if (silences < fewest_silences) return;
  out.push_back(
      {FindingKind::processed, Weight::caution, "",
       fmt::format("the signal is switched off {} times, for {:.2g} s in all: a noise suppression "
                   "is on",
                   silences, static_cast<double>(closed) * levels.step),
       "the vibration is missing there, and the edges look like impacts",
       "switch off noise suppression and voice processing in the settings of the phone or sound "
       "card, or use an accelerometer, and record again"});
}

/// How far the spectrum falls at an edge, dB: the smaller of right beside it and over the whole
/// band on each side. Right beside it alone where that is not enough already.
double fall_at(std::span<const double> db, double line, double edge, double top) {
  const auto part = [&](double low, double high) {
    const auto a = static_cast<std::size_t>(std::ceil(low / line));
    const auto b = std::min(db.size(), static_cast<std::size_t>(std::floor(high / line)) + 1);
    return std::vector<double>{db.begin() + static_cast<std::ptrdiff_t>(std::min(a, b)),
                               db.begin() + static_cast<std::ptrdiff_t>(b)};
  };
  const auto just_below = part(0.8 * edge, 0.92 * edge);
  const auto just_above = part(1.08 * edge, 1.3 * edge);
  if (just_below.size() < 3 || just_above.size() < 3) return 0;
  const double beside = level_at_share(just_below, 0.5) - level_at_share(just_above, 0.5);
  if (beside < cut_db) return beside;
  const auto below = part(edge / 2, 0.9 * edge);
  const auto above = part(1.1 * edge, 0.95 * top);
  const auto band = part(band_low, 0.9 * edge);
  for (const auto* side : {&below, &above, &band})
    if (side->size() < 3) return 0;
  if (level_at_share(just_below, 0.5) < level_at_share(band, 0.75) - within_band_db) return 0;
  return std::min(level_at_share(below, 0.5) - level_at_share(above, 0.9), beside);
}

void look_for_voice_band(const SignalView& s, FftPlans& plans, Findings& out) {
  WelchOptions options;
  options.segment = good_fft_size_below(
      std::max<std::size_t>(256, static_cast<std::size_t>(cut_resolution * s.rate.value())));
  if (options.segment > s.x.size()) return;
  const auto spectrum = welch(s.x, s.rate, plans, options);
  if (!spectrum) return;
  std::vector<double> db(spectrum->y.size());
  std::transform(spectrum->y.begin(), spectrum->y.end(), db.begin(), decibels);
  const double top = s.rate.value() / 2;
  const double line = spectrum->line_spacing.value();
  double edge = 0;
  double fall = 0;
  for (double f = edge_low; fall < cut_db && f < edge_high * top; f *= edge_step) {
    fall = fall_at(db, line, f, top);
    edge = f;
  }
  if (fall < cut_db) return;
  out.push_back(
      {FindingKind::processed, edge < poor_band ? Weight::caution : Weight::note, "",
       fmt::format("the spectrum ends at a steep edge near {:.2g} kHz ({:.0f} dB or more), "
                   "although the sample rate allows {:.3g} kHz",
                   edge / 1000, fall, top / 1000),
       edge < poor_band ? "much of the resonance range of bearings (2-10 kHz) was cut off: early "
                          "damage may not be detected"
                        : "what lies above was cut off before the samples were stored",
       "phones and headsets cut to the band of speech: use another input, switch off "
       "voice processing, or set a higher low-pass filter"});
}

}  // namespace

Findings look_for_processing(const SignalView& s, FftPlans& plans) {
  Findings out;
  if (static_cast<double>(s.x.size()) < min_seconds * s.rate.value()) return out;
  if (s.unit == SampleUnit::displacement || s.unit == SampleUnit::velocity) return out;
  const Levels levels = short_levels(s);
  if (levels.db.size() > levels.blocks(min_seconds / 2)) {
    look_for_gain(levels, out);
    look_for_gate(levels, out);
  }
  look_for_voice_band(s, plans, out);
  return out;
}

}  // namespace bearingdsp::capture_detail
