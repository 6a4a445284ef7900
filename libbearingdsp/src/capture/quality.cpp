#include "bearingdsp/capture/quality.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "bearingdsp/capture/glitch.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dsp/noise_floor.hpp"
#include "bearingdsp/dsp/spectrum.hpp"
#include "core/mains.hpp"
#include "plausible.hpp"
#include "quality_measured.hpp"
#include "quality_processing.hpp"

namespace bearingdsp {
namespace {

/// Unit as a person reads it; a bare number beside "1" would puzzle.
std::string_view unit_words(SampleUnit unit) {
  return unit == SampleUnit::uncalibrated ? "(no unit)" : symbol(unit);
}

// Clipping. A smooth or noisy waveform meets its exact maximum once; a limiter parks many samples
// there. Records of a quantised recorder match at random as well, but seldom in a row.
constexpr double at_limit = 1e-9;          ///< relative closeness that counts as the same value
constexpr std::size_t fewest_clipped = 4;  ///< samples at one limit before it is worth a word
constexpr std::size_t flat_run = 3;        ///< in a row: no sine is that flat, however sampled
constexpr double fine_steps = 50;  ///< rms over step: then chance does not repeat an extreme value
constexpr double clipped_caution = 1e-4;    ///< part of the samples: impacts lose their peaks
constexpr double clipped_blocking = 0.02;   ///< a square wave: its harmonics are the limiter's
constexpr double beyond_full_scale = 1.01;  ///< no converter goes there
constexpr double near_full_scale = 0.999;   ///< of the range: a converter's last steps
constexpr double only_levels = 0.9;         ///< part of the samples at two values: no vibration

// Stuck. Samples of a live 12-bit or better recorder repeat at random for a few samples, not for
// this many; a dropout repeats (or is zero) for as long as the transmission was down.
constexpr std::size_t stuck_run = 16;
constexpr double stuck_time = 1e-3;  ///< s, at least: a slow signal at a high rate repeats honestly
constexpr double stuck_blocking = 0.2;

// DC. Constant part over the rms of the rest: piezoelectric paths block it, MEMS ones carry gravity
// and half the supply. It does no harm once removed but says something of the sensor.
constexpr double dc_note = 1.0;
constexpr double dc_caution = 1000.0;  ///< the vibration uses less than 0.1 % of the range then

// Ski slope: level at the lowest frequencies over that where machines begin to have lines. Settling
// sensors and integrated noise fall by 20-40 dB/decade; vibration does not rise towards 0 Hz.
constexpr double slope_low = 1.0;     ///< Hz
constexpr double slope_knee = 5.0;    ///< Hz: below the slowest shaft worth a bearing diagnosis
constexpr double slope_share = 0.25;  ///< of the energy above 1 Hz that lies below the knee
constexpr double slope_ratio = 20.0;  ///< density 1-3 Hz over density 5-20 Hz (13 dB)

// Mains. Part of the energy in the lines at f, 2f, 3f ... (with the neighbouring bins).
constexpr double mains_share = 0.2;
constexpr double mains_caution = 0.5;
constexpr int mains_harmonics = 6;
constexpr double mains_prominence = 20.0;  ///< line power over the noise beside it
/// Motors turn a few per cent below an even part of twice the mains: a line closer to the mains
/// than this can be distinguished from the shaft's.
constexpr double mains_width = 0.5;  ///< Hz

// Bandwidth. Outer and inner rings of small and medium bearings and their mountings ring at some
// 2-10 kHz; below 5 kHz of band little of it is left, below 1 kHz nothing.
constexpr double band_caution = 5000.0;  ///< Hz, half the rate
constexpr double band_poor = 1000.0;     ///< Hz
/// The outer ring's family begins at some 3 to 5 orders and the inner ring's at 5 to 8: a band that
/// ends below holds no more than one line of a bearing.
constexpr double band_least_orders = 10.0;
/// The accelerometer of a phone ends at some 25 to 100 Hz: a hundredth of where bearings ring. What a slow machine's
/// late damage makes there is below the steps of such a sensor, however many orders fit. Practice, no source.
constexpr double band_blind = 200.0;  ///< Hz

// Length. Two lines part when they are two lines of the spectrum apart (Hann window: main lobe of
// four lines, half height of two).
constexpr double lines_apart = 2.0;

// Steps. Quantisation noise is step/sqrt(12): rms below two steps puts it within 17 dB of the
// signal.
constexpr double steps_note = 8.0;
constexpr double steps_caution = 2.0;
constexpr std::size_t max_levels = 4096;  ///< distinct values looked for; more: no coarse grid

// The converter's grid, from this many samples; beyond 24 bits it is no converter's.
constexpr std::size_t grid_samples = 65536;
constexpr std::size_t telling_samples = 8192;  ///< may show that there is no grid
constexpr double off_grid = 0.05;              ///< steps
constexpr double max_steps = 16777216;         ///< 2^24
constexpr double fewest_codes = 128;           ///< 8 bits, one sign
constexpr double max_codes = 8388608;          ///< 24 bits, one sign

// Below noise. No usual accelerometer is quieter than a tenth of this over the band, and no turning
// machine is so still: 0.001 m/s2 rms is 0.1 mg.
constexpr double silent_acceleration = 1e-3;  ///< m/s2 rms over the band
constexpr double silent_velocity = 1e-6;      ///< m/s rms
constexpr double flatness_of_noise = 0.5;     ///< geometric over arithmetic mean of the density
constexpr double tiny_range = 1e-4;           ///< rms over full scale (-80 dB)

// Nothing but lines: a calibrator's tone, mains hum alone. Bearings show in what is between the
// lines, and a machine that runs makes a rustle of a hundredth of its level or more.
constexpr double broadband_low = 200.0;     ///< Hz: below it sensors drift and supplies hum
constexpr double broadband_share = 1e-3;    ///< -60 dB of the whole, as acceleration
constexpr std::size_t floor_lines = 32;     ///< each way, for the level between the lines
constexpr double independent_share = 0.53;  ///< of half-overlapped Hann segments [welch1967]

// Single wrong samples. More than these tell of a recorder or cable that loses data all the time.
constexpr double glitches_caution = 1e-4;  ///< part of the samples

// Duplicates. The benchmark study of an open set found channels equal but for a factor; honest
// neighbours on one machine correlate below this.
constexpr double same_signal = 0.9999;

std::string share_text(double share) { return fmt::format("{:.3g} %", 100 * share); }

struct Extent {
  double mean{};
  double rms{};  ///< of the deviation from the mean
  double low{};
  double high{};
};

Extent extent(std::span<const double> x) {
  Extent m;
  const auto n = static_cast<double>(x.size());
  m.mean = std::accumulate(x.begin(), x.end(), 0.0) / n;
  double sum = 0;
  m.low = x.front();
  m.high = x.front();
  for (const double v : x) {
    sum += (v - m.mean) * (v - m.mean);
    m.low = std::min(m.low, v);
    m.high = std::max(m.high, v);
  }
  m.rms = std::sqrt(sum / n);
  return m;
}

/// Are the values closer together than any grid's over their range? Those of more samples are then
/// as well. Three times as close, since a step is made sharper as it is followed.
bool too_fine(std::span<const double> x) {
  std::vector<double> values{x.begin(), x.end()};
  std::sort(values.begin(), values.end());
  double least = values.back() - values.front();
  for (std::size_t i = 1; i < values.size(); ++i)
    if (values[i] > values[i - 1]) least = std::min(least, values[i] - values[i - 1]);
  return values.back() - values.front() > 3 * max_steps * least;
}

/// The converter's step, if the values lie on an even grid: base is a value on it.
struct Grid {
  double step{};
  double base{};
  std::size_t levels{};  ///< different values seen
};
std::optional<Grid> converter_grid(std::span<const double> x) {
  if (x.size() >= 2 * telling_samples && too_fine(x.first(telling_samples))) return std::nullopt;
  std::vector<double> values{
      x.begin(),
      x.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(x.size(), grid_samples))};
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end()), values.end());
  if (values.size() < 2) return std::nullopt;
  Grid grid{values[1] - values[0], values.front(), values.size()};
  for (std::size_t i = 2; i < values.size(); ++i) {
    grid.step = std::min(grid.step, values[i] - values[i - 1]);
  }
  // The smallest difference is rounded; ever longer distances make the step sharper.
  for (const double v : values) {
    const double k = std::round((v - grid.base) / grid.step);
    if (k > max_steps) return std::nullopt;
    if (std::abs((v - grid.base) / grid.step - k) > off_grid) return std::nullopt;
    if (k > 0) grid.step = (v - grid.base) / k;
  }
  return grid;
}

