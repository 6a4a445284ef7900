#pragma once
/// What holds for every recording, however it was damaged.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/read.hpp"
#include "invariants.hpp"

namespace fuzz {

/// Reads and lists the bytes; the last byte chooses among the options.
inline void read_and_check(const std::uint8_t* data, std::size_t size, const std::string& name) {
  using namespace bearingdsp;
  const auto bytes = std::as_bytes(std::span{data, size});
  const unsigned choice = size > 0 ? data[size - 1] : 0U;
  ReadOptions options;
  options.max_samples = 1U << 20U;
  if ((choice & 1U) != 0) options.rate = Hz{25600};
  if ((choice & 2U) != 0) options.all_vectors = true;
  if ((choice & 4U) != 0) options.select = {"*"};
  if ((choice & 8U) != 0) options.time_column = "none";
  if ((choice & 16U) != 0) options.sensitivity_mv_per_g = {100};
  if ((choice & 32U) != 0) options.full_scale = 10;
  const auto capture = read_capture_bytes(bytes, name, options);
  if (!capture) {
    require_error_line(capture.error());
    require(!capture.error().advice.empty());
  } else {
    require(std::isfinite(capture->rate.value()) && capture->rate.value() > 0);
    require(capture->size() > 0 &&
            capture->size() * capture->channels.size() <= options.max_samples);
    for (const Channel& channel : capture->channels) {
      require(channel.samples.size() == capture->size());
      for (const double v : channel.samples) require(std::isfinite(v));
    }
  }
  const auto contents = list_contents_bytes(bytes, name);
  if (!contents) require_error_line(contents.error());
}

}  // namespace fuzz
