#include "bearingdsp/spectra/averaged_coherence.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <memory>
#include <numbers>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/dsp/window.hpp"

namespace bearingdsp {
namespace {

using Line = std::complex<double>;

constexpr const char* coherence_by_definition = "averaged coherence";
constexpr double fewest_averages = 4;
constexpr double one_cell_by_chance = 1e-3;

/// What the segments of all cyclic frequencies share.
struct Segments {
  std::size_t length, step, count;
  std::vector<double> window;
  std::shared_ptr<const ComplexFft> fft;
};

/// Sums over the segments at one cyclic frequency. The recording is real, so that turning it by
/// -a/2 gives both shifted spectra: X(f + a/2) at line f, the conjugate of X(f - a/2) at line -f.
std::vector<double> squared_coherence(std::span<const double> x, Hz rate, double cyclic_hz,
                                      const Segments& s) {
  std::vector<Line> turned(x.size());
  const double step = -std::numbers::pi * cyclic_hz / rate.value();
  for (std::size_t i = 0; i < x.size(); ++i)
    turned[i] = x[i] * std::polar(1.0, step * static_cast<double>(i));
  const std::size_t n = s.length;
  std::vector<Line> segment(n);
  std::vector<Line> lines(n);
  std::vector<Line> cross(n / 2 + 1);
  std::vector<double> upper(n / 2 + 1);
  std::vector<double> lower(n / 2 + 1);
  for (std::size_t j = 0; j < s.count; ++j) {
    for (std::size_t i = 0; i < n; ++i) segment[i] = s.window[i] * turned[j * s.step + i];
    s.fft->forward(segment, lines);
    for (std::size_t k = 0; k <= n / 2; ++k) {
      const Line mirror = lines[k == 0 ? 0 : n - k];
      cross[k] += lines[k] * mirror;
      upper[k] += std::norm(lines[k]);
      lower[k] += std::norm(mirror);
    }
  }
  std::vector<double> squared(n / 2 + 1, std::numeric_limits<double>::quiet_NaN());
  const double line = rate.value() / static_cast<double>(n);
  for (std::size_t k = 0; k <= n / 2; ++k) {
    const double carrier = static_cast<double>(k) * line;
    if (carrier < cyclic_hz / 2 || carrier + cyclic_hz / 2 > rate.value() / 2) continue;
    const double both = upper[k] * lower[k];
    squared[k] = both > 0 ? std::norm(cross[k]) / both : 0.0;
  }
  return squared;
}

Error wrong_figure(const char* what, const char* advice) {
  return {Errc::bad_argument, coherence_by_definition, what, advice};
}

Result<Segments> segments_of(std::size_t samples, const AveragedCoherenceOptions& o,
                             FftPlans& plans) {
  if (o.segment < 16 || o.segment % 2 != 0)
    return wrong_figure("the segment is not an even number of samples from 16 on",
                        "use a power of two, as 256");
  if (!(o.overlap >= 0.5 && o.overlap < 1))
    return wrong_figure("the overlap is not in 0.5 .. 1", "use 0.75");
  Segments s;
  s.length = o.segment;
  s.step = std::max<std::size_t>(1, o.segment - static_cast<std::size_t>(std::lround(
                                                    o.overlap * static_cast<double>(o.segment))));
  s.count = samples < s.length ? 0 : (samples - s.length) / s.step + 1;
  s.window = make_window(s.length, {.kind = WindowKind::hann});
  s.fft = plans.complex(s.length);
  return s;
}

}  // namespace

Result<AveragedCoherence> averaged_coherence(std::span<const double> x, Hz rate,
                                             std::span<const double> cyclic_hz, FftPlans& plans,
                                             const AveragedCoherenceOptions& options) {
  if (!(rate.value() > 0)) return wrong_figure("the rate is not above 0", "give it in Hz");
  for (const double a : cyclic_hz)
    if (!(a > 0 && a < rate.value()))
      return wrong_figure("a cyclic frequency is not between 0 and the sample rate",
                          "give impact rates in Hz");
  const auto segments = segments_of(x.size(), options, plans);
  if (!segments) return segments.error();
  AveragedCoherence out;
  out.averages = segments->count == 0
                     ? 0
                     : independent_averages(segments->window, segments->count, segments->step);
  if (out.averages < fewest_averages)
    return Error{
        Errc::too_short, coherence_by_definition,
        fmt::format("{} samples are worth {:.1f} independent segments of {}, {} are needed",
                    x.size(), out.averages, segments->length, fewest_averages),
        "record longer or shorten the segment"};
  out.cyclic_hz.assign(cyclic_hz.begin(), cyclic_hz.end());
  out.line_spacing = rate / static_cast<double>(segments->length);
  const auto without_bias = [&](double c) {
    return (c - 1 / out.averages) / (1 - 1 / out.averages);
  };
  // Squared coherence c of noise exceeds t with probability (1 - t)^(K - 1).
  out.by_chance = without_bias(1 - std::pow(one_cell_by_chance, 1 / (out.averages - 1)));
  const std::vector<double> centred = remove_mean(x);
  for (const double a : cyclic_hz) {
    out.squared.push_back(squared_coherence(centred, rate, a, *segments));
    for (double& c : out.squared.back()) c = without_bias(c);
  }
  return out;
}

}  // namespace bearingdsp
