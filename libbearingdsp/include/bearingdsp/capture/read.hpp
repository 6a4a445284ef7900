#pragma once
/// One way in: any recording we know becomes a Capture.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// What the person knows that the file may not say. Everything left out is taken from the file.
struct ReadOptions {
  /// Samples per second; overrides the file (a disagreement of more than 1 % becomes a finding).
  std::optional<Hz> rate{};
  /// Unit of the samples as the file holds them ("g", "m/s2", "mm/s", "um", "V" ...): one for all
  /// channels, or one a channel in the order they are read. Empty: what the file says.
  std::vector<std::string> units{};
  /// Sensitivity of the accelerometer in mV per g, one for all or one a channel; turns volts into
  /// acceleration. Samples of unknown unit are taken as volts when a sensitivity is given, except
  /// integer audio, which needs full_scale as well.
  std::vector<double> sensitivity_mv_per_g{};
  /// Value of digital full scale (1.0) in `units` (volts when only a sensitivity is given), for
  /// audio files whose samples are fractions of full scale. With it float audio is scaled as well.
  std::optional<double> full_scale{};
  /// Units, sensitivity and full scale are only assumed: a channel whose unit the file states keeps
  /// that unit. A sensitivity then applies to a channel in volts, a full scale to audio alone.
  bool assumed{false};
  /// Which signals, in this order. Each is a name ("x", "X105_DE_time", "bearing.gs"), a pattern
  /// with * and ? ("*_DE_time"), a 1-based number ("3") or a range of numbers ("2-4"). Empty: every
  /// channel or column that is neither time nor goes along with the vibration (speed, temperature
  /// ...); in a MAT file the only long vector.
  std::vector<std::string> select{};
  /// New names for the signals read, in order; may be shorter than the selection.
  std::vector<std::string> names{};
  /// Text and MAT: name or 1-based number of the time signal; "none" if there is none; empty: found
  /// by its header or by even steps (text only).
  std::string time_column{};
  /// MAT: read all vectors of the most common length instead of asking which.
  bool all_vectors{false};
  /// Text: the character between columns (0: found), ' ' for runs of blanks; and '.' or ','
  /// (0: found).
  char delimiter{0};
  char decimal{0};
  /// Refuse to hold more samples than this over all channels together: bounds what compressed files
  /// can unpack to.
  std::uint64_t max_samples{std::uint64_t{1} << 31U};
};

/// Read a recording. The format is decided by the content, then by the file's extension:
/// - audio: whatever libsndfile reads (WAV, RF64, W64, AIFF, FLAC ...);
/// - delimited text, plain or gzip, UTF-8, UTF-16 or Latin-1: columns by comma, semicolon, tab or
///   blanks; decimal comma; names and units in header rows; leading rows of metadata; comment
///   lines (# % ;); time as numbers, clocks or days with clocks (docs/recordings.md);
/// - MAT v4, v5 (also compressed) and v7.3, generic HDF5, NumPy .npy and .npz;
/// - universal files, type 58 and 58b.
///
/// Gives:  channels [n] each, in SI (m/s2, m/s, m), V if the sensitivity is unknown, or
///         uncalibrated; findings for all that was odd but usable (NaN filled, jitter, gap,
///         truncated ...); the trail of conversions. The dc part is kept.
/// Memory: below 2.5 times the samples as doubles; no allocation that the file's size cannot back,
///         except unpacking, which grows step by step up to max_samples.
/// Errors: io (missing, directory, unreadable), unsupported_format, corrupt_file, missing_metadata
///         (no rate; several vectors and none chosen), not_found (selection), bad_argument
///         (options), too_short (no samples).
/// A pipe ("/dev/stdin") is read to its end first.
[[nodiscard]] Result<Capture> read_capture(const std::string& path,
                                           const ReadOptions& options = {});

/// As read_capture, from a file's bytes in memory; `name` stands for the path in messages and its
/// extension helps to decide the format.
[[nodiscard]] Result<Capture> read_capture_bytes(std::span<const std::byte> bytes,
                                                 const std::string& name,
                                                 const ReadOptions& options = {});

}  // namespace bearingdsp