/// `fractions`: of a full scale that is not known, as integer audio holds them.
Finding uncalibrated_finding(SampleUnit unit, bool fractions) {
  Finding f{FindingKind::uncalibrated,
            Weight::note,
            "",
            "the unit of the samples is not known",
            "severity cannot be evaluated; the diagnosis from spectral lines is valid",
            "give the unit, or the sensor's sensitivity in mV/g"};
  if (unit == SampleUnit::volt) {
    f.what = "samples are in volts, the sensitivity is not known";
  } else if (fractions) {
    f.what = "samples are fractions of full scale, and the value of full scale is not known";
    f.advice =
        "give --unit and --full-scale: the data sheet of a digital sensor states full scale as "
        "measuring range (±10 g: --unit g --full-scale 10), that of a sound card as maximum "
        "input level in volts (with --sensitivity). Or measure it with a vibration calibrator: "
        "bearingdsp sensor calibrate";
  }
  return f;
}

/// A file of floating-point numbers may hold values in its unit already; they look like fractions
/// of full scale to a reader that is given one.
void look_for_wrong_scale(const SignalView& s, const Extent& m, std::optional<double> full_scale,
                          Findings& out) {
  const double peak = std::max(std::abs(m.low), std::abs(m.high));
  if (!full_scale || !(peak > beyond_full_scale * *full_scale)) return;
  out.push_back({FindingKind::header_mismatch, Weight::caution, "",
                 fmt::format("samples reach {:.4g} {}, {:.3g} times the given full scale", peak,
                             unit_words(s.unit), peak / *full_scale),
                 "every level may be too high by the factor of the full scale",
                 "remove the full scale if the file already contains values in its unit"});
}

