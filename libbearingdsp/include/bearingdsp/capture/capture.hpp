#pragma once
/// A recording as it came in: planar channels in SI with their units, and where it came from.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/trail.hpp"
#include "bearingdsp/core/unit.hpp"

namespace bearingdsp {

/// One contiguous array of samples with its unit.
/// Shape: samples [n], n equal for all channels of a capture.
struct Channel {
  std::string name;
  SampleUnit unit{SampleUnit::uncalibrated};
  std::vector<double> samples;
  /// Largest magnitude the recorder can represent, in the unit of the samples, where the file says
  /// so.
  std::optional<double> full_scale;
};

/// Borrowed samples with the rate and unit that give them meaning; never a member of a long-lived
/// object.
struct SignalView {
  std::span<const double> x;
  Hz rate;
  SampleUnit unit{SampleUnit::uncalibrated};
};

struct Capture {
  std::string source;  ///< path as given, or "memory"
  std::string format;  ///< "WAV PCM 16", "delimited text", "MAT v5" ...
  Hz rate;             ///< samples per second of every channel, > 0
  std::vector<Channel> channels;
  std::optional<std::string> start_utc;  ///< ISO 8601, UTC, where the file says so
  std::optional<Rpm> noted_speed;        ///< shaft speed where the file carries one
  Findings findings;                     ///< what the reader noticed
  Trail trail;

  [[nodiscard]] std::size_t size() const noexcept {
    return channels.empty() ? 0 : channels.front().samples.size();
  }
  [[nodiscard]] Seconds duration() const noexcept {
    return Seconds{rate.value() > 0 ? static_cast<double>(size()) / rate.value() : 0.0};
  }
  /// View of channel i (i < channels.size()); refused on a temporary, which would dangle.
  [[nodiscard]] SignalView view(std::size_t i) const& {
    return {channels.at(i).samples, rate, channels.at(i).unit};
  }
  SignalView view(std::size_t i) && = delete;
};

/// Index of the channel with this name, the first of several.
/// Errors: not_found, with the names that there are
[[nodiscard]] Result<std::size_t> channel_index(const Capture& capture, std::string_view name);

}  // namespace bearingdsp
