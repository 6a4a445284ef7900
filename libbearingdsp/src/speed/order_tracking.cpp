#include "bearingdsp/speed/order_tracking.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <stdexcept>

#include "lines.hpp"

namespace bearingdsp {
namespace {

using Complex = std::complex<double>;

constexpr double grid_ratio = 1.0025;  // of neighbouring rates

// Real signal of one axis below `top` Hz, at about 2.6 times that rate: cut out of the spectrum.
struct Slow {
  std::vector<double> x;
  double rate{0};
};

Slow slow_copy(SignalView axis, double top, FftPlans& plans) {
  const double rate = axis.rate.value();
  const std::size_t n = good_fft_size_below(axis.x.size());
  const double seconds = static_cast<double>(n) / rate;
  const std::size_t m =
      std::min(n, good_fft_size(static_cast<std::size_t>(2.6 * top * seconds) + 64));
  std::vector<Complex> spectrum(n / 2 + 1);
  plans.real(n)->forward(axis.x.first(n), spectrum);
  std::vector<Complex> kept(m / 2 + 1);
  const auto last = std::min(static_cast<std::size_t>(1.15 * top * seconds), m / 2);
  // From the first line on: without the mean.
  for (std::size_t k = 1; k < kept.size() && k < spectrum.size() && k <= last; ++k) {
    // Raised-cosine edge, so that the cut does not ring.
    const double f = static_cast<double>(k) / seconds / top;
    const double w = f < 1 ? 1 : 0.5 * (1 + std::cos(std::numbers::pi * (f - 1) / 0.15));
    kept[k] = spectrum[k] * (w / static_cast<double>(n));
  }
  Slow out;
  out.x.resize(m);
  out.rate = static_cast<double>(m) / seconds;
  plans.real(m)->inverse(kept, out.x);
  return out;
}

// Whitened short-time power pooled over axes, as the log likelihood gain of a line.
std::vector<double> frame_gain(const std::vector<Slow>& axes, std::size_t start, std::size_t length,
                               std::size_t padded, FftPlans& plans, double spacing,
                               const TrackModel& model) {
  std::vector<double> pooled(padded / 2 + 1, 0.0);
  std::vector<double> x(padded);
  std::vector<Complex> y(padded / 2 + 1);
  const auto fft = plans.real(padded);
  const auto block = static_cast<std::size_t>(std::max(60.0 / spacing, 64.0));
  for (const Slow& axis : axes) {
    std::fill(x.begin(), x.end(), 0.0);
    for (std::size_t j = 0; j < length; ++j)
      x[j] = axis.x[start + j] * 0.5 *
             (1 - std::cos(2 * std::numbers::pi * static_cast<double>(j) /
                           static_cast<double>(length)));
    fft->forward(x, y);
    std::vector<double> p(y.size());
    for (std::size_t k = 0; k < y.size(); ++k) p[k] = std::norm(y[k]);
    const auto w = speed_detail::whiten(p, block);
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

// Phase of harmonic h against a track, block by block: complex amplitudes and the ratio of the
// power that turns along to the power that does not.
struct Demodulated {
  std::vector<double> time;
  std::vector<Complex> amplitude;
  double signal_to_noise{0};
};

Demodulated demodulate(const Slow& axis, const std::vector<double>& angle, int h, double block,
                       double hop) {
  Demodulated out;
  const auto length = static_cast<std::size_t>(block * axis.rate);
  const auto step = std::max<std::size_t>(static_cast<std::size_t>(hop * axis.rate), 1);
  std::vector<Complex> mixed(axis.x.size());
  for (std::size_t j = 0; j < axis.x.size(); ++j)
    mixed[j] = axis.x[j] * std::polar(1.0, -2 * std::numbers::pi * h * angle[j]);
  std::vector<double> window(length);
  for (std::size_t j = 0; j < length; ++j)
    window[j] = 1 - std::cos(2 * std::numbers::pi * (static_cast<double>(j) + 0.5) /
                             static_cast<double>(length));
  for (std::size_t a = 0; a + length <= mixed.size(); a += step) {
    Complex sum;
    for (std::size_t j = 0; j < length; ++j) sum += window[j] * mixed[a + j];
    out.time.push_back((static_cast<double>(a) + 0.5 * static_cast<double>(length)) / axis.rate);
    out.amplitude.push_back(sum / static_cast<double>(length));
  }
  // Smoothness of the complex amplitude tells a line from noise: predict each from its neighbours.
  const std::size_t lag = std::max<std::size_t>(static_cast<std::size_t>(block / hop), 1);
  double power = 0;
  double wrong = 0;
  for (std::size_t i = lag; i + lag < out.amplitude.size(); ++i) {
    power += std::norm(out.amplitude[i]);
    wrong +=
        std::norm(out.amplitude[i] - 0.5 * (out.amplitude[i - lag] + out.amplitude[i + lag])) / 1.5;
  }
  if (wrong > 0) out.signal_to_noise = std::max(power / wrong - 1, 0.0);
  return out;
}

// Angle (revolutions) at each sample from a rate known at a few times: trapezoids between, level
// outside.
std::vector<double> integrate(const std::vector<double>& time, const std::vector<double>& rate,
                              std::size_t n, double sampling) {
  std::vector<double> angle(n);
  double sum = 0;
  std::size_t i = 0;
  for (std::size_t j = 0; j < n; ++j) {
    angle[j] = sum;
    const double t = (static_cast<double>(j) + 0.5) / sampling;
    while (i + 2 < time.size() && time[i + 1] < t) ++i;
    double r = rate.front();
    if (time.size() > 1) {
      const double u = std::clamp((t - time[i]) / (time[i + 1] - time[i]), 0.0, 1.0);
      r = rate[i] + u * (rate[i + 1] - rate[i]);
    }
    sum += r / sampling;
  }
  return angle;
}

}  // namespace

Result<PhaseTrack> track_from_vibration(std::span<const SignalView> axes, FftPlans& plans,
                                        const TrackOptions& options, const ModelParameters& model) {
  const TrackModel& m = model.track;
  const double low = options.search.low.value();
  const double high = options.search.high.value();
  if (axes.empty() || !(low > 0) || !(high > low) || !(options.max_change_per_second > 0))
    throw std::invalid_argument{
        "track_from_vibration: needs an axis, 0 < low < high and a change above 0"};
  for (const SignalView& a : axes)
    if (a.x.size() != axes.front().x.size() || a.rate != axes.front().rate || !(a.rate.value() > 0))
      throw std::invalid_argument{"track_from_vibration: axes must have one length and one rate"};
  const double seconds = static_cast<double>(axes.front().x.size()) / axes.front().rate.value();
  const double fewest_revolutions = m.min_revolutions;
  if (seconds * low < fewest_revolutions)
    return Error{Errc::too_short, "speed track",
                 fmt::format("{:.2f} s contain {:.0f} revolutions at {:.1f} Hz, {:.0f} are needed",
                             seconds, seconds * low, low, fewest_revolutions),
                 "record longer or narrow the speed range"};

  const double top = std::min((m.harmonics + 0.7) * high, 0.38 * axes.front().rate.value());
  std::vector<Slow> slow;
  for (const SignalView& a : axes) slow.push_back(slow_copy(a, top, plans));
  const double rate = slow.front().rate;
  const std::size_t n = slow.front().x.size();

  // Coarse track: best path over rates.
  const double window =
      std::clamp(m.window / std::sqrt(low * high), 0.2, std::min(1.0, seconds / 4));
  const auto length = static_cast<std::size_t>(window * rate);
  // Of a recording of a few hertz a window holds nothing.
  constexpr std::size_t min_length = 4;
  if (length < min_length)
    return Error{Errc::no_speed, "speed track",
                 fmt::format("a sample rate of {:.4g} Hz cannot show the shaft speed",
                             axes.front().rate.value()),
                 "check that the sample rate is correct"};
  const std::size_t hop = std::max<std::size_t>(length / 4, 1);
  const std::size_t padded = good_fft_size(2 * length);
  const double spacing = rate / static_cast<double>(padded);
  std::vector<double> grid;
  for (double f = low; f <= high; f *= grid_ratio) grid.push_back(f);
  std::vector<std::vector<double>> score;
  std::vector<double> centre;
  for (std::size_t a = 0; a + length <= n; a += hop) {
    const auto gain = frame_gain(slow, a, length, padded, plans, spacing, m);
    std::vector<double> row;
    row.reserve(grid.size());
    for (const double f : grid) row.push_back(comb(gain, f, spacing, m));
    score.push_back(std::move(row));
    centre.push_back((static_cast<double>(a) + 0.5 * static_cast<double>(length)) / rate);
  }
  if (score.size() < 4 || grid.size() < 3)
    return Error{Errc::too_short, "speed track", "too few time windows to follow the speed",
                 "record longer"};
  const double hop_seconds = static_cast<double>(hop) / rate;
  const int reach = std::max(
      1, static_cast<int>(std::ceil(std::log1p(options.max_change_per_second * hop_seconds) /
                                    std::log(grid_ratio))));
  const auto path = best_path(score, reach);
  double along = 0;
  for (std::size_t t = 0; t < path.size(); ++t) along += score[t][path[t]];
  along /= static_cast<double>(path.size());
  // On noise the best path averages below one; see the test on noise.
  const double min_gain = m.min_gain;
  if (along < min_gain)
    return Error{
        Errc::no_speed, "speed track",
        fmt::format(
            "no harmonics of 1x can be followed through the recording (gain {:.1f}, {:.1f} needed)",
            along, min_gain),
        "use a tacho"};
  std::vector<double> coarse(path.size());
  for (std::size_t t = 0; t < path.size(); ++t) {
    const std::size_t c = path[t];
    double shift = 0;
    if (c > 0 && c + 1 < grid.size()) {
      const double a = score[t][c - 1];
      const double b = score[t][c];
      const double d = score[t][c + 1];
      const double curve = a - 2 * b + d;
      if (curve < 0) shift = std::clamp(0.5 * (a - d) / curve, -0.5, 0.5);
    }
    coarse[t] = grid[c] * std::pow(grid_ratio, shift);
  }
  // The path hops between cells; three passes of a short mean smooth that out.
  for (int pass = 0; pass < 3; ++pass) {
    std::vector<double> s = coarse;
    for (std::size_t t = 1; t + 1 < s.size(); ++t)
      s[t] = 0.25 * coarse[t - 1] + 0.5 * coarse[t] + 0.25 * coarse[t + 1];
    coarse = std::move(s);
  }
  double mean_rate = 0;
  for (const double f : coarse) mean_rate += f;
  mean_rate /= static_cast<double>(coarse.size());

  // Fine track: phase of the harmonic that fixes the angle best, from low to high so that the phase
  // never turns by half a cycle between blocks.
  std::vector<double> angle = integrate(centre, coarse, n, rate);
  const double block = 4 / mean_rate;
  const double phase_hop = 1 / mean_rate;
  PhaseTrack track;
  int used = 0;
  double best_error = m.phase_error;  // revolutions; the coarse path is not better than this
  for (int pass = 0; pass < 3; ++pass) {
    const int most = pass == 0 ? 2 : pass == 1 ? 4 : m.harmonics;
    Demodulated best;
    int best_h = 0;
    double error = best_error;
    for (const Slow& axis : slow) {
      for (int h = 1; h <= most; ++h) {
        if (h * mean_rate > 0.4 * rate) break;
        Demodulated d = demodulate(axis, angle, h, block, phase_hop);
        if (d.signal_to_noise < m.phase_snr) continue;
        const double e = 1 / (2 * std::numbers::pi * h * std::sqrt(2 * d.signal_to_noise));
        if (e < error) {
          error = e;
          best = std::move(d);
          best_h = h;
        }
      }
    }
    if (best_h == 0) break;
    best_error = error;
    used = best_h;
    // Correction of the angle by the unwrapped phase.
    std::vector<double> turn(best.amplitude.size());
    double previous = std::arg(best.amplitude.front());
    turn[0] = previous;
    for (std::size_t i = 1; i < turn.size(); ++i) {
      const double step = std::arg(best.amplitude[i] * std::conj(best.amplitude[i - 1]));
      turn[i] = turn[i - 1] + step;
    }
    for (double& v : turn) v /= 2 * std::numbers::pi * best_h;
    std::size_t i = 0;
    for (std::size_t j = 0; j < n; ++j) {
      const double t = static_cast<double>(j) / rate;
      while (i + 2 < best.time.size() && best.time[i + 1] < t) ++i;
      const double u = (t - best.time[i]) / (best.time[i + 1] - best.time[i]);
      // Beyond the outermost blocks the slope of the correction continues.
      angle[j] += turn[i] + std::clamp(u, -2.5, 3.5) * (turn[i + 1] - turn[i]);
    }
  }

  // Nodes one revolution apart; the angle must rise.
  const auto stride = std::max<std::size_t>(static_cast<std::size_t>(rate / mean_rate), 1);
  for (std::size_t j = 0; j < n; j += stride) {
    if (!track.revolutions.empty() && angle[j] <= track.revolutions.back() + 1e-6) continue;
    track.time.push_back(static_cast<double>(j) / rate);
    track.revolutions.push_back(angle[j]);
  }
  if (track.time.size() < 4)
    return Error{Errc::no_speed, "speed track", "the measured phase does not increase steadily",
                 "use a tacho"};
  double slowest = 0;
  double fastest = 0;
  const std::size_t lag = std::max<std::size_t>(4, track.time.size() / 10);
  for (std::size_t k = lag; k < track.time.size(); ++k) {
    const double f =
        (track.revolutions[k] - track.revolutions[k - lag]) / (track.time[k] - track.time[k - lag]);
    if (k == lag || f < slowest) slowest = f;
    if (k == lag || f > fastest) fastest = f;
  }
  const double mean = track.mean_rate().value();
  track.tracked_variation = (fastest - slowest) / mean;
  track.angle_error = best_error;
  track.source = used > 0 ? fmt::format("phase of harmonic {} of 1x", used)
                          : std::string{"best path through short-time spectra"};
  const double departure = track.departure();
  // A path that no phase bears out may wander by itself.
  track.worthwhile = used > 0 && departure * options.max_order > model.motion.smeared_cycles &&
                     best_error < m.worthwhile * departure;
  return track;
}

}  // namespace bearingdsp
