#include "time_axis.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

namespace bearingdsp::capture_detail {
namespace {

/// A step this much longer than the usual one is a hole, not jitter.
constexpr double gap_step = 1.5;
/// Jitter of the stamps (standard deviation over step) worth telling, and worth a caution: at 1 %
/// of a step a line at a tenth of the rate loses 0.002 dB, at 10 % a line at half the rate loses
/// 0.4 dB and the noise floor rises.
constexpr double jitter_note = 0.01;
constexpr double jitter_caution = 0.1;
/// Stamps unreadable beyond this part are not a time axis.
constexpr double unreadable = 0.01;

}  // namespace

double printed_resolution(std::span<const double> t) noexcept {
  double grid = 1;
  for (int k = 0; k <= 12; ++k, grid *= 10) {
    const bool on_grid = std::all_of(t.begin(), t.end(), [&](double v) {
      const double scaled = v * grid;
      return std::abs(scaled) < 1e15 &&
             std::abs(scaled - std::round(scaled)) <= 1e-6 + 4e-16 * std::abs(scaled);
    });
    if (on_grid) return 1 / grid;
  }
  return 0;
}

Result<TimeAxis> analyse_time(std::span<double> t, double scale, bool known_rate,
                              const std::function<std::string(std::size_t)>& place) {
  const std::size_t n = t.size();
  if (n < 2) {
    return Error{Errc::too_short, place(0), "one sample alone has no rate", "give the rate"};
  }
  std::size_t bad = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (std::isfinite(t[i])) continue;
    ++bad;
    const double step = i > 1 ? t[i - 1] - t[i - 2] : 0;
    if (i > 0) t[i] = t[i - 1] + step;
  }
  if (static_cast<double>(bad) > unreadable * static_cast<double>(n) || !std::isfinite(t[0])) {
    return Error{Errc::corrupt_file, place(0),
                 fmt::format("{} of {} time stamps are missing or not numbers", bad, n),
                 "name the right time column, or none and give the rate"};
  }
  // The usual step, over a stride long enough that coarse printing does not matter.
  const std::size_t stride = std::clamp<std::size_t>((n - 1) / 4, 1, 1000);
  std::vector<double> steps;
  const std::size_t every = std::max<std::size_t>(1, (n - stride) / 65536);
  for (std::size_t i = 0; i + stride < n; i += every) steps.push_back(t[i + stride] - t[i]);
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  const double usual = *middle / static_cast<double>(stride);
  if (!(usual > 0)) {
    if (known_rate) {
      TimeAxis axis;
      axis.findings.push_back({FindingKind::time_jitter, Weight::note, "",
                               "the time column does not rise; it is not used", "none",
                               "check the recorder's clock"});
      return axis;
    }
    return Error{Errc::corrupt_file, place(1), "the time stamps do not rise",
                 "name the right time column, or none and give the rate"};
  }
  // Repeated stamps: printed so coarsely that several samples share one.
  double coarse = 0;
  bool repeated = false;
  for (std::size_t i = 1; i < n; ++i) repeated = repeated || t[i] == t[i - 1];
  if (repeated) {
    steps.clear();
    for (std::size_t i = 1; i < n && steps.size() < 65536; ++i) {
      if (t[i] > t[i - 1]) steps.push_back(t[i] - t[i - 1]);
    }
    const auto half = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
    std::nth_element(steps.begin(), half, steps.end());
    coarse = *half;
  }
  const double hole = usual + std::max((gap_step - 1) * usual, 1.01 * coarse);
  std::size_t holes = 0;
  std::size_t first_hole = 0;
  std::size_t back = 0;
  std::size_t first_back = 0;
  double missing = 0;
  double sum = 0;
  std::size_t count = 0;
  for (std::size_t i = 1; i < n; ++i) {
    const double d = t[i] - t[i - 1];
    if (d > hole) {
      if (holes++ == 0) first_hole = i;
      missing += d - usual;
    } else if (d < -1e-9 * usual) {
      if (back++ == 0) first_back = i;
    } else {
      sum += d;
      ++count;
    }
  }
  if (back > 0 && !known_rate) {
    return Error{Errc::corrupt_file, place(first_back),
                 fmt::format("time goes back, from {:.9g} s to {:.9g} s", t[first_back - 1] * scale,
                             t[first_back] * scale),
                 "cut the file there, or give the rate if only the stamps are wrong"};
  }
  const double step = count > 0 ? sum / static_cast<double>(count) : usual;
  const std::span tail = t.last(std::min<std::size_t>(n, 1000));
  const double grid = std::max(coarse, printed_resolution(tail));
  double spread = 0;
  double worst = 0;
  for (std::size_t i = 1; i < n; ++i) {
    const double d = t[i] - t[i - 1];
    if (d > hole || d < 0) continue;
    spread += (d - step) * (d - step);
    worst = std::max(worst, std::abs(d - step));
  }
  spread = std::sqrt(spread / static_cast<double>(std::max<std::size_t>(1, count)));

  TimeAxis axis;
  axis.rate = 1 / (step * scale);
  // Whole hertz, if the stamps cannot tell the difference.
  const double blur = std::max(1e-9, grid / (step * static_cast<double>(count + 1)));
  if (const double whole = std::round(axis.rate);
      whole >= 1 && std::abs(axis.rate - whole) <= blur * axis.rate) {
    axis.rate = whole;
  }
  const bool rounding = worst <= 1.05 * grid;
  if (spread > jitter_note * step && !rounding) {
    axis.findings.push_back(
        {FindingKind::time_jitter, spread > jitter_caution * step ? Weight::caution : Weight::note,
         "",
         fmt::format("the time stamps scatter by {:.2g} % of a step (largest deviation {:.2g} %); "
                     "an even rate of {:.9g} Hz is used",
                     100 * spread / step, 100 * worst / step, axis.rate),
         "lines at high frequency smear and the noise floor rises",
         "use a recorder that samples evenly"});
  }
  if (holes > 0) {
    const double share = missing / (t[n - 1] - t[0]);
    axis.findings.push_back(
        {FindingKind::gap, Weight::caution, place(first_hole),
         fmt::format("{} gap{} in time, {:.3g} s missing in all ({:.2g} % of the record), first "
                     "after {:.6g} s",
                     holes, holes == 1 ? "" : "s", missing * scale, 100 * share,
                     t[first_hole - 1] * scale),
         "the samples are taken as if nothing were missing: each gap breaks the phase of every "
         "line",
         "choose a stretch without a gap, or record again"});
  }
  if (back > 0) {
    axis.findings.push_back({FindingKind::time_jitter, Weight::caution, place(first_back),
                             fmt::format("time goes back {} time{}; the stamps are not used", back,
                                         back == 1 ? "" : "s"),
                             "records may have been strung together there", "look at that place"});
  }
  return axis;
}

}  // namespace bearingdsp::capture_detail
