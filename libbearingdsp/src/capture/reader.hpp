#pragma once
/// What the readers share: one function a format, and the steps that do not depend on it.
#include <array>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/file_unit.hpp"
#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/letters.hpp"
#include "byte_source.hpp"
#include "time_axis.hpp"

namespace bearingdsp::capture_detail {

/// One format: how its files are recognised and read. Each is defined at the end of its own source.
struct Format {
  std::string_view extensions;  ///< of its files, in small letters, with a blank between two
  /// Whether a file that begins so is one.
  bool (*begins)(std::string_view head);
  Result<Capture> (*read)(ByteSource& source, const std::string& name, const ReadOptions& options);
  Result<Contents> (*list)(ByteSource& source, const std::string& name);
  Result<std::unique_ptr<PieceReader>> (*pieces)(std::unique_ptr<ByteSource> source,
                                                 const std::string& name,
                                                 const ReadOptions& options);
  /// Whether the name of a file ends in one of its extensions.
  [[nodiscard]] bool names(std::string_view file) const;
};
extern const Format mat_format, audio_format, numpy_format, universal_format, text_format;
/// All, in the order in which a file is tried.
inline constexpr std::array formats{&mat_format, &audio_format, &numpy_format, &universal_format,
                                    &text_format};

/// The name of the first entry of a zip archive; empty for anything else.
std::string_view first_entry(std::string_view head) noexcept;

/// A number written without locale, sign allowed, nothing left over; decimal is '.' or ','.
std::optional<double> parse_number(std::string_view text, char decimal = '.') noexcept;
std::string_view trim(std::string_view text) noexcept;
/// At most 40 characters of a text from a file, safe to print within one line.
std::string excerpt(std::string_view text);
/// "x, y, z", cut after eight with the number left out.
std::string join_names(const std::vector<std::string>& names);
/// '*' any run, '?' any one character.
bool matches(std::string_view pattern, std::string_view text) noexcept;
std::string ordinal_channel(std::size_t index, std::string_view name);

/// Indices (0-based) into `names` chosen by select, in the order of the selection. what: "channel",
/// "column" or "variable". A number wins over a name of the same spelling only if no such name is
/// there.
/// Errors: not_found, bad_argument (same signal twice).
Result<std::vector<std::size_t>> choose(const std::vector<std::string>& names,
                                        const std::vector<std::string>& select,
                                        std::string_view what, const std::string& where);

/// Whether all are numbers that a recorder can have meant: finite and not a mark for "no value".
bool all_usable(std::span<const double> x) noexcept;

/// How samples as stored become SI.
struct Calibration {
  double factor{1};
  SampleUnit unit{SampleUnit::uncalibrated};
  std::optional<double> full_scale;  ///< in the unit
  std::string note;                  ///< for the trail; empty if nothing was converted
};
enum class Storage : std::uint8_t {
  numbers,         ///< values in some unit
  fractions,       ///< integer audio: fractions of full scale
  float_fractions  ///< float audio: values, or fractions if a full scale is given
};
/// Calibration of channel i of n.
/// Errors: bad_argument, missing_metadata.
Result<Calibration> calibration(std::size_t i, std::size_t n, const std::string& where,
                                const std::optional<FileUnit>& in_file, Storage storage,
                                const ReadOptions& options);

/// Checks that do not depend on the file: rate, full scale, counts.
/// Errors: bad_argument.
Result<void> check_options(const ReadOptions& options, const std::string& where);

/// Ends every reader: names, calibration, repair of values that are no numbers, rate.
/// units[i]: what the file says of channel i.
/// Errors: too_short, missing_metadata, bad_argument, corrupt_file.
struct Finish {
  std::vector<std::optional<FileUnit>> units;
  Storage storage{Storage::numbers};
  std::optional<double> rate;         ///< as the header says
  std::optional<double> second_rate;  ///< another one that the header says as well
  std::optional<TimeAxis> axis;       ///< from a column of time; it goes before the header
  std::string rate_advice;            ///< what to do if no rate is known
  /// Position of sample i in the file ("data.csv:17"); empty: samples are named by their number.
  std::function<std::string(std::size_t)> place;
  std::vector<std::string> seen;  ///< a channel: what stood where a number should be, if anything
  /// The reader looked at every sample as it came, which costs less than to come back for them, and
  /// all_usable() said yes to each.
  bool all_usable{false};
};
Result<Capture> finish(Capture capture, const Finish& finish, const ReadOptions& options);

/// A rate or speed hidden in "name value" pairs (metadata lines, scalars of a MAT file).
struct Hint {
  std::optional<double> rate;          ///< Hz
  std::optional<double> second_rate;   ///< Hz, another one that differs by more than 1 %
  std::optional<double> speed;         ///< rpm
  std::optional<double> second_speed;  ///< rpm, the same
};
/// Looks at one pair; keeps what was found before. A rated, nominal, largest or smallest value is
/// not one of this recording.
void take_hint(Hint& hint, std::string_view name, double value, std::string_view unit);
/// The speed of a hint as the capture's; where the header says two, neither, with a finding.
void note_speed(Capture& capture, const Hint& hint);

}  // namespace bearingdsp::capture_detail
