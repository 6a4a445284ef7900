#include "bearingdsp/condition/separate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <stdexcept>

#include "bearingdsp/dsp/window.hpp"

namespace bearingdsp {
namespace {

using Complex = std::complex<double>;

double real(std::size_t n) { return static_cast<double>(n); }

std::size_t block_for(std::size_t n) {
  std::size_t block = 16;
  while (2 * block <= 8192 && 24 * block <= n) block *= 2;
  return block;
}

Error bad(const char* where, const char* what, const char* advice) {
  return Error{Errc::bad_argument, where, what, advice};
}

/// Gain of each line from the coherence of a recording with itself, delayed.
std::vector<double> coherent_gain(std::span<const double> x, std::size_t block, std::size_t delay,
                                  const std::vector<double>& w, const RealFft& fft) {
  const std::size_t bins = fft.bins();
  std::vector<double> segment(block);
  std::vector<Complex> now(bins);
  std::vector<Complex> then(bins);
  std::vector<Complex> cross(bins);
  std::vector<double> power_now(bins, 0.0);
  std::vector<double> power_then(bins, 0.0);
  const auto transform = [&](std::size_t start, std::vector<Complex>& out) {
    for (std::size_t i = 0; i < block; ++i) segment[i] = x[start + i] * w[i];
    fft.forward(segment, out);
  };
  std::size_t count = 0;
  for (std::size_t start = delay; start + block <= x.size(); start += block / 2) {
    transform(start, now);
    transform(start - delay, then);
    for (std::size_t k = 0; k < bins; ++k) {
      cross[k] += now[k] * std::conj(then[k]);
      power_now[k] += std::norm(now[k]);
      power_then[k] += std::norm(then[k]);
    }
    ++count;
  }
  // Half-overlapped Hann segments are worth about 0.95 of their count as independent averages.
  const double averages = std::max(2.0, 0.95 * real(count));
  // Squared coherence that noise exceeds with probability 1e-3 a line: 1 - p^(1/(M-1)).
  const double chance = 1 - std::pow(1e-3, 1 / (averages - 1));
  std::vector<double> gain(bins, 0.0);
  for (std::size_t k = 0; k < bins; ++k) {
    const double both = power_now[k] * power_then[k];
    if (!(both > 0)) continue;
    const double coherence = std::min(1.0, std::norm(cross[k]) / both);
    if (coherence <= chance) continue;
    // The magnitude alone serves: applied to the recording itself a line passes with its own phase.
    // The bias that chance leaves in the squared coherence, 1/M, is taken off.
    gain[k] = std::sqrt((coherence - 1 / averages) / (1 - 1 / averages));
  }
  return gain;
}

/// Overlap-add with a periodic Hann window at half overlap sums to one; the outermost half blocks
/// are covered by blocks that reach beyond the recording, where it is continued by mirroring.
std::vector<double> filtered(std::span<const double> x, const std::vector<double>& gain,
                             std::size_t block, const std::vector<double>& w, const RealFft& fft) {
  std::vector<double> out(x.size(), 0.0);
  const auto n = static_cast<std::ptrdiff_t>(x.size());
  const auto at = [&](std::ptrdiff_t i) {
    if (i < 0) i = -i;
    if (i >= n) i = 2 * (n - 1) - i;
    return std::clamp<std::ptrdiff_t>(i, 0, n - 1);
  };
  const auto step = static_cast<std::ptrdiff_t>(block / 2);
  std::vector<double> segment(block);
  std::vector<Complex> bins(fft.bins());
  for (std::ptrdiff_t start = -step; start < n; start += step) {
    for (std::size_t i = 0; i < block; ++i)
      segment[i] = w[i] * x[static_cast<std::size_t>(at(start + static_cast<std::ptrdiff_t>(i)))];
    fft.forward(segment, bins);
    for (std::size_t k = 0; k < bins.size(); ++k) bins[k] *= gain[k] / real(block);
    fft.inverse(bins, segment);
    for (std::size_t i = 0; i < block; ++i) {
      const std::ptrdiff_t j = start + static_cast<std::ptrdiff_t>(i);
      if (j >= 0 && j < n) out[static_cast<std::size_t>(j)] += segment[i];
    }
  }
  return out;
}

}  // namespace

Result<Separated> separate_deterministic(std::span<const double> x, Hz rate, FftPlans& plans,
                                         const SeparationOptions& options) {
  constexpr const char* where = "separation of lines and noise";
  if (!(rate.value() > 0)) return bad(where, "rate is not positive", "give the sampling rate");
  if (options.block != 0 && options.block < 16)
    return bad(where, "block is shorter than 16 samples", "use a few thousand samples");
  const std::size_t block = options.block != 0 ? options.block : block_for(x.size());
  const std::size_t delay = options.delay != 0 ? options.delay : block;
  if (x.size() < delay + 4 * block)
    return Error{Errc::too_short, where,
                 fmt::format("{} samples, 4 blocks of {} and a delay of {} are needed", x.size(),
                             block, delay),
                 "record longer or shorten the block"};
  const auto w = make_window(block, {.kind = WindowKind::hann});
  const auto fft = plans.real(block);
  Separated r;
  r.deterministic = filtered(x, coherent_gain(x, block, delay, w, *fft), block, w, *fft);
  r.random.resize(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) r.random[i] = x[i] - r.deterministic[i];
  return r;
}

Result<Separated> separate_adaptive(std::span<const double> x, const AdaptiveOptions& o) {
  constexpr const char* where = "adaptive separation";
  if (o.taps == 0 || o.delay == 0 || o.passes < 1 || !(o.step > 0 && o.step < 2))
    return bad(where, "taps, delay and passes must be positive, the step between 0 and 2",
               "use the defaults");
  if (x.size() < o.delay + 4 * o.taps)
    return Error{Errc::too_short, where,
                 fmt::format("{} samples, {} are needed", x.size(), o.delay + 4 * o.taps),
                 "record longer or use fewer taps"};
  Separated r;
  r.deterministic.assign(x.size(), 0.0);
  std::vector<double> w(o.taps, 0.0);
  double mean_square = 0;
  for (const double v : x) mean_square += v * v;
  const double least = 1e-6 * mean_square / real(x.size()) * real(o.taps) + 1e-300;
  for (int pass = 0; pass < o.passes; ++pass) {
    for (std::size_t i = o.delay + o.taps - 1; i < x.size(); ++i) {
      const double* u = x.data() + (i - o.delay - (o.taps - 1));
      double part[4] = {};
      double power[4] = {};
      const std::size_t whole = o.taps / 4 * 4;
      for (std::size_t j = 0; j < whole; j += 4)
        for (std::size_t l = 0; l < 4; ++l) {
          part[l] += w[j + l] * u[j + l];
          power[l] += u[j + l] * u[j + l];
        }
      for (std::size_t j = whole; j < o.taps; ++j) {
        part[0] += w[j] * u[j];
        power[0] += u[j] * u[j];
      }
      const double y = part[0] + part[1] + part[2] + part[3];
      const double total = power[0] + power[1] + power[2] + power[3];
      r.deterministic[i] = y;
      const double push = o.step * (x[i] - y) / (total + least);
      for (std::size_t j = 0; j < o.taps; ++j) w[j] += push * u[j];
    }
  }
  r.random.resize(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) r.random[i] = x[i] - r.deterministic[i];
  return r;
}

Result<std::vector<double>> remove_harmonics(std::span<const double> x, Hz rate, Hz fundamental,
                                             FftPlans& plans, const HarmonicOptions& o) {
  constexpr const char* where = "removal of harmonics";
  if (!(rate.value() > 0) || !(fundamental.value() > 0))
    return bad(where, "rate or fundamental is not positive", "give both in Hz");
  if (fundamental.value() >= rate.value() / 2)
    return bad(where, "fundamental is at or above half the sampling rate", "check the frequency");
  if (o.harmonics < 0 || !(o.half_lines >= 0) || !(o.relative_width >= 0))
    return bad(where, "an option is negative", "use the defaults");
  const double periods = real(x.size()) * (fundamental / rate);
  if (periods < 16)
    return Error{Errc::too_short, where,
                 fmt::format("the recording contains {:.1f} periods, 16 are needed", periods),
                 "record longer"};
  const auto fft = plans.real(x.size());
  std::vector<Complex> bins(fft->bins());
  fft->forward(x, bins);
  const auto power = [&] {
    std::vector<double> p(bins.size());
    for (std::size_t k = 0; k < p.size(); ++k) p[k] = std::norm(bins[k]);
    return p;
  }();
  const double top = real(bins.size() - 1);
  for (int h = 1; o.harmonics == 0 || h <= o.harmonics; ++h) {
    const double centre = h * periods;
    // Never reach more than a quarter of the way to the next harmonic: that is the neighbourhood.
    const double half = std::min(o.half_lines + o.relative_width * centre, periods / 4);
    if (centre - half > top) break;
    const auto first = static_cast<std::size_t>(std::max(1.0, std::ceil(centre - half)));
    const auto last = static_cast<std::size_t>(std::min(top, std::floor(centre + half)));
    if (last < first) continue;
    // As many lines again on each side, at least four, say what the surroundings are.
    const std::size_t side = std::max<std::size_t>(4, last - first + 1);
    std::vector<double> around;
    for (std::size_t i = 1; i <= side; ++i) {
      if (first > i) around.push_back(power[first - i]);
      if (last + i < power.size()) around.push_back(power[last + i]);
    }
    if (around.empty()) continue;
    // The median, corrected to the mean of exponentially distributed lines, ignores a neighbour.
    const auto middle = around.begin() + static_cast<std::ptrdiff_t>(around.size() / 2);
    std::nth_element(around.begin(), middle, around.end());
    const double level = std::sqrt(*middle / 0.6931471805599453);
    for (std::size_t k = first; k <= last; ++k) {
      const double m = std::sqrt(power[k]);
      if (m > level) bins[k] *= level / m;
    }
  }
  for (Complex& v : bins) v /= real(x.size());
  std::vector<double> y(x.size());
  fft->inverse(bins, y);
  return y;
}

std::vector<double> synchronous_average(std::span<const double> x, std::size_t period) {
  if (period == 0 || period > x.size())
    throw std::invalid_argument{"synchronous_average: period must be 1 .. n samples"};
  std::vector<double> average(period, 0.0);
  const std::size_t periods = x.size() / period;
  for (std::size_t p = 0; p < periods; ++p)
    for (std::size_t i = 0; i < period; ++i) average[i] += x[p * period + i];
  for (double& v : average) v /= real(periods);
  return average;
}

std::vector<double> remove_synchronous(std::span<const double> x, std::size_t period) {
  const auto average = synchronous_average(x, period);
  std::vector<double> y(x.begin(), x.end());
  for (std::size_t i = 0; i < y.size(); ++i) y[i] -= average[i % period];
  return y;
}

}  // namespace bearingdsp
