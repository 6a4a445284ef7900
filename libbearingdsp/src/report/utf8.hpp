#pragma once
/// UTF-8 as a terminal sees it.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace bearingdsp {

/// safe_text() for a terminal.
[[nodiscard]] std::string printable(std::string_view text);
/// Text padded with blanks to the given columns, on the left for numbers.
[[nodiscard]] std::string padded(std::string_view text, std::size_t columns, bool to_the_right);
/// Lines of at most `columns`, broken at blanks; a longer word is cut. At least one line.
[[nodiscard]] std::vector<std::string> wrapped(std::string_view text, std::size_t columns);

}  // namespace bearingdsp
