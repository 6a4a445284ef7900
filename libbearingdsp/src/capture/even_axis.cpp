#include "even_axis.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "bearingdsp/dsp/resample.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// Most steps have to be whole multiples of the grid's within this share of it.
constexpr double off_grid = 0.25;
constexpr double on_grid_share = 0.99;
/// The grid's own step is among the shortest tenth of the steps unless most samples are missing.
constexpr double shortest_share = 0.1;
constexpr std::size_t fewest_stamps = 16;
/// With more missing the recording is a handful of pieces, not one.
constexpr double max_missing = 0.75;
/// Stamps this near a straight line are even ones, rounded: of the printed resolution.
constexpr double rounded = 1.05;
/// An impact of a bearing rings for some milliseconds; shorter holes keep its outline.
constexpr std::size_t longest_cubic = 8;

double quantile(std::vector<double> values, double q) {
  const auto k = static_cast<std::ptrdiff_t>(q * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + k, values.end());
  return values[static_cast<std::size_t>(k)];
}

/// Mean of the steps near the shortest ones.
double shortest_step(const std::vector<double>& steps) {
  const double low = quantile(steps, shortest_share);
  double sum = 0;
  std::size_t count = 0;
  for (const double d : steps) {
    if (std::abs(d - low) > off_grid * low) continue;
    sum += d;
    ++count;
  }
  return count > 0 ? sum / static_cast<double>(count) : 0;
}

/// Largest distance of the stamps from the straight line nearest to them.
double largest_departure(std::span<const double> t) {
  const auto n = static_cast<double>(t.size());
  const double middle = (n - 1) / 2;
  double mean = 0;
  double slope = 0;
  for (std::size_t i = 0; i < t.size(); ++i) {
    mean += (t[i] - t.front()) / n;
    slope += (static_cast<double>(i) - middle) * (t[i] - t.front());
  }
  slope /= n * (n * n - 1) / 12;
  double largest = 0;
  for (std::size_t i = 0; i < t.size(); ++i)
    largest = std::max(
        largest, std::abs(t[i] - t.front() - mean - slope * (static_cast<double>(i) - middle)));
  return largest;
}

std::vector<double> filled(const std::vector<double>& x, const EvenAxis& axis, std::size_t size) {
  std::vector<double> out;
  out.reserve(size);
  std::vector<std::size_t> slot(x.size());
  std::size_t shift = 0;
  for (std::size_t i = 0, r = 0; i < x.size(); ++i) {
    if (r < axis.missing.size() && axis.missing[r].before == i) shift += axis.missing[r++].count;
    slot[i] = i + shift;
  }
  const auto secant = [&](std::size_t i) {  // from i to i + 1
    return (x[i + 1] - x[i]) / static_cast<double>(slot[i + 1] - slot[i]);
  };
  // Of the parabola through three neighbours.
  const auto slope = [&](std::size_t i) {
    if (i == 0) return secant(0);
    if (i + 1 == x.size()) return secant(i - 1);
    const auto left = static_cast<double>(slot[i] - slot[i - 1]);
    const auto right = static_cast<double>(slot[i + 1] - slot[i]);
    return (right * secant(i - 1) + left * secant(i)) / (left + right);
  };
  for (std::size_t i = 0; i < x.size(); ++i) {
    const std::size_t missing = i > 0 ? slot[i] - slot[i - 1] - 1 : 0;
    const auto h = static_cast<double>(missing + 1);
    const bool cubic = missing <= longest_cubic;
    for (std::size_t k = 1; k <= missing; ++k) {
      const double u = static_cast<double>(k) / h;
      const double line = x[i - 1] + (x[i] - x[i - 1]) * u;
      const double bend = u * (1 - u) *
                          ((1 - u) * (h * slope(i - 1) - (x[i] - x[i - 1])) -
                           u * (h * slope(i) - (x[i] - x[i - 1])));
      out.push_back(cubic ? line + bend : line);
    }
    out.push_back(x[i]);
  }
  return out;
}

}  // namespace

std::optional<StampGrid> stamp_grid(std::span<const double> t, double printed) {
  if (t.size() < fewest_stamps) return std::nullopt;
  std::vector<double> steps;
  steps.reserve(t.size() - 1);
  for (std::size_t i = 1; i < t.size(); ++i) {
    if (!(t[i] > t[i - 1])) return std::nullopt;
    steps.push_back(t[i] - t[i - 1]);
  }
  StampGrid grid;
  grid.step = shortest_step(steps);
  if (!(grid.step > 0)) return std::nullopt;
  // Coarse stamps of an even rate skip a grid point now and then as missing samples do, but stay
  // near a straight line.
  if (printed > off_grid * grid.step && largest_departure(t) < rounded * printed)
    return std::nullopt;
  // The mean of many steps is sharper than that of the short ones alone.
  const double most = 4 * static_cast<double>(t.size());
  double points = 0;
  for (const double d : steps) points += std::round(d / grid.step);
  if (!(points < most)) return std::nullopt;
  grid.step = (t.back() - t.front()) / points;
  std::size_t off = 0;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const double ratio = steps[i] / grid.step;
    const double whole = std::max(1.0, std::round(ratio));
    if (std::abs(ratio - whole) > off_grid) ++off;
    const auto missing = static_cast<std::size_t>(whole) - 1;
    if (missing == 0) continue;
    grid.missing.push_back({i + 1, missing});
    grid.missing_samples += missing;
  }
  const auto n = static_cast<double>(steps.size());
  if (grid.missing.empty() || static_cast<double>(off) > (1 - on_grid_share) * n)
    return std::nullopt;
  const auto missing = static_cast<double>(grid.missing_samples);
  if (missing > max_missing * (missing + static_cast<double>(t.size()))) return std::nullopt;
  return grid;
}

std::vector<double> even_positions(std::span<const double> t, double step) {
  const auto count = static_cast<std::size_t>(std::floor((t.back() - t.front()) / step + 1e-6)) + 1;
  std::vector<double> positions(count);
  std::size_t i = 0;
  for (std::size_t k = 0; k < count; ++k) {
    const double when = t.front() + static_cast<double>(k) * step;
    while (i + 2 < t.size() && t[i + 1] <= when) ++i;
    const double at = static_cast<double>(i) + (when - t[i]) / (t[i + 1] - t[i]);
    positions[k] = std::clamp(at, 0.0, static_cast<double>(t.size() - 1));
  }
  return positions;
}

void put_on_even_axis(Capture& capture, const EvenAxis& axis) {
  if (axis.empty()) return;
  std::size_t size = capture.size();
  for (const MissingRun& run : axis.missing) size += run.count;
  for (Channel& channel : capture.channels) {
    channel.samples = axis.positions.empty() ? filled(channel.samples, axis, size)
                                             : interpolate_at(channel.samples, axis.positions);
  }
  capture.trail.push_back(
      {"even_axis", axis.positions.empty() ? "missing samples filled on the grid of the time stamps"
                                           : "resampled to evenly spaced times"});
}

}  // namespace bearingdsp::capture_detail
