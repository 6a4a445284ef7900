#pragma once
/// What a file holds, without choosing or reading the samples.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// One audio channel, text column or MAT variable (or field of a struct: "bearing.gs").
struct ContentItem {
  std::size_t number{};  ///< 1-based, as ReadOptions::select takes it
  std::string name;      ///< as ReadOptions::select takes it
  std::string type;      ///< "PCM 16", "number", "double", "int16", "text", "struct" ...
  std::vector<std::uint64_t>
      dims;                     ///< samples, or rows x columns ...; empty if only a full read tells
  std::string unit;             ///< as written in the file; empty if it says none
  bool is_signal{};             ///< taken for samples (MAT: can be)
  bool is_time{};               ///< used as time axis unless another is given
  std::optional<double> value;  ///< of a scalar
};

struct Contents {
  std::string source;
  std::string format;
  std::optional<Hz> rate;          ///< where the file says so
  std::optional<Rpm> noted_speed;  ///< where the file carries one
  std::optional<std::string> start_utc;
  std::vector<ContentItem> items;
  std::vector<std::string> notes;  ///< header and metadata lines worth showing, one line each
};

/// List what the file holds. Reads headers, not samples (of text: the first 64 KiB).
/// Errors: io, unsupported_format, corrupt_file.
[[nodiscard]] Result<Contents> list_contents(const std::string& path);
/// As list_contents, from a file's bytes in memory.
[[nodiscard]] Result<Contents> list_contents_bytes(std::span<const std::byte> bytes,
                                                   const std::string& name);

}  // namespace bearingdsp
