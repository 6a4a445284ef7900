#include "bearingdsp/capture/input_level.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>
#include <vector>

#include "bearingdsp/capture/quality.hpp"

namespace bearingdsp {
namespace {

constexpr double full_scale = 2147483648.0;  // 2^31
constexpr double bottom_db = -80;
/// The last step of a converter of 16 bits or more: its samples end in zeros here.
constexpr std::int32_t last_step = std::numeric_limits<std::int32_t>::max() - 0xFFFF;

double decibels_of(double value) { return value > 0 ? 20 * std::log10(value) : -200; }

/// What the person at the machine can correct before the recording starts.
bool spoils(FindingKind kind) {
  switch (kind) {
    case FindingKind::clipped:
    case FindingKind::stuck:
    case FindingKind::dead_channel:
    case FindingKind::below_noise:
    case FindingKind::mains_hum:
    case FindingKind::coarse_resolution:
    case FindingKind::low_bandwidth:
    case FindingKind::processed:
      return true;
    default:
      return false;
  }
}

}  // namespace

double InputLevel::bar() const noexcept { return std::clamp(1 - peak_db / bottom_db, 0.0, 1.0); }

InputLevel input_level(std::span<const std::int32_t> interleaved, int channels) noexcept {
  InputLevel level;
  const auto step = static_cast<std::size_t>(std::max(channels, 1));
  const std::size_t frames = interleaved.size() / step;
  if (frames == 0) return level;
  double peak = 0;
  double loudest = 0;
  for (std::size_t c = 0; c < step; ++c) {
    double sum = 0;
    double squares = 0;
    for (std::size_t i = c; i < frames * step; i += step) {
      const double v = interleaved[i] / full_scale;
      peak = std::max(peak, std::abs(v));
      sum += v;
      squares += v * v;
      level.clipped = level.clipped || interleaved[i] >= last_step ||
                      interleaved[i] == std::numeric_limits<std::int32_t>::min();
    }
    const auto n = static_cast<double>(frames);
    loudest = std::max(loudest, squares / n - (sum / n) * (sum / n));
  }
  level.peak_db = decibels_of(peak);
  level.rms_db = decibels_of(std::sqrt(std::max(loudest, 0.0)));
  return level;
}

Findings listen(std::span<const std::int32_t> interleaved, const SoundShape& shape,
                FftPlans& plans) {
  Capture capture;
  capture.source = "input";
  capture.rate = shape.rate;
  const auto step = static_cast<std::size_t>(std::max(shape.channels, 1));
  for (std::size_t c = 0; c < step; ++c) {
    Channel channel;
    channel.name = fmt::format("channel {}", c + 1);
    channel.full_scale = 1;
    channel.samples.reserve(interleaved.size() / step);
    for (std::size_t i = c; i < interleaved.size(); i += step)
      channel.samples.push_back(interleaved[i] / full_scale);
    capture.channels.push_back(std::move(channel));
  }
  Findings out = assess_quality(capture, {}, plans);
  std::erase_if(out, [](const Finding& f) { return !spoils(f.kind); });
  return out;
}

}  // namespace bearingdsp
