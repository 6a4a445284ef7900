#include "verdict/steadiness.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstddef>
#include <functional>
#include <numbers>
#include <numeric>

#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {
namespace {

using Complex = std::complex<double>;

/// The strongest line near a place of a spectrum.
struct NearLine {
  std::size_t bin{0};
  double share{0};  ///< of the power round it
};

NearLine strongest_near(const RecordSpectrum& spectrum, double at, const Basis& basis) {
  const MotionModel& m = basis.model.motion;
  const double spacing = spectrum.line_spacing().value();
  const double reach = std::max(static_cast<double>(m.sharp_reach), m.sharp_tolerance * at);
  const auto first = static_cast<std::size_t>(std::max(2.0, at - reach));
  const auto last = std::min(static_cast<std::size_t>(at + reach), spectrum.bins.size() - 3);
  const auto power = [&](std::size_t k) {
    const double f = static_cast<double>(k) * spacing;
    for (const Hz supply : basis.mains) {
      const double n = std::round(f / supply.value());
      if (n >= 1 &&
          std::abs(f - n * supply.value()) < 2 * spacing + basis.model.family.mains_spread * f)
        return 0.0;
    }
    // Hann's window, so that a strong line elsewhere does not leak in.
    return std::norm(0.5 * spectrum.bins[k] - 0.25 * (spectrum.bins[k - 1] + spectrum.bins[k + 1]));
  };
  NearLine out;
  double all = 0;
  double line = 0;
  for (std::size_t k = first; k <= last; ++k) {
    all += power(k);
    const double here = power(k - 1) + power(k) + power(k + 1);
    if (here <= line) continue;
    line = here;
    out.bin = k;
  }
  if (all > 0) out.share = line / all;
  return out;
}

constexpr std::size_t around = 8;  // lines to each side of one whose phase is read

/// Change of a line's frequency over the recording, in lines of the spectrum: its phase in halves
/// of the recording that begin an eighth apart, from the bins round it.
double change_of(const RecordSpectrum& spectrum, std::size_t bin) {
  constexpr int samples = 32;
  constexpr int step = samples / 8;
  std::array<Complex, samples> line;
  for (int j = 0; j < samples; ++j)
    for (int k = -static_cast<int>(around); k <= static_cast<int>(around); ++k)
      line[static_cast<std::size_t>(j)] +=
          spectrum.bins[static_cast<std::size_t>(static_cast<int>(bin) + k)] *
          std::polar(1.0, 2 * std::numbers::pi * k * j / samples);
  Complex before;
  double lowest = 0;
  double highest = 0;
  for (int half = 0; half <= 4; ++half) {
    Complex sum;
    for (int j = 0; j < samples / 2; ++j)
      sum += line[static_cast<std::size_t>(half * step + j)] *
             (1 - std::cos(2 * std::numbers::pi * (j + 0.5) / (samples / 2)));
    if (half > 0) {
      // A line of spacing turns the phase by an eighth from one half to the next.
      const double f = 8 * std::arg(sum * std::conj(before)) / (2 * std::numbers::pi);
      lowest = half == 1 ? f : std::min(lowest, f);
      highest = half == 1 ? f : std::max(highest, f);
    }
    before = sum;
  }
  // The middles of the first and the last difference lie three eighths of the recording apart.
  return (highest - lowest) * 8 / 3;
}

/// An axis with an even spectrum, so that the response to an impact is short, and without the low
/// part, in which the lines of the shaft and of the supply are.
std::vector<double> flat_axis(const RecordSpectrum& axis, const ModelParameters& model,
                              FftPlans& plans) {
  RecordSpectrum flat = flattened(axis, Hz{model.record.flatten_hz});
  const double low = std::min(model.lines.lowest_hz, 0.1 * axis.rate.value());
  const auto bins = static_cast<std::size_t>(low / flat.line_spacing().value());
  std::fill_n(flat.bins.begin(), std::min(bins + 1, flat.bins.size()), Complex{});
  std::vector<double> x(flat.n);
  plans.real(flat.n)->inverse(flat.bins, x);
  return x;
}

/// Second and fourth moments, block by block.
struct Blocks {
  double seconds{0};  ///< length of a block
  double samples{0};  ///< in a block
  std::vector<double> square;
  std::vector<double> fourth;
  std::vector<bool> kept;
};

Blocks blocks_of(std::span<const double> x, Hz rate, double seconds) {
  Blocks b;
  const auto size =
      std::max<std::size_t>(static_cast<std::size_t>(std::round(seconds * rate.value())), 1);
  const std::size_t n = x.size() / size;
  b.seconds = static_cast<double>(size) / rate.value();
  b.samples = static_cast<double>(size);
  b.square.resize(n);
  b.fourth.resize(n);
  b.kept.assign(n, true);
  for (std::size_t k = 0; k < n; ++k) {
    double square = 0;
    double fourth = 0;
    for (const double v : x.subspan(k * size, size)) {
      square += v * v;
      fourth += v * v * v * v;
    }
    b.square[k] = square;
    b.fourth[k] = fourth;
  }
  return b;
}

double kurtosis_of(const Blocks& b) {
  double two = 0;
  double four = 0;
  double n = 0;
  for (std::size_t k = 0; k < b.square.size(); ++k) {
    if (!b.kept[k]) continue;
    two += b.square[k];
    four += b.fourth[k];
    n += b.samples;
  }
  return two > 0 ? four * n / (two * two) : 0;
}

constexpr std::size_t phases = 20;  // of half a period of the supply

/// The fast part by phase of a rate, of the first blocks; the root of the fourth moment, so that no
/// single event outweighs all others.
std::array<double, phases> by_phase(const Blocks& b, double rate, std::size_t blocks) {
  std::array<double, phases> sum{};
  for (std::size_t k = 0; k < blocks; ++k) {
    const double turn = static_cast<double>(k) * b.seconds * rate;
    const auto phase = static_cast<std::size_t>((turn - std::floor(turn)) * phases);
    sum[std::min(phase, phases - 1)] += std::sqrt(b.fourth[k]);
  }
  return sum;
}

/// Twice the supply's frequency, and what happens by its phase.
struct SupplyPhases {
  double rate{0};
  double most{0};  ///< in the three strongest phases
  std::array<double, phases> sum{};

