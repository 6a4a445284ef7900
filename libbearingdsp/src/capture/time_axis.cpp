#include "time_axis.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "bearingdsp/core/sentence.hpp"

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

/// Slope of the straight line nearest to the stamps over their number (least squares). Rounded to
/// a grid q over a time T of N grid steps, its standard deviation is q / (T sqrt(N)) of the slope.
/// Source: closed form; the rounding is taken as even and independent from one grid step to the
/// next.
double fitted_step(std::span<const double> t) noexcept {
  const auto n = static_cast<double>(t.size());
  const double middle = (n - 1) / 2;
  double sum = 0;
  for (std::size_t i = 0; i < t.size(); ++i)
    sum += (static_cast<double>(i) - middle) * (t[i] - t.front());
  return sum / (n * (n * n - 1) / 12);
}

/// Unreadable stamps are carried on by the step before. Gives how many there were.
std::size_t fill_stamps(std::span<double> t) noexcept {
  std::size_t bad = 0;
  for (std::size_t i = 0; i < t.size(); ++i) {
    if (std::isfinite(t[i])) continue;
    ++bad;
    const double step = i > 1 ? t[i - 1] - t[i - 2] : 0;
    if (i > 0) t[i] = t[i - 1] + step;
  }
  return bad;
}

double middle_of(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// The usual step, over a stride long enough that coarse printing does not matter.
double usual_step(std::span<const double> t) {
  const std::size_t n = t.size();
  const std::size_t stride = std::clamp<std::size_t>((n - 1) / 4, 1, 1000);
  const std::size_t every = std::max<std::size_t>(1, (n - stride) / 65536);
  std::vector<double> steps;
  for (std::size_t i = 0; i + stride < n; i += every) steps.push_back(t[i + stride] - t[i]);
  return middle_of(steps) / static_cast<double>(stride);
}

/// The usual step between different stamps where several samples share one, else 0.
double coarse_step(std::span<const double> t) {
  if (std::adjacent_find(t.begin(), t.end()) == t.end()) return 0;
  std::vector<double> steps;
  for (std::size_t i = 1; i < t.size() && steps.size() < 65536; ++i) {
    if (t[i] > t[i - 1]) steps.push_back(t[i] - t[i - 1]);
  }
  return steps.empty() ? 0 : middle_of(steps);
}

/// Standard deviation of the steps by their median distance from the usual one, which gaps do not
/// move. 1.48: of a normal distribution.
double step_scatter(std::span<const double> t, double usual) {
  std::vector<double> off;
  const std::size_t every = std::max<std::size_t>(1, t.size() / 65536);
  for (std::size_t i = 1; i < t.size(); i += every)
    off.push_back(std::abs(t[i] - t[i - 1] - usual));
  return 1.48 * middle_of(off);
}

/// Steps by kind: even enough, a hole, back in time.
struct Steps {
  std::size_t holes{}, first_hole{};
  std::size_t back{}, first_back{};
  double missing{};  ///< time that the holes are longer than a step
  double sum{};      ///< of the even ones
  std::size_t count{};
};
Steps sort_steps(std::span<const double> t, double usual, double hole) noexcept {
  Steps s;
  for (std::size_t i = 1; i < t.size(); ++i) {
    const double d = t[i] - t[i - 1];
    if (d > hole) {
      if (s.holes++ == 0) s.first_hole = i;
      s.missing += d - usual;
    } else if (d < -1e-9 * usual) {
      if (s.back++ == 0) s.first_back = i;
    } else {
      s.sum += d;
      ++s.count;
    }
  }
  return s;
}

/// How the even steps scatter about their mean.
struct Jitter {
  double deviation{};  ///< standard
  double worst{};
};
Jitter jitter_of(std::span<const double> t, double step, double hole, std::size_t count) noexcept {
  Jitter jitter;
  for (std::size_t i = 1; i < t.size(); ++i) {
    const double d = t[i] - t[i - 1];
    if (d > hole || d < 0) continue;
    jitter.deviation += (d - step) * (d - step);
    jitter.worst = std::max(jitter.worst, std::abs(d - step));
  }
  jitter.deviation =
      std::sqrt(jitter.deviation / static_cast<double>(std::max<std::size_t>(1, count)));
  return jitter;
}

/// Largest part of missing samples that is filled with a caution only. Beyond it too little of an
/// impact's ringing is left to say that there is none.
constexpr double missing_blocking = 0.2;

/// Root mean square and largest distance of the stamps from the straight line through them.
struct Departure {
  double rms{};
  double largest{};
};
Departure departure_of(std::span<const double> t, double step) noexcept {
  const auto n = static_cast<double>(t.size());
  double mean = 0;
  for (std::size_t i = 0; i < t.size(); ++i)
    mean += (t[i] - t.front() - static_cast<double>(i) * step) / n;
  Departure d;
  for (std::size_t i = 0; i < t.size(); ++i) {
    const double off = t[i] - t.front() - static_cast<double>(i) * step - mean;
    d.rms += off * off / n;
    d.largest = std::max(d.largest, std::abs(off));
  }
  d.rms = std::sqrt(d.rms);
  return d;
}

Finding gap_finding(const Steps& steps, const StampGrid* grid, std::span<const double> t,
                    double scale, std::string where) {
  const double share = steps.missing / (t.back() - t.front());
  Finding f{FindingKind::gap,
            Weight::caution,
            std::move(where),
            fmt::format("{} in time, {:.3g} s missing in total ({:.2g} % of the recording), "
                        "first after {:.6g} s",
                        counted(steps.holes, "gap"), steps.missing * scale, 100 * share,
                        t[steps.first_hole - 1] * scale),
            "the samples are used as if nothing were missing: each gap interrupts the phase of "
            "every spectral line",
            "choose a section without a gap, or record again"};
  if (grid == nullptr) return f;
  f.consequence =
      "the missing samples are interpolated at their true time: events in the gap are lost";
  if (share > missing_blocking) f.weight = Weight::blocking;
  return f;
}

/// What the scatter of the stamps says; puts the axis right where an even rate would smear lines.
void judge_scatter(std::span<const double> t, double step, double grid, const Steps& steps,
                   double hole, TimeAxis& axis) {
  const Jitter jitter = jitter_of(t, step, hole, steps.count);
  const bool rounding = jitter.worst <= 1.05 * grid;
  const bool whole = steps.holes == 0 && steps.back == 0;
  const Departure off = whole ? departure_of(t, step) : Departure{};
  const bool uneven = off.rms > jitter_caution * step && off.largest > 1.05 * grid;
  const Weight weight = jitter.deviation > jitter_caution * step ? Weight::caution : Weight::note;
  const std::string scatter =
      fmt::format("the time stamps scatter by {:.2g} % of a step (largest deviation {:.2g} %)",
                  100 * jitter.deviation / step, 100 * jitter.worst / step);
  if (uneven) {
    axis.even.positions = even_positions(t, step);
    axis.findings.push_back({FindingKind::time_jitter, weight, "",
                             fmt::format("{} and differ from an even time axis by up to {:.2g} "
                                         "steps; the samples are resampled to {:.9g} samples/s",
                                         scatter, off.largest / step, axis.rate),
                             "changes within a few steps are less exact",
                             "use a recorder with a constant sample rate"});
  } else if (!rounding && jitter.deviation > jitter_note * step) {
    axis.findings.push_back(
        {FindingKind::time_jitter, weight, "",
         fmt::format("{}; an even rate of {:.9g} Hz is used", scatter, axis.rate),
         "spectral lines at high frequency become wider and the noise floor rises",
         "use a recorder with a constant sample rate"});
  }
}

/// The spacing of single-precision numbers at the largest stamp, if all are such numbers; else 0.
double single_resolution(std::span<const double> t) noexcept {
  double largest = 0;
  for (const double v : t) {
    const auto single = static_cast<float>(v);
    if (static_cast<double>(single) != v) return 0;
    largest = std::max(largest, std::abs(v));
  }
  const auto top = static_cast<float>(largest);
  return static_cast<double>(std::nextafter(top, 2 * top + 1)) - largest;
}

/// Fills the few stamps that cannot be read. Gives how many. Errors: too_short, corrupt_file
Result<std::size_t> repaired_stamps(std::span<double> t,
                                    const std::function<std::string(std::size_t)>& place) {
  const std::size_t n = t.size();
  if (n < 2) {
    return Error{Errc::too_short, place(0), "a single sample has no rate", "give the rate"};
  }
  const std::size_t bad = fill_stamps(t);
  if (static_cast<double>(bad) > unreadable * static_cast<double>(n) || !std::isfinite(t[0])) {
    return Error{Errc::corrupt_file, place(0),
                 fmt::format("{} of {} time stamps are missing or not numbers", bad, n),
                 "name the correct time column, or none and give the rate"};
  }
  return bad;
}

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
  const auto bad = repaired_stamps(t, place);
  if (!bad) return bad.error();
  const std::size_t n = t.size();
  TimeAxis axis;
  const auto tail = t.last(std::min<std::size_t>(n, 1000));
  const double printed = std::max(printed_resolution(tail), single_resolution(tail));
  const std::optional<StampGrid> full = *bad > 0 ? std::nullopt : stamp_grid(t, printed);
  const double usual = full ? full->step : usual_step(t);
  if (!(usual > 0)) {
    if (!known_rate) {
      return Error{Errc::corrupt_file, place(1), "the time stamps do not increase",
                   "name the correct time column, or none and give the rate"};
    }
    axis.findings.push_back({FindingKind::time_jitter, Weight::note, "",
                             "the time column does not increase; it is not used", "none",
                             "check the recorder's clock"});
    return axis;
  }
  const double coarse = coarse_step(t);
  const double scatter = full ? 0 : 4 * step_scatter(t, usual);
  const double hole = usual + std::max({(gap_step - 1) * usual, 1.01 * coarse, scatter});
  const Steps steps = sort_steps(t, usual, hole);
  if (steps.back > 0 && !known_rate) {
    return Error{Errc::corrupt_file, place(steps.first_back),
                 fmt::format("time goes back, from {:.9g} s to {:.9g} s",
                             t[steps.first_back - 1] * scale, t[steps.first_back] * scale),
                 "cut the file there, or give the rate if only the stamps are wrong"};
  }
  // The ends of coarse stamps are off by up to a grid; a straight line through all is not.
  const bool fitted = coarse > 0 && steps.holes == 0 && steps.back == 0;
  const double mean_step = steps.count > 0 ? steps.sum / static_cast<double>(steps.count) : usual;
  const double step = fitted ? fitted_step(t) : full ? full->step : mean_step;
  const double grid = std::max(coarse, printed);

  axis.rate = 1 / (step * scale);
  // Whole hertz, if the stamps cannot tell the difference.
  const double length = step * static_cast<double>(steps.count + 1);
  const double ends = grid / length;
  axis.uncertainty = fitted ? 3 * ends * std::sqrt(std::min(1.0, ends)) : ends;
  if (const double whole = std::round(axis.rate);
      whole >= 1 && std::abs(axis.rate - whole) <= std::max(1e-9, axis.uncertainty) * axis.rate) {
    axis.rate = whole;
  }
  judge_scatter(t, step, grid, steps, hole, axis);
  if (steps.holes > 0) {
    axis.findings.push_back(
        gap_finding(steps, full ? &*full : nullptr, t, scale, place(steps.first_hole)));
  }
  if (full) axis.even.missing = full->missing;
  if (steps.back > 0) {
    axis.findings.push_back(
        {FindingKind::time_jitter, Weight::caution, place(steps.first_back),
         fmt::format("time goes back {}; the stamps are not used", counted(steps.back, "time")),
         "recordings may have been joined there", "check the file there"});
  }
  return axis;
}

}  // namespace bearingdsp::capture_detail
