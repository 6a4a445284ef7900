#include <string>
#include <utility>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/dataset/manifest.hpp"

namespace bearingdsp {

Result<std::vector<std::vector<std::string>>> parse_csv(std::string_view text,
                                                        const std::string& name) {
  if (text.substr(0, 3) == "\xef\xbb\xbf") text.remove_prefix(3);
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> row;
  std::string cell;
  bool quoted = false;
  bool was_quoted = false;
  std::size_t line = 1;
  std::size_t quote_line = 0;
  const auto end_cell = [&] {
    row.push_back(std::move(cell));
    cell.clear();
    was_quoted = false;
  };
  const auto end_row = [&] {
    const bool blank = row.empty() && cell.empty() && !was_quoted;
    end_cell();
    if (!blank) rows.push_back(std::move(row));
    row.clear();
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') ++line;
    if (quoted) {
      if (c != '"') {
        cell += c;
      } else if (i + 1 < text.size() && text[i + 1] == '"') {
        cell += '"';
        ++i;
      } else {
        quoted = false;
      }
    } else if (c == '"' && cell.empty()) {
      quoted = was_quoted = true;
      quote_line = line;
    } else if (c == ',') {
      end_cell();
    } else if (c == '\n') {
      end_row();
    } else if (c != '\r') {
      cell += c;
    }
  }
  if (quoted)
    return Error{Errc::corrupt_file, name + ":" + std::to_string(quote_line),
                 "a quote is opened here and not closed", "close it with \""};
  if (!row.empty() || !cell.empty() || was_quoted) end_row();
  return rows;
}

std::string csv_cell(std::string_view text) { return safe_text(text, Medium::csv); }

}  // namespace bearingdsp
