#include "simulate/path.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace bearingdsp::simulation {
namespace {

/// Real arithmetic on purpose: std::complex multiplication checks for NaN and is slower.
struct Phasor {
  double re{0};
  double im{0};
  void advance(std::complex<double> p) noexcept {
    const double r = re * p.real() - im * p.imag();
    im = re * p.imag() + im * p.real();
    re = r;
  }
};

}  // namespace

Path::Path(std::span<const Resonance> resonances, double rate) {
  double lowest = HUGE_VAL;
  double highest = 0;
  for (const auto& r : resonances) {
    const double f = r.frequency.value();
    if (f >= 0.5 * rate) continue;
    const double w = 2 * std::numbers::pi * f / rate;
    const std::complex<double> exponent{-r.damping * w, w * std::sqrt(1 - r.damping * r.damping)};
    modes_.push_back({exponent, std::exp(exponent), r.gain});
    lowest = std::min(lowest, f);
    highest = std::max(highest, f);
  }
  if (modes_.empty()) return;

  // Largest magnitude of the impulse response, on a grid fine against the highest resonance over
  // the first two periods of the lowest.
  const double step = rate / (64 * highest);
  const auto count = static_cast<std::size_t>(std::min(128 * highest / lowest, 2e6)) + 1;
  std::vector<Phasor> z(modes_.size(), Phasor{1, 0});
  std::vector<std::complex<double>> p;
  for (const auto& m : modes_) p.push_back(std::exp(m.exponent * step));
  double peak = 0;
  for (std::size_t i = 0; i < count; ++i) {
    double h = 0;
    for (std::size_t k = 0; k < modes_.size(); ++k) {
      z[k].advance(p[k]);
      h += modes_[k].gain * z[k].im;
    }
    peak = std::max(peak, std::abs(h));
  }
  per_peak_ = 1 / peak;

  // Sum of h^2 over the samples, in closed form: Im a Im b = Re(a b* - a b) / 2, geometric series.
  double energy = 0;
  for (const auto& a : modes_)
    for (const auto& b : modes_)
      energy += 0.5 * a.gain * b.gain *
                (1.0 / (1.0 - a.step * std::conj(b.step)) - 1.0 / (1.0 - a.step * b.step)).real();
  per_rms_ = 1 / std::sqrt(energy);
}

void Path::ring(std::span<const Blow> blows, std::span<double> out) const {
  for (const auto& m : modes_) {
    Phasor z;
    std::size_t next = 0;
    for (std::size_t i = 0; i < out.size(); ++i) {
      z.advance(m.step);
      while (next < blows.size() && blows[next].index <= static_cast<double>(i)) {
        const double late = static_cast<double>(i) - blows[next].index;
        const auto begun = blows[next].strength * per_peak_ * m.gain * std::exp(m.exponent * late);
        z.re += begun.real();
        z.im += begun.imag();
        ++next;
      }
      out[i] += z.im;
    }
  }
}

void Path::excite(std::span<const double> excitation, std::span<double> out) const {
  for (const auto& m : modes_) {
    Phasor z;
    const double gain = per_rms_ * m.gain;
    for (std::size_t i = 0; i < out.size(); ++i) {
      z.advance(m.step);
      z.re += gain * excitation[i];
      out[i] += z.im;
    }
  }
}

}  // namespace bearingdsp::simulation
