#pragma once
/// Where the bytes come from: a file read by position, or a block of memory (pipes, tests,
/// fuzzing).
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp::capture_detail {

/// Bytes at any position. Not thread-safe.
class ByteSource {
 public:
  virtual ~ByteSource() = default;
  [[nodiscard]] virtual std::uint64_t size() const noexcept = 0;
  /// Bytes read into out from position at; fewer at the end of the file or when the system fails.
  virtual std::size_t read_at(std::uint64_t at, std::span<std::byte> out) = 0;
};

/// Open a path. Pipes and devices are read into memory to their end, at most limit bytes.
/// Errors: io (missing, directory, no permission, read failure), bad_argument (limit passed).
Result<std::unique_ptr<ByteSource>> open_file(const std::string& path, std::uint64_t limit);
/// The caller keeps the bytes alive.
std::unique_ptr<ByteSource> open_memory(std::span<const std::byte> bytes);

/// Bytes one after another: plain, or unpacked by zlib on the way.
class ByteStream {
 public:
  virtual ~ByteStream() = default;
  /// Up to out.size() bytes; 0 at the end (or on damage: see damage()).
  virtual std::size_t read(std::span<std::byte> out) = 0;
  /// What stopped the stream before its end; empty if nothing did.
  [[nodiscard]] virtual std::string damage() const = 0;
  /// Bytes of the file that have been used up, to guess how much is left.
  [[nodiscard]] virtual std::uint64_t used() const noexcept = 0;

  /// Reads until out is full or the stream ends.
  std::size_t read_full(std::span<std::byte> out) {
    std::size_t n = 0;
    while (n < out.size()) {
      const std::size_t got = read(out.subspan(n));
      if (got == 0) break;
      n += got;
    }
    return n;
  }
  /// Skips n bytes; false if the stream ends before.
  virtual bool skip(std::uint64_t n);
};

std::unique_ptr<ByteStream> plain_stream(ByteSource& source, std::uint64_t at,
                                         std::uint64_t length);
/// Bytes of numbers that a packed file of this size may unfold into. Noise, and so a recording,
/// does not pack tighter than some 40 to 1 (one bit a sample in eight bytes); what is smaller than
/// 64 MB does no harm.
constexpr std::uint64_t max_unpacked(std::uint64_t file_size) noexcept {
  return (std::uint64_t{64} << 20U) + 128 * file_size;
}

enum class Packing : std::uint8_t { gzip, zlib, deflate };  ///< the last without a wrapper
std::unique_ptr<ByteStream> unpacking_stream(ByteSource& source, std::uint64_t at,
                                             std::uint64_t length, Packing packing);

}  // namespace bearingdsp::capture_detail
