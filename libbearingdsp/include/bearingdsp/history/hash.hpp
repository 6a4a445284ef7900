#pragma once
/// What a recording is known by: the hash of its bytes, whatever it is called and wherever it lies.
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// SHA-256 of the bytes, as 64 lower-case hexadecimal digits.
/// Source: [fips180-4] section 6.2
[[nodiscard]] std::string sha256(std::span<const std::byte> bytes);
/// The same of a file, read in pieces.
/// Errors: io
[[nodiscard]] Result<std::string> sha256_of_file(const std::string& path);

/// What a file holds, so that it is known again, whole or in part.
struct FileContent {
  std::string hash;  ///< sha256_of_file
  std::uint64_t size_bytes{0};
  /// Short hashes of its beginnings of 4096, 8192, 16384 ... bytes, as "4096:hex 8192:hex". The
  /// first 512 bytes are left out: a recorder writes the length of a recording there when it ends.
  std::string beginnings;
};
/// Reads the file once.
/// Errors: io
[[nodiscard]] Result<FileContent> content_of_file(const std::string& path);

/// Whether one of two files is the beginning of the other, or both begin alike: from
/// FileContent::beginnings, by the longest that both have, which is half of the shorter file or
/// more. False where they have none in common: files under 4.6 kB hold no recording.
[[nodiscard]] bool begin_alike(std::string_view a, std::string_view b) noexcept;

}  // namespace bearingdsp
