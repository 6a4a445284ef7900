#pragma once
/// Days and clocks as recorders and spreadsheets write them.
#include <optional>
#include <string_view>

namespace bearingdsp::capture_detail {

/// Days since 1970-01-01 of "2024-05-01", "2024/05/01", "01.05.2024" or "05/01/2024"; nothing for
/// any other text.
std::optional<double> parse_day(std::string_view text) noexcept;
struct Stamp {
  std::optional<double> day;  ///< since 1970-01-01, where the text says it
  double seconds{};           ///< since midnight
};
/// A day and a clock ("2024-05-01T06:00:00.25Z"; T or blank between, a zone is passed over) or a
/// clock alone ("06:00:00,25", "6:00:00 PM", "00:12.5" of minutes); nothing for any other text.
std::optional<Stamp> parse_stamp(std::string_view text) noexcept;

}  // namespace bearingdsp::capture_detail