/// How often the highest ([0]) and the lowest value ([1]) is taken, and how long at a time.
struct AtEnds {
  std::array<std::size_t, 2> count{}, runs{}, longest{};
};

AtEnds at_ends(const SignalView& s, const Extent& m) {
  const double slack = at_limit * std::max(std::abs(m.low), std::abs(m.high));
  AtEnds e;
  std::array<std::size_t, 2> run{};
  for (const double v : s.x) {
    const std::array at{v >= m.high - slack, v <= m.low + slack};
    if (!at[0] && !at[1]) {
      run = {};
      continue;
    }
    for (std::size_t side = 0; side < 2; ++side) {
      if (at[side]) {
        ++e.count[side];
        ++run[side];
        if (run[side] == 2) ++e.runs[side];
        e.longest[side] = std::max(e.longest[side], run[side]);
      } else {
        run[side] = 0;
      }
    }
  }
  return e;
}

/// Whether a value is the end of the converter's range.
bool at_range(double v, const std::optional<Grid>& grid, std::optional<double> full_scale) {
  if (full_scale && std::abs(v) >= near_full_scale * *full_scale) return true;
  // The last code of a two's complement converter: -2^b or 2^b - 1 steps from zero.
  if (!grid) return false;
  const double steps = v / grid->step;
  if (std::abs(steps - std::round(steps)) > off_grid) return false;
  const double codes = std::abs(std::round(steps)) + (v > 0 ? 1 : 0);
  if (codes < fewest_codes || codes > max_codes) return false;
  return std::exp2(std::round(std::log2(codes))) == codes;
}

