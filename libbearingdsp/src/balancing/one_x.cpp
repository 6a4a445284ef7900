#include "bearingdsp/balancing/one_x.hpp"

#include <fmt/format.h>
#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/speed/tacho.hpp"

namespace bearingdsp {
namespace {

using OneXMatrix = Eigen::Matrix<double, 7, 7>;
using OneXVector = Eigen::Matrix<double, 7, 1>;

constexpr double full_angle = 2 * std::numbers::pi;
constexpr int min_revolutions = 20;
constexpr int max_blocks = 16;
/// A block holds so many revolutions at least, so that what does not follow the shaft averages out.
constexpr int min_block = 5;
constexpr double max_variation = 0.05;

Error failure_of(Errc code, const std::string& where, std::string what, std::string advice) {
  return {code, where, std::move(what), std::move(advice)};
}

/// Coefficient c of 1x in the samples from edge `first` to edge `last`: x ~ Re(c exp(i angle)).
std::complex<double> one_x_of(std::span<const double> x, double rate,
                              const std::vector<double>& edges, std::size_t first,
                              std::size_t last) {
  OneXMatrix normal = OneXMatrix::Zero();
  OneXVector right = OneXVector::Zero();
  for (std::size_t e = first; e < last; ++e) {
    const auto begin = static_cast<std::size_t>(std::ceil(edges[e] * rate));
    for (std::size_t i = begin; i < x.size(); ++i) {
      const double t = static_cast<double>(i) / rate;
      if (t >= edges[e + 1]) break;
      const double angle = full_angle * (t - edges[e]) / (edges[e + 1] - edges[e]);
      OneXVector row;
      row << 1, std::cos(angle), std::sin(angle), std::cos(2 * angle), std::sin(2 * angle),
          std::cos(3 * angle), std::sin(3 * angle);
      normal.selfadjointView<Eigen::Lower>().rankUpdate(row);
      right += x[i] * row;
    }
  }
  const OneXVector c = normal.selfadjointView<Eigen::Lower>().ldlt().solve(right);
  return {c[1], -c[2]};
}

/// Factor that turns the coefficient of this unit into one of velocity.
std::complex<double> to_velocity(SampleUnit unit, double omega) {
  if (unit == SampleUnit::acceleration) return std::complex<double>{0, -1 / omega};
  if (unit == SampleUnit::displacement) return std::complex<double>{0, omega};
  return 1.0;
}

bool known(SampleUnit unit) {
  return unit == SampleUnit::acceleration || unit == SampleUnit::velocity ||
         unit == SampleUnit::displacement;
}

OneX vector_of_channel(const Channel& channel, double rate, const std::vector<double>& edges,
                       AngleSense sense) {
  const auto revolutions = static_cast<int>(edges.size()) - 1;
  const int blocks = std::min(max_blocks, revolutions / min_block);
  const double omega = full_angle * revolutions / (edges.back() - edges.front());
  const std::complex<double> factor = to_velocity(channel.unit, omega) / std::numbers::sqrt2;
  std::vector<std::complex<double>> found;
  std::complex<double> mean;
  for (int b = 0; b < blocks; ++b) {
    const auto first = static_cast<std::size_t>(b * revolutions / blocks);
    const auto last = static_cast<std::size_t>((b + 1) * revolutions / blocks);
    const auto c = factor * one_x_of(channel.samples, rate, edges, first, last);
    // Re(c exp(i angle)) is at its peak at the angle -arg(c): that is the lag.
    found.push_back(sense == AngleSense::against_rotation ? std::conj(c) : c);
    mean += found.back() / static_cast<double>(blocks);
  }
  double sum = 0;
  for (const auto& v : found) sum += std::norm(v - mean);
  OneX out;
  out.channel = channel.name;
  out.unit = known(channel.unit) ? SampleUnit::velocity : channel.unit;
  out.vector = mean;
  out.scatter = std::sqrt(sum / (static_cast<double>(blocks - 1) * blocks));
  return out;
}

}  // namespace

Result<OneXReading> measure_one_x(const Capture& capture, const std::string& tacho,
                                  const std::vector<std::string>& channels, AngleSense sense) {
  const auto at = channel_index(capture, tacho);
  if (!at) return at.error();
  const Channel* marker = &capture.channels[*at];
  auto pulses = read_tacho({marker->samples, capture.rate, marker->unit});
  if (!pulses) return pulses.error();
  const std::vector<double>& edges = pulses->edges;
  const int revolutions = static_cast<int>(edges.size()) - 1;
  if (revolutions < min_revolutions)
    return failure_of(
        Errc::too_short, capture.source,
        fmt::format("holds {} revolutions, {} are needed", revolutions, min_revolutions),
        "record longer");
  if (pulses->speed.relative_variation > max_variation)
    return failure_of(Errc::no_speed, capture.source,
                      fmt::format("the speed changes by {:.0f} % within the recording",
                                  100 * pulses->speed.relative_variation),
                      "record at a constant speed: the phase depends on it");
  OneXReading out;
  out.speed = shaft_speed(pulses->speed.rate);
  out.speed_variation = pulses->speed.relative_variation;
  out.revolutions = revolutions;
  if (channels.empty()) {
    for (const Channel& c : capture.channels)
      if (&c != marker && c.unit != SampleUnit::revolution)
        out.channels.push_back(vector_of_channel(c, capture.rate.value(), edges, sense));
  }
  for (const std::string& name : channels) {
    const auto index = channel_index(capture, name);
    if (!index) return index.error();
    out.channels.push_back(
        vector_of_channel(capture.channels[*index], capture.rate.value(), edges, sense));
  }
  if (out.channels.empty())
    return failure_of(Errc::missing_metadata, capture.source,
                      "holds no vibration channel beside the tacho", "record both together");
  return out;
}

}  // namespace bearingdsp
