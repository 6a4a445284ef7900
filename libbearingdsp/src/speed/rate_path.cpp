#include "rate_path.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <numeric>
#include <utility>

#include "bearingdsp/dsp/resample.hpp"
#include "lines.hpp"

namespace bearingdsp::speed_detail {
namespace {

using Complex = std::complex<double>;

constexpr double grid_ratio = 1.0025;  // of neighbouring rates
constexpr double apart = 0.05;         // another path is nowhere within this share of a rate

// Whitened short-time power pooled over axes, as the log likelihood gain of a line.
std::vector<double> frame_gain(const std::vector<SlowCopy>& axes, std::size_t start,
                               std::size_t length, std::size_t padded, FftPlans& plans,
                               double spacing, const TrackModel& model) {
  std::vector<double> pooled(padded / 2 + 1, 0.0);
  std::vector<double> x(padded);
  std::vector<Complex> y(padded / 2 + 1);
  const auto fft = plans.real(padded);
  const auto block = static_cast<std::size_t>(std::max(60.0 / spacing, 64.0));
  for (const SlowCopy& axis : axes) {
    std::fill(x.begin(), x.end(), 0.0);
    for (std::size_t j = 0; j < length; ++j)
      x[j] = axis.x[start + j] * 0.5 *
             (1 - std::cos(2 * std::numbers::pi * static_cast<double>(j) /
                           static_cast<double>(length)));
    fft->forward(x, y);
    std::vector<double> p(y.size());
    for (std::size_t k = 0; k < y.size(); ++k) p[k] = std::norm(y[k]);
    const auto w = whiten(p, block);
    for (std::size_t k = 0; k < w.size(); ++k) pooled[k] = std::max(pooled[k], w[k]);
  }
  // Beyond the bend a line says little more of its being there, but still where its top is.
  const double bend = model.gain_bend;
  for (double& v : pooled) {
    const double gain = std::log1p(v / model.gain_scale);
    v = (gain < bend ? gain : bend + model.gain_slope * (gain - bend)) - model.gain_offset;
  }
  return pooled;
}

double comb(const std::vector<double>& gain, double rate, double spacing, const TrackModel& model) {
  double sum = 0;
  for (int h = 1; h <= model.harmonics; ++h) {
    const double u = h * rate / spacing;
    const auto k = static_cast<std::size_t>(u);
    if (k + 1 >= gain.size()) break;
    const double f = u - static_cast<double>(k);
    sum += ((1 - f) * gain[k] + f * gain[k + 1]) / (1 + model.harmonic_decay * (h - 1));
  }
  return sum;
}

// Best path through scores [frames][grid]: neighbouring frames at most `reach` cells apart, with a
// quadratic price on the step.
std::vector<std::size_t> best_path(const std::vector<std::vector<double>>& score, int reach) {
  const std::size_t frames = score.size();
  const auto cells = static_cast<int>(score.front().size());
  std::vector<std::vector<int>> from(frames, std::vector<int>(static_cast<std::size_t>(cells), 0));
  std::vector<double> best = score.front();
  const double price = 1.0 / std::max(1, reach * reach);
  for (std::size_t t = 1; t < frames; ++t) {
    std::vector<double> next(best.size());
    for (int c = 0; c < cells; ++c) {
      double top = -1e300;
      int arg = c;
      for (int d = -reach; d <= reach; ++d) {
        const int b = c + d;
        if (b < 0 || b >= cells) continue;
        const double v = best[static_cast<std::size_t>(b)] - price * d * d;
        if (v > top) {
          top = v;
          arg = b;
        }
      }
      next[static_cast<std::size_t>(c)] = top + score[t][static_cast<std::size_t>(c)];
      from[t][static_cast<std::size_t>(c)] = arg;
    }
    best = std::move(next);
  }
  std::vector<std::size_t> path(frames);
  auto c = static_cast<int>(std::max_element(best.begin(), best.end()) - best.begin());
  for (std::size_t t = frames; t-- > 0;) {
    path[t] = static_cast<std::size_t>(c);
    c = from[t][static_cast<std::size_t>(c)];
  }
  return path;
}

/// Scores [frames][grid] of the combs, and where the frames are.
struct Scores {
  std::vector<double> grid;  ///< Hz
  std::vector<double> time;  ///< s
  std::vector<std::vector<double>> score;
  double hop{0};  ///< s
};

Result<Scores> comb_scores(const std::vector<SlowCopy>& axes, const TrackOptions& options,
                           FftPlans& plans, const TrackModel& model) {
  const double low = options.search.low.value();
  const double high = options.search.high.value();
  const double rate = axes.front().rate;
  const std::size_t n = axes.front().x.size();
  const double seconds = static_cast<double>(n) / rate;
  const double wanted =
      options.window.value() > 0 ? options.window.value() : model.window / std::sqrt(low * high);
  const double window = std::clamp(wanted, 0.2, std::max(0.2, std::min(1.0, seconds / 4)));
  const auto length = static_cast<std::size_t>(window * rate);
  // Of a recording of a few hertz a window holds nothing.
  constexpr std::size_t min_length = 4;
  if (length < min_length)
    return Error{Errc::no_speed, "speed track",
                 fmt::format("a sample rate of {:.4g} Hz cannot show the shaft speed", rate),
                 "check that the sample rate is correct"};
  const std::size_t hop = std::max<std::size_t>(length / 4, 1);
  const std::size_t padded = good_fft_size(2 * length);
  const double spacing = rate / static_cast<double>(padded);
  Scores out;
  out.hop = static_cast<double>(hop) / rate;
  for (double f = low; f <= high; f *= grid_ratio) out.grid.push_back(f);
  for (std::size_t a = 0; a + length <= n; a += hop) {
    const auto gain = frame_gain(axes, a, length, padded, plans, spacing, model);
    std::vector<double> row;
    row.reserve(out.grid.size());
    for (const double f : out.grid) row.push_back(comb(gain, f, spacing, model));
    out.score.push_back(std::move(row));
    out.time.push_back((static_cast<double>(a) + 0.5 * static_cast<double>(length)) / rate);
  }
  constexpr std::size_t min_frames = 4;
  constexpr std::size_t min_cells = 3;
  if (out.score.size() < min_frames || out.grid.size() < min_cells)
    return Error{Errc::too_short, "speed track", "too few time windows to follow the speed",
                 "record longer"};
  return out;
}

double mean_along(const std::vector<std::vector<double>>& score,
                  const std::vector<std::size_t>& path) {
  double sum = 0;
  for (std::size_t t = 0; t < path.size(); ++t) sum += score[t][path[t]];
  return sum / static_cast<double>(path.size());
}

/// Gain of the best path that keeps away from this one.
double rival_of(std::vector<std::vector<double>> score, const std::vector<std::size_t>& path,
                int reach) {
  const auto near = static_cast<std::size_t>(std::log1p(apart) / std::log(grid_ratio));
  const std::size_t cells = score.front().size();
  constexpr double barred = -1e3;
  for (std::size_t t = 0; t < path.size(); ++t) {
    const std::size_t first = path[t] > near ? path[t] - near : 0;
    for (std::size_t c = first; c < std::min(cells, path[t] + near + 1); ++c) score[t][c] = barred;
  }
  return std::max(0.0, mean_along(score, best_path(score, reach)));
}

/// Rates along a path: between cells by a parabola through three scores.
std::vector<double> rates_along(const Scores& s, const std::vector<std::size_t>& path) {
  std::vector<double> rates(path.size());
  for (std::size_t t = 0; t < path.size(); ++t) {
    const std::size_t c = path[t];
    double shift = 0;
    if (c > 0 && c + 1 < s.grid.size()) {
      const double a = s.score[t][c - 1];
      const double d = s.score[t][c + 1];
      const double curve = a - 2 * s.score[t][c] + d;
      if (curve < 0) shift = std::clamp(0.5 * (a - d) / curve, -0.5, 0.5);
    }
    rates[t] = s.grid[c] * std::pow(grid_ratio, shift);
  }
  return rates;
}

/// The path hops between cells; three passes of a short mean smooth that out.
std::vector<double> smoothed(std::vector<double> rates) {
  for (int pass = 0; pass < 3; ++pass) {
    std::vector<double> s = rates;
    for (std::size_t t = 1; t + 1 < s.size(); ++t)
      s[t] = 0.25 * rates[t - 1] + 0.5 * rates[t] + 0.25 * rates[t + 1];
    rates = std::move(s);
  }
  return rates;
}

/// A path through the combs of one time axis.
struct FoundPath {
  Scores scores;
  int reach{1};
  std::vector<std::size_t> cells;
  double gain{0};
};

Result<FoundPath> path_of(const std::vector<SlowCopy>& axes, const TrackOptions& options,
                          FftPlans& plans, const TrackModel& model) {
  auto scores = comb_scores(axes, options, plans, model);
  if (!scores) return scores.error();
  FoundPath found;
  found.reach = std::max(
      1, static_cast<int>(std::ceil(std::log1p(options.max_change_per_second * scores->hop) /
                                    std::log(grid_ratio))));
  found.cells = best_path(scores->score, found.reach);
  found.gain = mean_along(scores->score, found.cells);
  found.scores = std::move(*scores);
  return found;
}

/// A time axis that runs faster or slower in step with a rate that changes evenly, by `change` of
/// its mean over the whole: as long as the recording.
struct EvenDrift {
  double change;
  double seconds;
  [[nodiscard]] double pace(double t) const { return 1 + change * (t / seconds - 0.5); }
  /// The time at which the axis shows `even`: the root of t + change (t^2 / (2 T) - t / 2) = even.
  [[nodiscard]] double time(double even) const {
    const double b = 1 - 0.5 * change;
    // The smaller root, in the form that holds at a change of zero.
    return 2 * even / (b + std::sqrt(b * b + 2 * change * even / seconds));
  }
};

/// In stretches, each with a low-pass of its own: where the axis runs slowly its samples lie
/// further apart than those of the recording.
SlowCopy evened_out(const SlowCopy& axis, const EvenDrift& drift) {
  constexpr std::size_t stretches = 16;
  const std::size_t n = axis.x.size();
  const auto last = static_cast<double>(n - 1);
  SlowCopy even{{}, axis.rate};
  even.x.reserve(n);
  std::vector<double> positions;
  for (std::size_t s = 0; s < stretches; ++s) {
    positions.clear();
    for (std::size_t j = n * s / stretches; j < n * (s + 1) / stretches; ++j)
      positions.push_back(
          std::clamp(drift.time(static_cast<double>(j) / axis.rate) * axis.rate, 0.0, last));
    if (positions.empty()) continue;
    const double pace = std::min(drift.pace(positions.front() / axis.rate),
                                 drift.pace(positions.back() / axis.rate));
    const auto x = interpolate_at(
        axis.x, positions, {.half_width = 8, .attenuation_db = 60, .cutoff = std::min(1.0, pace)});
    even.x.insert(even.x.end(), x.begin(), x.end());
  }
  return even;
}

}  // namespace

double RatePath::mean_rate() const {
  return std::accumulate(rate.begin(), rate.end(), 0.0) / static_cast<double>(rate.size());
}

Result<RatePath> best_rate_path(const std::vector<SlowCopy>& axes, const TrackOptions& options,
                                FftPlans& plans, const TrackModel& model) {
  auto best = path_of(axes, options, plans, model);
  if (!best) return best.error();
  const double seconds = static_cast<double>(axes.front().x.size()) / axes.front().rate;
  EvenDrift of_best{0, seconds};
  constexpr int steps = 4;  // to each side: of a quarter for a run-up of 1:3
  for (int step = -steps; step <= steps && options.max_drift > 0; ++step) {
    if (step == 0) continue;
    const EvenDrift drift{options.max_drift * step / steps, seconds};
    std::vector<SlowCopy> even;
    for (const SlowCopy& axis : axes) even.push_back(evened_out(axis, drift));
    auto path = path_of(even, options, plans, model);
    if (!path || path->gain <= best->gain) continue;
    best = std::move(path);
    of_best = drift;
  }
  RatePath out;
  out.gain = best->gain;
  out.time = best->scores.time;
  out.rate = smoothed(rates_along(best->scores, best->cells));
  for (std::size_t i = 0; i < out.time.size(); ++i) {
    out.time[i] = of_best.time(out.time[i]);
    out.rate[i] *= of_best.pace(out.time[i]);
  }
  out.rival = rival_of(std::move(best->scores.score), best->cells, best->reach);
  return out;
}

}  // namespace bearingdsp::speed_detail