/// True if it is not vibration at all.
bool look_for_clipping(const SignalView& s, const Extent& m, const std::optional<Grid>& grid,
                       std::optional<double> full_scale, Findings& out) {
  const auto [count, runs, longest] = at_ends(s, m);
  const std::array limit{m.high, m.low};
  std::size_t ranged = 0;
  for (std::size_t side = 0; side < 2; ++side)
    ranged += at_range(limit[side], grid, full_scale) ? count[side] : 0;
  std::size_t total = 0;
  std::string where;
  for (std::size_t side = 0; side < 2; ++side) {
    // Beyond two rms even single samples of one value tell, unless the steps are coarse.
    const bool peaked = std::abs(limit[side] - m.mean) > 2 * m.rms;
    const bool fine = !grid || m.rms > fine_steps * grid->step;
    const bool parked = count[side] >= fewest_clipped &&
                        (longest[side] >= flat_run || (peaked && (fine || runs[side] >= 1)));
    if (!parked && !(at_range(limit[side], grid, full_scale) && ranged >= 2)) continue;
    total += count[side];
    add_part(where, fmt::format("{:.4g}", limit[side]), " and ");
  }
  if (total == 0) return false;
  const double share = static_cast<double>(total) / static_cast<double>(s.x.size());
  const Weight weight = share >= clipped_blocking  ? Weight::blocking
                        : share >= clipped_caution ? Weight::caution
                                                   : Weight::note;
  // A vibration far beyond the range stands at both ends of it alike.
  const bool even_ends = std::abs(m.high + m.low) < 0.1 * (m.high - m.low);
  if (share >= only_levels && count[0] > 0 && count[1] > 0 && !even_ends) {
    out.push_back(
        {FindingKind::clipped, weight, "",
         fmt::format("{} of the samples are {}, with few values between", share_text(share), where),
         "this is not vibration but pulses, for example from a shaft marker",
         "select it with --tacho, or choose the other channels"});
    return true;
  }
  out.push_back({FindingKind::clipped, weight, "",
                 fmt::format("{} samples ({}) are clipped at {} {}", total, share_text(share),
                             where, unit_words(s.unit)),
                 "impacts are cut off: peak, crest factor and kurtosis are too low, and false "
                 "harmonics appear",
                 "record again with a larger range or a less sensitive sensor"});
  return false;
}

void look_for_stuck(const SignalView& s, const Extent& m, Findings& out) {
  const auto shortest = std::max(
      stuck_run, static_cast<std::size_t>(std::min(static_cast<double>(s.x.size()) + 1,
                                                   std::ceil(stuck_time * s.rate.value()))));
  const double slack = at_limit * std::max(std::abs(m.low), std::abs(m.high));
  std::size_t total = 0;
  std::size_t longest = 0;
  std::size_t first = 0;
  std::size_t stretches = 0;
  for (std::size_t i = 0; i < s.x.size();) {
    std::size_t end = i + 1;
    while (end < s.x.size() && s.x[end] == s.x[i]) ++end;
    const bool limit = s.x[i] >= m.high - slack || s.x[i] <= m.low + slack;
    if (end - i >= shortest && !limit) {
      if (stretches++ == 0) first = i;
      total += end - i;
      longest = std::max(longest, end - i);
    }
    i = end;
  }
  if (stretches == 0) return;
  const double share = static_cast<double>(total) / static_cast<double>(s.x.size());
  out.push_back(
      {FindingKind::stuck, share > stuck_blocking ? Weight::blocking : Weight::caution, "",
       fmt::format(
           "{} stretch{} of one value, {} of the recording, longest {:.3g} s, first at {:.4g} s",
           stretches, stretches == 1 ? "" : "es", share_text(share),
           static_cast<double>(longest) / s.rate.value(),
           static_cast<double>(first) / s.rate.value()),
       "the edges look like impacts, and the phase of every spectral line is interrupted there",
       "check cable and transmission, and record again"});
}

/// The samples with the wrong ones replaced; empty where there are none.
std::vector<double> look_for_glitches(const SignalView& s, std::span<const Glitch> found,
                                      Findings& out) {
  if (found.empty()) return {};
  double largest = 0;
  for (const Glitch& g : found) largest = std::max(largest, std::abs(s.x[g.first]));
  const double share = static_cast<double>(found.size()) / static_cast<double>(s.x.size());
  out.push_back(
      {FindingKind::repaired, share > glitches_caution ? Weight::caution : Weight::note, "",
       fmt::format("{} of up to {:.4g} {} {} nothing in common with "
                   "{} neighbours, first at {:.4g} s",
                   counted(found.size(), "single sample"), largest, unit_words(s.unit),
                   found.size() == 1 ? "has" : "have", found.size() == 1 ? "its" : "their",
                   static_cast<double>(found.front().first) / s.rate.value()),
       "no impact on a machine is so short: the samples are replaced from their neighbours before "
       "the analysis",
       "check the cable, its connectors and the recorder"});
  return without_glitches(s.x, found);
}