  void consider(const Blocks& b, double other, std::size_t blocks) {
    const auto here = by_phase(b, other, blocks);
    auto sorted = here;
    std::sort(sorted.begin(), sorted.end(), std::greater<>());
    const double there = sorted[0] + sorted[1] + sorted[2];
    if (there <= most) return;
    most = there;
    rate = other;
    sum = here;
  }
};

/// The rate is found in the first seconds and followed through twice as many at a time, so that a
/// long recording costs no more than a few passes.
SupplyPhases supply_phases(const Blocks& b, const Basis& basis) {
  constexpr double first_seconds = 4;
  auto blocks = std::min(b.fourth.size(), static_cast<std::size_t>(first_seconds / b.seconds));
  double step = 1 / (4 * b.seconds * static_cast<double>(std::max<std::size_t>(blocks, 1)));
  SupplyPhases best;
  for (const Hz supply : basis.mains) {
    const double twice = 2 * supply.value();
    const double play = basis.model.motion.supply_play * twice;
    const int steps = static_cast<int>(play / step);
    for (int i = -steps; i <= steps; ++i) best.consider(b, twice + i * step, blocks);
  }
  while (best.most > 0 && blocks < b.fourth.size()) {
    blocks = std::min(2 * blocks, b.fourth.size());
    step /= 2;
    const double middle = best.rate;
    best.most = 0;
    for (int i = -2; i <= 2; ++i) best.consider(b, middle + i * step, blocks);
  }
  return best;
}

/// Takes out the quarter of each half period of the supply in which most happens.
void leave_out_supply(Blocks& b, const Basis& basis) {
  constexpr std::size_t left_out = phases / 4;
  const SupplyPhases best = supply_phases(b, basis);
  if (!(best.most > 0)) return;
  auto sorted = best.sum;
  std::sort(sorted.begin(), sorted.end(), std::greater<>());
  for (std::size_t k = 0; k < b.kept.size(); ++k) {
    const double turn = static_cast<double>(k) * b.seconds * best.rate;
    const auto phase =
        std::min(static_cast<std::size_t>((turn - std::floor(turn)) * phases), phases - 1);
    if (best.sum[phase] >= sorted[left_out - 1]) b.kept[k] = false;
  }
}

/// Takes out the strongest single events, as many as come more rarely than a cage turns.
void leave_out_rare(Blocks& b, Hz rate, const ModelParameters& model) {
  constexpr double before = 0.001;  // s: the response of the structure begins with its impact
  const std::size_t n = b.fourth.size();
  const double seconds = b.seconds * static_cast<double>(n);
  const auto events =
      static_cast<int>(std::ceil(model.motion.rare_events * rate.value() * seconds));
  const auto back = static_cast<std::size_t>(before / b.seconds);
  const auto on = static_cast<std::size_t>(model.motion.event_seconds / b.seconds);
  std::vector<std::size_t> strongest(n);
  std::iota(strongest.begin(), strongest.end(), std::size_t{0});
  std::sort(strongest.begin(), strongest.end(),
            [&](std::size_t i, std::size_t j) { return b.fourth[i] > b.fourth[j]; });
  int taken = 0;
  for (const std::size_t top : strongest) {
    if (taken == events) return;
    if (!b.kept[top]) continue;
    ++taken;
    for (std::size_t k = top > back ? top - back : 0; k < std::min(n, top + on); ++k)
      b.kept[k] = false;
  }
}

/// Sums of the power of a spectrum, Hann's window, from its beginning.
std::vector<double> hann_power(const RecordSpectrum& spectrum) {
  std::vector<double> power(spectrum.bins.size());
  for (std::size_t k = 1; k + 1 < power.size(); ++k)
    power[k] =
        std::norm(0.5 * spectrum.bins[k] - 0.25 * (spectrum.bins[k - 1] + spectrum.bins[k + 1]));
  return power;
}

/// By how many deviations of noise the mean of a third exceeds those of both others. Single lines
/// count for no more than noise makes of them.
double above_both_sides(std::span<const double> power, double highest,
                        std::vector<double>& limited) {
  limited.assign(power.begin(), power.end());
  const std::size_t third = power.size() / 3;
  auto middle = limited.begin() + static_cast<std::ptrdiff_t>(power.size() / 2);
  std::nth_element(limited.begin(), middle, limited.end());
  const double limit = highest * *middle;
  const auto mean = [&](std::size_t first) {
    double sum = 0;
    for (const double v : power.subspan(first, third)) sum += std::min(v, limit);
    return sum / static_cast<double>(third);
  };
  const double sides = std::max(mean(0), mean(2 * third));
  // Neighbours under Hann's window: squared correlations 4/9 and 1/36 on either side.
  constexpr double lines_in_one = 1 + 2 * (4.0 / 9 + 1.0 / 36);
  const double deviation = std::sqrt(2 * lines_in_one / static_cast<double>(third));
  return sides > 0 ? (mean(third) / sides - 1) / deviation : 0;
}

}  // namespace

