// Whatever bytes a file name or cell holds, an error stays one line, and no medium that it is shown
// in is steered by it.
#include <cstddef>
#include <cstdint>
#include <string>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "invariants.hpp"

namespace {

using bearingdsp::Medium;
using bearingdsp::safe_text;

/// C0, DEL, C1 in UTF-8, and bytes that begin no character.
bool steers(const std::string& text, bool table) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto u = static_cast<unsigned char>(text[i]);
    const bool kept = table && (u == '\t' || u == '\r' || u == '\n');
    if ((u < 0x20 && !kept) || u == 0x7f || u == 0xff) return true;
    if (u == 0xc2 && i + 1 < text.size() && static_cast<unsigned char>(text[i + 1]) < 0xa0)
      return true;
  }
  return false;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes{data, data + size};
  const std::size_t third = size / 3;
  const bearingdsp::Error error{bearingdsp::Errc::io, bytes.substr(0, third),
                                bytes.substr(third, third), bytes.substr(2 * third)};
  const std::string line = error.message();
  fuzz::require(line.size() >= size);
  fuzz::require(!steers(line, false));
  const std::string plain = safe_text(bytes, Medium::terminal);
  fuzz::require(safe_text(plain, Medium::terminal) == plain);
  fuzz::require(!steers(safe_text(bytes, Medium::markdown), false));
  const std::string page = safe_text(bytes, Medium::html);
  fuzz::require(!steers(page, false) && page.find_first_of("<>\"'") == std::string::npos);
  // Read back by a reader of CSV, written again: the same cell, and never a formula.
  const std::string cell = safe_text(bytes, Medium::csv);
  fuzz::require(!steers(cell, true));
  const auto rows = bearingdsp::parse_csv("x," + cell + "\n", "a.csv");
  fuzz::require(rows.has_value() && rows->size() == 1 && rows->front().size() == 2);
  const std::string& shown = rows->front().back();
  fuzz::require(shown.empty() || std::string{"=+-@\t\r"}.find(shown.front()) == std::string::npos);
  fuzz::require(safe_text(bearingdsp::csv_content(shown), Medium::csv) == cell);
  return 0;
}