void look_at_steps(const SignalView& s, const Extent& m, const Grid& grid, Findings& out) {
  // Few values, each met often: else a short recording or one printed with few digits.
  if (grid.levels > max_levels || grid.levels * 4 > s.x.size()) return;
  const double step = grid.step;
  const double used = m.rms / step;
  if (used >= steps_note) return;
  out.push_back({FindingKind::coarse_resolution,
                 used < steps_caution ? Weight::caution : Weight::note, "",
                 fmt::format("the rms is {:.2g} converter steps of {:.3g} {} ({} different values)",
                             used, step, unit_words(s.unit), grid.levels),
                 "small impacts are lost between two steps, and rounding adds noise",
                 "record with more gain or a smaller range"});
}

double bin_power(const Spectrum& p, double low, double high) {
  const double df = p.line_spacing.value();
  const double first = std::max(0.0, std::ceil(low / df));
  // Rates of next to nothing have no line there, nor an index of one.
  if (!(first < static_cast<double>(p.y.size()))) return 0;
  double sum = 0;
  for (auto k = static_cast<std::size_t>(first);
       k < p.y.size() && static_cast<double>(k) * df <= high; ++k)
    sum += p.y[k];
  return sum * df;
}

/// How a density of the samples becomes one of acceleration, at f in Hz; 1 where the unit is none
/// of vibration.
double as_acceleration(SampleUnit unit, double f) {
  const double w2 = std::pow(2 * std::numbers::pi * f, 2);
  return unit == SampleUnit::velocity ? w2 : unit == SampleUnit::displacement ? w2 * w2 : 1.0;
}

void look_for_broadband(const SignalView& s, const Spectrum& p, Findings& out) {
  const double df = p.line_spacing.value();
  const double top = s.rate.value() / 2;
  const double low = std::min(broadband_low, 0.1 * top);
  const double shape = std::max(1.0, independent_share * static_cast<double>(p.averages));
  const auto floor = noise_floor_by_knots(p.y, {.half = floor_lines, .shape = shape});
  double all = 0;
  double between = 0;
  for (std::size_t k = 1; k < p.y.size(); ++k) {
    const double f = static_cast<double>(k) * df;
    const double weight = as_acceleration(s.unit, f) * df;
    if (f >= slope_low) all += weight * p.y[k];
    if (f >= low && f < 0.98 * top) between += weight * std::min(floor[k], p.y[k]);
  }
  const double level = std::sqrt(between);
  if (!(all > 0) || level >= broadband_share * std::sqrt(all)) return;
  out.push_back({FindingKind::no_broadband, Weight::caution, "",
                 fmt::format("the recording contains single tones and almost nothing between them "
                             "({:.2g} % of the level)",
                             100 * level / std::sqrt(all)),
                 "bearing damage shows in the noise between the tones: there is nothing to analyse",
                 "check that the machine ran and that the sensor was on it, not on a calibrator "
                 "and without mains hum"});
}

/// Lines of 0.5 Hz where the recording allows: enough to part mains from shaft and see below 5 Hz.
std::optional<Spectrum> quality_spectrum(const SignalView& s, FftPlans& plans) {
  if (s.x.size() < 16) return std::nullopt;
  const auto wish =
      static_cast<std::size_t>(std::min(2 * s.rate.value(), static_cast<double>(s.x.size())));
  const std::size_t segment = good_fft_size_below(std::clamp<std::size_t>(wish, 16, s.x.size()));
  WelchOptions options;
  options.segment = segment;
  auto welched = welch(s.x, s.rate, plans, options);
  if (!welched || !(bin_power(*welched, slope_low, s.rate.value() / 2) > 0)) return std::nullopt;
  return std::move(*welched);
}

void look_for_slope(const SignalView& s, const Spectrum& p, Findings& out) {
  const double df = p.line_spacing.value();
  const double all = bin_power(p, slope_low, s.rate.value() / 2);
  if (df <= slope_low) {
    const double below = bin_power(p, slope_low, slope_knee) / all;
    const double low = bin_power(p, slope_low, 3.0) / 2.0;
    const double high = bin_power(p, slope_knee, 4 * slope_knee) / (3 * slope_knee);
    if (below > slope_share && low > slope_ratio * high) {
      out.push_back({FindingKind::ski_slope, Weight::caution, "",
                     fmt::format("{} of the energy lies below {:.0f} Hz and rises towards 0 Hz",
                                 share_text(below), slope_knee),
                     "overall velocity and displacement are not reliable; bearing bands above 1 "
                     "kHz are not affected",
                     "let the sensor settle, check its mounting and cable, and record again"});
    }
  }
}