std::vector<RecordSpectrum> record_spectra(std::span<const SignalView> axes, FftPlans& plans) {
  std::vector<RecordSpectrum> out;
  for (const SignalView& axis : axes) out.push_back(record_spectrum(axis, plans));
  return out;
}

bool steady_harmonic(std::span<const SignalView> axes, Hz rate, const Basis& basis,
                     FftPlans& plans) {
  return steady_harmonic(record_spectra(axes, plans), rate, basis);
}

bool steady_harmonic(std::span<const RecordSpectrum> axes, Hz rate, const Basis& basis) {
  constexpr int harmonics = 5;
  const MotionModel& m = basis.model.motion;
  for (const RecordSpectrum& spectrum : axes) {
    for (int harmonic = 1; harmonic <= harmonics; ++harmonic) {
      const double at = harmonic * (rate / spectrum.line_spacing());
      if (at < m.sharp_reach || at + 2 * m.sharp_reach > static_cast<double>(spectrum.bins.size()))
        continue;
      const NearLine line = strongest_near(spectrum, at, basis);
      if (!(line.share > m.sharp_share) || line.bin <= around) continue;
      const double max_change =
          std::min(m.unsteady * static_cast<double>(line.bin), 1.0 * m.sharp_change * harmonic);
      if (change_of(spectrum, line.bin) < max_change) return true;
    }
  }
  return false;
}

double impulsiveness_left(const RecordSpectrum& axis, Hz rate, const Basis& basis,
                          FftPlans& plans) {
  const double twice = basis.mains.empty() ? 100.0 : 2 * basis.mains.front().value();
  Blocks b = blocks_of(flat_axis(axis, basis.model, plans), axis.rate,
                       1 / (static_cast<double>(phases) * twice));
  leave_out_supply(b, basis);
  leave_out_rare(b, rate, basis.model);
  return kurtosis_of(b);
}

double smeared_impacts(std::span<const SignalView> envelopes, Hz rate, const ModelParameters& model,
                       FftPlans& plans) {
  const MotionModel& m = model.motion;
  double most = 0;
  std::vector<double> limited;
  for (const SignalView& envelope : envelopes) {
    const RecordSpectrum spectrum = record_spectrum(envelope, plans);
    const std::vector<double> power = hann_power(spectrum);
    const double lines_per_order = rate / spectrum.line_spacing();
    for (double width = m.hump_narrowest; width < 1.01 * m.hump_widest; width *= 2)
      for (double order = m.min_impacts; order < m.max_impacts; order *= 1 + width / 4) {
        const auto third = static_cast<std::size_t>(width * order * lines_per_order);
        const auto first = static_cast<std::size_t>((1 - 1.5 * width) * order * lines_per_order);
        if (third < static_cast<std::size_t>(m.hump_lines) || first < 2 ||
            first + 3 * third + 2 > power.size())
          continue;
        most = std::max(most, above_both_sides(std::span{power}.subspan(first, 3 * third),
                                               m.hump_line, limited));
      }
  }
  return most;
}

}  // namespace bearingdsp
