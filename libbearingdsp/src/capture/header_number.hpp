#pragma once
/// Numbers in the lines of settings above a recording, as people and programs write them.
#include <cstddef>
#include <optional>
#include <string_view>

namespace bearingdsp::capture_detail {

struct HeaderNumber {
  double value{};
  std::size_t length{};  ///< characters that belong to it
};

/// The number that a value begins with: "25600 Hz", "25,600 Hz", "25 600", "25'600.5", "25.600,5",
/// "12,8 kHz". decimal: of the file's columns. list: commas part values here, so none of them
/// groups digits or is a decimal sign. kilo: the unit is thousands, as kHz: "25,600" is then 25.6.
/// Three digits behind a comma, a blank or an apostrophe are a group; in a file with a decimal
/// comma, behind a point.
std::optional<HeaderNumber> header_number(std::string_view value, char decimal, bool list,
                                          bool kilo);

/// Whether a field is a whole number in groups of thousands, as "1,234" or "-12,345,678".
bool whole_in_groups(std::string_view field) noexcept;

}  // namespace bearingdsp::capture_detail
