#pragma once
/// How a text file is laid out, found from its first lines.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "reader.hpp"

namespace bearingdsp::capture_detail {

enum class TimeKind : std::uint8_t {
  number,  ///< seconds (or the unit of its header)
  stamp,   ///< a time of day or date and time
};

struct TextLayout {
  char end_of_line{'\n'};
  char delimiter{','};  ///< ' ' stands for runs of blanks and tabs
  char decimal{'.'};
  bool thousands{};                 ///< whole numbers are written in groups: 1,234
  std::vector<std::string> names;   ///< one a column
  std::vector<std::string> units;   ///< one a column, empty where the file says none
  bool named{};                     ///< the names are from the file
  std::string unit;                 ///< of every column that has none, from a metadata line
  std::vector<bool> aside;          ///< columns that count the rows or hold the day
  std::vector<bool> companion;      ///< columns of what goes along: speed, temperature ...
  std::size_t skip_lines{};         ///< lines before the first row of samples
  std::size_t lines_before{};       ///< of the file before the text that is read
  std::optional<std::size_t> time;  ///< column of time
  TimeKind time_kind{TimeKind::number};
  double time_scale{1};            ///< to seconds
  std::optional<double> row_rate;  ///< Hz, by the first rows
  std::optional<std::string> start_utc;
  Hint hint;
  std::vector<std::string> notes;  ///< lines before the samples, as they stand
};

/// head: the first bytes of the file, cut at a line end unless they are all of it.
/// Errors: unsupported_format, bad_argument (cannot tell decimal comma from column comma).
Result<TextLayout> find_layout(std::string_view head, const std::string& name,
                               const ReadOptions& options);

/// Fields of one line, trimmed and unquoted.
void split(std::string_view line, char delimiter, std::vector<std::string_view>& fields);
/// Empty, or one of the words that stand for no value (nan, n/a, null, - ...).
bool is_missing(std::string_view field) noexcept;
/// Whether a column's name or unit says a shaft's speed.
bool says_speed(std::string_view name, std::string_view unit);
bool is_comment(std::string_view line, char delimiter) noexcept;

}  // namespace bearingdsp::capture_detail