void look_for_mains(Hz rate, const Spectrum& p, const std::optional<Hz>& shaft, Findings& out) {
  const double df = p.line_spacing.value();
  const double top = rate.value() / 2;
  const double all = bin_power(p, slope_low, top);
  if (df <= 2.0) {
    for (const Hz public_one : public_mains) {
      const double mains = public_one.value();
      double sum = 0;
      int lines = 0;
      for (int h = 1; h <= mains_harmonics && h * mains + 10 < top; ++h) {
        const double f = h * mains;
        const double half = std::max(mains_width, 2.5 * df);
        const double line = bin_power(p, f - half, f + half);
        const double beside =
            bin_power(p, f - 4 * half, f - half) + bin_power(p, f + half, f + 4 * half);
        // The line is present in 2 of 8 parts of the stretch; a line off the mains falls into
        // beside.
        if (line <= mains_prominence * beside / 3) continue;
        sum += line;
        ++lines;
      }
      const bool fits = [&] {
        if (!shaft) return true;
        // A shaft near the mains, or a part of it, has its own lines there.
        const double ratio = mains / shaft->value();
        const double order = std::round(ratio);
        return order < 1 || std::abs(ratio - order) * shaft->value() > 2 * df;
      }();
      const double share = sum / all;
      if (lines == 0 || share < mains_share || !fits) continue;
      out.push_back({FindingKind::mains_hum, share > mains_caution ? Weight::caution : Weight::note,
                     "",
                     fmt::format("{} of the energy is in {} at {:.0f} Hz and multiples",
                                 share_text(share), counted(lines, "line"), mains),
                     "overall levels are too high, and mains lines may be mistaken for faults",
                     "check shield, earth and cable route; vibration of a motor at 2 x mains "
                     "frequency is real"});
      break;
    }
  }
}

/// Only noise, and little of it?
void look_for_silence(const SignalView& s, const Extent& m, const Spectrum& p,
                      std::optional<double> full_scale, Findings& out) {
  const double floor = s.unit == SampleUnit::acceleration ? silent_acceleration
                       : s.unit == SampleUnit::velocity   ? silent_velocity
                                                          : 0;
  const bool silent = m.rms < floor;
  const bool tiny = full_scale && m.rms < tiny_range * *full_scale;
  if (!silent && !tiny) return;
  const double df = p.line_spacing.value();
  const double top = s.rate.value() / 2;
  double log_sum = 0;
  double sum = 0;
  std::size_t bins = 0;
  for (std::size_t k = 0; k < p.y.size(); ++k) {
    const double f = static_cast<double>(k) * df;
    if (f < slope_knee || f > 0.8 * top || p.y[k] <= 0) continue;
    log_sum += std::log(p.y[k]);
    sum += p.y[k];
    ++bins;
  }
  const double flatness =
      bins > 0 ? std::exp(log_sum / static_cast<double>(bins)) / (sum / static_cast<double>(bins))
               : 0;
  if (flatness > flatness_of_noise) {
    std::string against = silent ? fmt::format("less than a running machine produces ({:.0e} {})",
                                               floor, unit_words(s.unit))
                                 : fmt::format("{} of full scale", share_text(m.rms / *full_scale));
    out.push_back({FindingKind::below_noise, Weight::blocking, "",
                   fmt::format("rms {:.3g} {}, {}, and the spectrum is flat", m.rms,
                               unit_words(s.unit), against),
                   "this is the noise of sensor and recorder: it does not show the bearing",
                   "check that the machine ran, that the sensor is connected and that the range is "
                   "suitable"});
  }
}

void look_for_bias(SampleUnit unit, const Extent& m, Findings& out) {
  const double dc = std::abs(m.mean) / m.rms;
  if (!(dc > dc_note)) return;
  out.push_back(
      {FindingKind::dc_bias, dc > dc_caution ? Weight::caution : Weight::note, "",
       fmt::format("the mean is {:.4g} {}, {:.3g} times the rms of the vibration", m.mean,
                   unit_words(unit), dc),
       dc > dc_caution ? "the vibration uses a small part of the range"
                       : "none: the mean is removed before analysis",
       "normal for sensors that measure down to 0 Hz; otherwise check the bias of the sensor"});
}

}  // namespace

