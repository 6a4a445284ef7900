#pragma once
/// What holds for every recording, however it was damaged.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/capture/read.hpp"
#include "invariants.hpp"

namespace fuzz {

/// Reads the bytes in pieces of 300 samples: it ends, each piece holds what a capture holds, and
/// audio that could be read as a whole gives the same samples.
inline void check_pieces(std::span<const std::byte> bytes, const std::string& name,
                         const bearingdsp::ReadOptions& options, const bearingdsp::Capture* whole) {
  using namespace bearingdsp;
  const auto reader = open_pieces_bytes(bytes, name, options);
  if (!reader) return require_error_line(reader.error());
  constexpr std::size_t at_once = 300;  // more than a MAT file may have channels
  std::size_t samples = 0;
  bool all_read = true;
  for (std::size_t calls = 0;; ++calls) {
    require(calls <= options.max_samples / at_once + 2);
    const auto piece = (*reader)->next(at_once);
    if (!piece) {
      require_error_line(piece.error());
      all_read = false;
      continue;
    }
    if (!*piece) break;
    const Capture& c = **piece;
    require(c.size() > 0 && c.size() <= at_once && c.rate.value() > 0);
    const bool compared = all_read && whole != nullptr && name == "a.wav" &&
                          whole->channels.size() == c.channels.size() &&
                          samples + c.size() <= whole->size();
    for (std::size_t k = 0; k < c.channels.size(); ++k) {
      require(c.channels[k].samples.size() == c.size());
      for (std::size_t i = 0; i < c.size(); ++i) {
        const double v = c.channels[k].samples[i];
        require(std::isfinite(v));
        if (compared && whole->findings.empty())
          require(v == whole->channels[k].samples[samples + i]);
      }
    }
    samples += c.size();
  }
}

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
  check_pieces(bytes, name, options, capture ? &*capture : nullptr);
  const auto contents = list_contents_bytes(bytes, name);
  if (!contents) require_error_line(contents.error());
}

}  // namespace fuzz
