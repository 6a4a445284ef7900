#include "bearingdsp/dsp/filter.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

#include "dsp/detail.hpp"
#include "dsp/extend.hpp"

namespace bearingdsp {
namespace {

using detail::pi;
using detail::real;
using Complex = std::complex<double>;

/// 0 below -1/2, 1 above 1/2, half a cosine between.
double ramp(double u) noexcept {
  if (u <= -0.5) return 0;
  if (u >= 0.5) return 1;
  return 0.5 + 0.5 * std::sin(pi * u);
}

double step_at(Hz f, Hz corner, Hz slope) noexcept {
  if (slope.value() > 0) return ramp((f - corner) / slope);
  if (f == corner) return 0.5;
  return f > corner ? 1 : 0;
}

Error refuse(const char* where, const char* what, const char* advice) {
  return Error{Errc::bad_argument, where, what, advice};
}

Complex section_at(const Biquad& s, Complex z) {
  const Complex u = 1.0 / z;
  return (s.b[0] + u * (s.b[1] + u * s.b[2])) / (1.0 + u * (s.a[0] + u * s.a[1]));
}

/// State of the transposed direct form II that a constant input of 1 settles in.
std::array<double, 2> settled(const Biquad& s) {
  const double gain = (s.b[0] + s.b[1] + s.b[2]) / (1 + s.a[0] + s.a[1]);
  const double second = s.b[2] - s.a[1] * gain;
  return {s.b[1] - s.a[0] * gain + second, second};
}

void run(const Biquad& s, std::vector<double>& x, std::array<double, 2> state) {
  for (double& v : x) {
    const double in = v;
    v = s.b[0] * in + state[0];
    state[0] = s.b[1] * in - s.a[0] * v + state[1];
    state[1] = s.b[2] * in - s.a[1] * v;
  }
}

void run_settled(std::span<const Biquad> sections, std::vector<double>& x) {
  double level = x.front();
  for (const Biquad& s : sections) {
    const auto unit = settled(s);
    run(s, x, {unit[0] * level, unit[1] * level});
    level *= (s.b[0] + s.b[1] + s.b[2]) / (1 + s.a[0] + s.a[1]);
  }
}

}  // namespace

double band_gain(const BandShape& shape, Hz f) noexcept {
  double g = 1;
  if (shape.low.value() > 0) g *= step_at(f, shape.low, shape.slope);
  if (shape.high.value() > 0) g *= 1 - step_at(f, shape.high, shape.slope);
  return g;
}

Result<std::vector<double>> filter_band(std::span<const double> x, Hz rate, const BandShape& shape,
                                        FftPlans& plans) {
  const double low = shape.low.value();
  const double high = shape.high.value();
  if (!(rate.value() > 0)) return refuse("band filter", "rate is not positive", "give the rate");
  if (!(low >= 0 && high >= 0 && shape.slope.value() >= 0))
    return refuse("band filter", "a cutoff frequency or the slope is negative", "use 0 for none");
  if (high > 0 && low >= high)
    return refuse("band filter", "the low cutoff is not below the high cutoff", "swap them");
  if (low >= rate.value() / 2)
    return refuse("band filter", "the low cutoff is at or above half the sample rate",
                  "lower it or raise the sample rate");
  if (x.empty())
    return Error{Errc::too_short, "band filter", "no samples", "use a recording with samples"};
  const std::size_t n = x.size();
  // The response lasts some reciprocals of its narrowest feature.
  double feature = rate.value();
  for (const double f : {low, high, shape.slope.value()})
    if (f > 0) feature = std::min(feature, f);
  const auto reach =
      static_cast<std::size_t>(std::min(real(n - 1), std::ceil(4 * rate.value() / feature)));
  // With a lower corner a shift of the mean would ring; without one a kink in the slope shows.
  auto e = low > 0 ? detail::mirror_ends(x, reach, 1) : detail::reflect_ends(x, reach);
  // Fading the far part to the middle line keeps the wrapped ends from meeting in a step.
  detail::fade_ends(e, reach);
  e.resize(good_fft_size(e.size()), 0.0);
  const auto fft = plans.real(e.size());
  std::vector<Complex> bins(fft->bins());
  fft->forward(e, bins);
  const Hz spacing = rate / real(e.size());
  for (std::size_t k = 0; k < bins.size(); ++k)
    bins[k] *= band_gain(shape, real(k) * spacing) / real(e.size());
  fft->inverse(bins, e);
  const auto first = e.begin() + static_cast<std::ptrdiff_t>(reach);
  return std::vector<double>(first, first + static_cast<std::ptrdiff_t>(n));
}

namespace {

Result<void> check(const ButterworthDesign& design, Hz rate) {
  constexpr const char* where = "Butterworth filter";
  if (design.order < 1 || design.order > 20)
    return refuse(where, "order is not 1 .. 20", "4 suits most uses");
  if (!(rate.value() > 0)) return refuse(where, "rate is not positive", "give the rate");
  const auto inside = [rate](Hz f) { return f.value() > 0 && f.value() < rate.value() / 2; };
  const bool needs_low = design.kind != FilterKind::low_pass;
  const bool needs_high = design.kind != FilterKind::high_pass;
  if ((needs_low && !inside(design.low)) || (needs_high && !inside(design.high)))
    return refuse(where, "a cutoff is not between 0 and half the sample rate", "change the cutoff");
  if (needs_low && needs_high && !(design.low < design.high))
    return refuse(where, "the low cutoff is not below the high cutoff", "swap them");
  return {};
}

/// Poles in z, and the angle where the gain is 1.
struct Poles {
  std::vector<Complex> upper;  ///< one of each conjugate pair
  std::vector<double> lone;    ///< real ones
  double reference{0};
};

Poles poles_of(const ButterworthDesign& design, Hz rate) {
  const auto warp = [rate](Hz f) { return std::tan(pi * (f / rate)); };
  const double wl = design.kind != FilterKind::low_pass ? warp(design.low) : 0;
  const double wh = design.kind != FilterKind::high_pass ? warp(design.high) : 0;
  const double centre2 = wl * wh;
  Poles out;
  const auto take = [&](Complex s) {
    const Complex z = (1.0 + s) / (1.0 - s);
    if (std::abs(z.imag()) < 1e-14)
      out.lone.push_back(z.real());
    else if (z.imag() > 0)
      out.upper.push_back(z);
  };
  for (int k = 0; k < design.order; ++k) {
    const double angle = pi * (0.5 + (2 * k + 1) / (2.0 * design.order));
    Complex p = std::polar(1.0, angle);
    if (2 * k + 1 == design.order) p = -1;  // exactly real
    switch (design.kind) {
      case FilterKind::low_pass:
        take(p * wh);
        break;
      case FilterKind::high_pass:
        take(wl / p);
        break;
      case FilterKind::band_pass: {
        const Complex half = p * ((wh - wl) / 2);
        const Complex root = std::sqrt(half * half - centre2);
        take(half + root);
        take(half - root);
        break;
      }
    }
  }
  if (design.kind == FilterKind::high_pass) out.reference = pi;
  if (design.kind == FilterKind::band_pass) out.reference = 2 * std::atan(std::sqrt(centre2));
  return out;
}

}  // namespace

Result<std::vector<Biquad>> butterworth(const ButterworthDesign& design, Hz rate) {
  if (auto ok = check(design, rate); !ok) return ok.error();
  const Poles poles = poles_of(design, rate);
  const Complex at = std::polar(1.0, poles.reference);
  const double sign = design.kind == FilterKind::high_pass ? -1 : 1;
  std::vector<Biquad> sections;
  const auto add = [&](std::array<double, 2> a, bool second_order) {
    Biquad s;
    s.a = a;
    if (design.kind == FilterKind::band_pass)
      s.b = {1, 0, -1};
    else if (second_order)
      s.b = {1, 2 * sign, 1};
    else
      s.b = {1, sign, 0};
    const double gain = std::abs(section_at(s, at));
    for (double& b : s.b) b /= gain;
    sections.push_back(s);
  };
  const std::vector<double>& lone = poles.lone;
  for (std::size_t i = 0; i + 1 < lone.size(); i += 2)
    add({-(lone[i] + lone[i + 1]), lone[i] * lone[i + 1]}, true);
  if (lone.size() % 2 == 1) add({-lone.back(), 0}, false);
  for (const Complex& p : poles.upper) add({-2 * p.real(), std::norm(p)}, true);
  return sections;
}

double response(std::span<const Biquad> sections, Hz f, Hz rate) {
  const Complex z = std::polar(1.0, 2 * pi * (f / rate));
  double g = 1;
  for (const Biquad& s : sections) g *= std::abs(section_at(s, z));
  return g;
}

std::vector<double> filter_forward(std::span<const Biquad> sections, std::span<const double> x) {
  std::vector<double> y(x.begin(), x.end());
  for (const Biquad& s : sections) run(s, y, {0, 0});
  return y;
}

std::vector<double> filter_zero_phase(std::span<const Biquad> sections, std::span<const double> x) {
  detail::require(!x.empty(), "filter_zero_phase: no samples");
  double slowest = 0;  // largest pole radius
  for (const Biquad& s : sections) {
    const double disc = s.a[0] * s.a[0] - 4 * s.a[1];
    slowest =
        std::max(slowest, disc < 0 ? std::sqrt(s.a[1]) : (std::abs(s.a[0]) + std::sqrt(disc)) / 2);
  }
  const double decay =
      slowest > 0 && slowest < 1 ? std::ceil(std::log(1e-6) / std::log(slowest)) : 0;
  const auto reach = static_cast<std::size_t>(std::min(real(x.size() - 1), std::fmax(decay, 8)));
  auto e = detail::reflect_ends(x, reach);
  run_settled(sections, e);
  std::reverse(e.begin(), e.end());
  run_settled(sections, e);
  std::reverse(e.begin(), e.end());
  const auto first = e.begin() + static_cast<std::ptrdiff_t>(reach);
  return {first, first + static_cast<std::ptrdiff_t>(x.size())};
}

}  // namespace bearingdsp