namespace capture_detail {

MeasuredQuality measure_quality(SignalView s, std::optional<double> full_scale, FftPlans& plans,
                                const std::vector<Glitch>* glitches) {
  MeasuredQuality q;
  q.rate = s.rate;
  q.unit = s.unit;
  q.samples = s.x.size();
  q.full_scale = full_scale;
  Findings& out = q.levels;
  const double rate = s.rate.value();
  if (s.x.empty() || !(rate > 0) || !std::isfinite(rate)) {
    out.push_back({FindingKind::dead_channel, Weight::blocking, "", "no samples or no rate",
                   "there is nothing to analyse", "check the recorder and the export"});
    return q;
  }
  if (!std::all_of(s.x.begin(), s.x.end(), [](double v) { return std::isfinite(v); })) {
    out.push_back({FindingKind::stuck, Weight::blocking, "", "some samples are not numbers",
                   "no level or spectrum can be computed", "repair or export the recording again"});
    return q;
  }
  Extent m = extent(s.x);
  if (!(m.rms > 1e-12 * std::max(std::abs(m.low), std::abs(m.high)))) {
    out.push_back({FindingKind::dead_channel, Weight::blocking, "",
                   fmt::format("all samples are {:.6g} {}", m.mean, unit_words(s.unit)),
                   "the channel contains no signal", "check sensor, cable and supply"});
    return q;
  }
  if (s.unit == SampleUnit::revolution) return q;
  if (auto level = implausible_level(m.rms, s.unit)) out.push_back(std::move(*level));

  const std::optional<Grid> grid = converter_grid(s.x);
  if (look_for_clipping(s, m, grid, full_scale, out)) return q;
  look_for_wrong_scale(s, m, full_scale, out);
  look_for_stuck(s, m, out);
  const std::vector<double> repaired = glitches != nullptr
                                           ? look_for_glitches(s, *glitches, out)
                                           : look_for_glitches(s, find_glitches(s.x, s.rate), out);
  if (!repaired.empty()) {
    s.x = repaired;
    m = extent(s.x);
  }
  look_for_bias(s.unit, m, out);
  if (grid) look_at_steps(s, m, *grid, out);

  q.vibration = true;
  q.spectrum = quality_spectrum(s, plans);
  if (q.spectrum) {
    look_for_slope(s, *q.spectrum, q.slope);
    look_for_broadband(s, *q.spectrum, q.between_lines);
    look_for_silence(s, m, *q.spectrum, full_scale, q.between_lines);
  }
  q.processing = look_for_processing(s, plans);
  return q;
}

namespace {

void look_at_length_and_band(const MeasuredQuality& q, const QualityNeeds& needs, Findings& out) {
  const double rate = q.rate.value();
  const double band = rate / 2;
  if (needs.shaft && band < at_speed(Order{band_least_orders}, *needs.shaft).value()) {
    out.push_back({FindingKind::low_bandwidth, Weight::blocking, "",
                   fmt::format("the band ends at {:.5g} Hz, {:.3g} times the shaft rate", band,
                               band / needs.shaft->value()),
                   "the recording does not contain the defect frequencies of the bearing",
                   "make sure that the sample rate and the unit of the time column are right, and "
                   "record at 20 kHz or more"});
  } else if (q.unit != SampleUnit::velocity && q.unit != SampleUnit::displacement &&
             band < band_blind) {
    out.push_back({FindingKind::low_bandwidth, Weight::blocking, "",
                   fmt::format("the band ends at {:.5g} Hz", band),
                   "bearings ring at 2-10 kHz: the recording shows what turns with the shaft, not "
                   "the bearing",
                   "record at 20 kHz or more, with a sensor for it"});
  } else if (q.unit != SampleUnit::velocity && q.unit != SampleUnit::displacement &&
             band < band_caution) {
    const bool poor = band < band_poor;
    out.push_back({FindingKind::low_bandwidth, Weight::caution, "",
                   fmt::format("the band ends at {:.5g} Hz", band),
                   poor ? "impacts excite resonances above it: only late damage, with lines in the "
                          "raw spectrum, can be detected"
                        : "much of the resonance range of bearings (2-10 kHz) is missing: early "
                          "damage may not be detected",
                   "record at 20 kHz or more"});
  }
  const double seconds = static_cast<double>(q.samples) / rate;
  if (needs.shaft && needs.shaft->value() > 0 && needs.smallest_spacing.value() > 0) {
    const double spacing = at_speed(needs.smallest_spacing, *needs.shaft).value();
    const double needed = lines_apart / spacing;
    if (seconds < needed) {
      out.push_back({FindingKind::too_short,
                     seconds < needed / 4 ? Weight::blocking : Weight::caution, "",
                     fmt::format("the recording is {:.3g} s long: lines closer than {:.3g} Hz "
                                 "merge, the closest lines to be resolved are {:.3g} Hz apart",
                                 seconds, lines_apart / seconds, spacing),
                     "a defect line cannot be resolved from its neighbour",
                     fmt::format("record {:.3g} s or more", needed)});
    } else if (seconds * needs.shaft->value() < needs.revolutions) {
      out.push_back(
          {FindingKind::too_short, Weight::caution, "",
           fmt::format("the recording holds only {:.0f} shaft revolutions",
                       std::floor(seconds * needs.shaft->value())),
           "damage is more often not identified or not detected than in a longer one",
           fmt::format("record {:.3g} s ({:.0f} revolutions) or more",
                       std::ceil(needs.revolutions / needs.shaft->value()), needs.revolutions)});
    }
  }
}

}  // namespace

Findings quality_for(const MeasuredQuality& q, const QualityNeeds& needs) {
  Findings out = q.levels;
  if (!q.vibration) return out;
  const auto add = [&](const Findings& more) { out.insert(out.end(), more.begin(), more.end()); };
  look_at_length_and_band(q, needs, out);
  if (q.unit == SampleUnit::uncalibrated || q.unit == SampleUnit::volt)
    out.push_back(uncalibrated_finding(q.unit, q.full_scale.has_value()));
  add(q.slope);
  if (q.spectrum) look_for_mains(q.rate, *q.spectrum, needs.shaft, out);
  add(q.between_lines);
  add(q.processing);
  return out;
}

}  // namespace capture_detail

