#pragma once
/// Pages that are printed on one sheet of A4 and written on by hand: the job card, the summary.
#include <string>
#include <string_view>

namespace bearingdsp {

/// The whole page: title in its head, and a body of `body`. `style` goes behind that of all sheets.
/// Without script; it may load nothing.
/// Shape: UTF-8; body is markup, title is text
[[nodiscard]] std::string sheet_page(std::string_view title, std::string_view style,
                                     std::string_view body);

}  // namespace bearingdsp
