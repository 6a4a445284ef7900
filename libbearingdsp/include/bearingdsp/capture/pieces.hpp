#pragma once
/// A recording that is too long to be held, read piece by piece.
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Recordings of more samples than this, over all channels read, are read in pieces, which keeps a
/// diagnosis below a gigabyte: it takes some five times the memory of its samples (measured:
/// docs/faults.md). 327 s of one channel at 51.2 kHz.
inline constexpr std::uint64_t max_whole_recording = std::uint64_t{1} << 24U;

/// Pieces of one recording, one after another, each with the channels, units and findings that
/// read_capture() would give for it alone. Not thread-safe.
class PieceReader {
 public:
  virtual ~PieceReader() = default;
  /// Samples per channel: exact where the header says it, otherwise estimated from the first rows.
  [[nodiscard]] virtual std::uint64_t expected() const noexcept = 0;
  /// Channels that are read.
  [[nodiscard]] virtual std::size_t channels() const noexcept = 0;
  /// Samples per second where the header or the first rows say it.
  [[nodiscard]] virtual std::optional<Hz> rate() const noexcept = 0;
  /// The next `samples` (> 0) of each channel, fewer at the end; nothing behind the end.
  /// Errors: those of read_capture(), of this piece alone: the next call goes on behind it.
  virtual Result<std::optional<Capture>> next(std::size_t samples) = 0;
};

/// Opens a recording for reading in pieces, whatever its format.
/// Errors: those of read_capture() that show before the samples; too_short for a MAT file whose
/// signals have fewer than 4096 samples, or cannot be read
[[nodiscard]] Result<std::unique_ptr<PieceReader>> open_pieces(const std::string& path,
                                                               const ReadOptions& options = {});

/// As open_pieces, from a file's bytes in memory, which outlive the reader; `name` as in
/// read_capture_bytes().
[[nodiscard]] Result<std::unique_ptr<PieceReader>> open_pieces_bytes(
    std::span<const std::byte> bytes, const std::string& name, const ReadOptions& options = {});

/// As open_pieces, but nothing if the recording has no more than max_samples over all channels
/// read, is a pipe, or cannot be read in pieces: then read_capture() is the way, and says what is
/// wrong.
[[nodiscard]] std::unique_ptr<PieceReader> open_if_long(
    const std::string& path, const ReadOptions& options = {},
    std::uint64_t max_samples = max_whole_recording);

/// Whether the i-th of n pieces is among k that are spread evenly over them, the first included.
/// Errors: none
[[nodiscard]] bool spread_evenly(std::size_t i, std::size_t n, std::size_t k) noexcept;

/// Pieces spread evenly over a recording that is too long to be held, each a capture of its own.
/// The first says in a finding how much of the recording they are.
/// Shape:  1 .. count pieces of one length, of `total` samples together at the most over all
///         channels (1024 of each channel in a piece at least); fewer where fewer are in it
/// Errors: too_short where the recording holds no samples; that of the first piece that is wanted
///         and cannot be read
[[nodiscard]] Result<std::vector<Capture>> spread_pieces(PieceReader& reader, std::size_t count,
                                                         std::uint64_t total);

}  // namespace bearingdsp