Findings assess_quality(SignalView s, const QualityNeeds& needs, FftPlans& plans) {
  return capture_detail::quality_for(
      capture_detail::measure_quality(s, needs.full_scale, plans, nullptr), needs);
}

Findings assess_quality(const Capture& capture, const QualityNeeds& needs, FftPlans& plans) {
  Findings out;
  std::vector<std::size_t> alive;
  for (std::size_t i = 0; i < capture.channels.size(); ++i) {
    const Channel& channel = capture.channels[i];
    QualityNeeds own = needs;
    if (channel.full_scale) own.full_scale = channel.full_scale;
    bool dead = false;
    for (Finding& f : assess_quality(capture.view(i), own, plans)) {
      dead = dead || f.kind == FindingKind::dead_channel;
      f.where = channel.name;
      out.push_back(std::move(f));
    }
    if (!dead && channel.unit != SampleUnit::revolution) alive.push_back(i);
  }
  std::vector<Extent> moment(capture.channels.size());
  for (const std::size_t i : alive) moment[i] = extent(capture.channels[i].samples);
  for (std::size_t a = 0; a < alive.size(); ++a) {
    for (std::size_t b = a + 1; b < alive.size(); ++b) {
      const std::vector<double>& x = capture.channels[alive[a]].samples;
      const std::vector<double>& y = capture.channels[alive[b]].samples;
      const Extent& mx = moment[alive[a]];
      const Extent& my = moment[alive[b]];
      if (x.size() != y.size()) continue;
      const auto correlation = [&](std::size_t n) {
        double sum = 0;
        for (std::size_t i = 0; i < n; ++i) sum += (x[i] - mx.mean) * (y[i] - my.mean);
        return sum / (static_cast<double>(n) * mx.rms * my.rms);
      };
      const double r = correlation(x.size());
      if (std::abs(r) < same_signal) continue;
      out.push_back(
          {FindingKind::duplicate_channel, Weight::caution, capture.channels[alive[b]].name,
           fmt::format("carries the same signal as '{}' (correlation {:.5f}, factor {:.4g})",
                       capture.channels[alive[a]].name, r, std::copysign(my.rms / mx.rms, r)),
           "one of the two is named wrongly: they are not independent measurements",
           "check the wiring and the channel list"});
      break;
    }
  }
  return out;
}

}  // namespace bearingdsp
