#include "bearing/table.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>

#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/core/near_miss.hpp"

namespace bearingdsp::table {
namespace {

std::string_view trimmed(std::string_view s) {
  const auto first = s.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  return s.substr(first, s.find_last_not_of(" \t\r") - first + 1);
}

/// Splits one line; nullopt if a quote is not closed.
std::optional<std::vector<std::string>> split(std::string_view line) {
  std::vector<std::string> fields;
  std::size_t i = 0;
  for (;;) {
    while (i < line.size() && (line[i] == ' ' || line[i] == '\t')) ++i;
    std::string field;
    if (i < line.size() && line[i] == '"') {
      ++i;
      for (;; ++i) {
        if (i >= line.size()) return std::nullopt;
        if (line[i] != '"') {
          field += line[i];
        } else if (i + 1 < line.size() && line[i + 1] == '"') {
          field += '"';
          ++i;
        } else {
          ++i;
          break;
        }
      }
    }
    const auto end = std::min(line.find(',', i), line.size());
    field += trimmed(line.substr(i, end - i));
    fields.push_back(std::move(field));
    if (end >= line.size()) return fields;
    i = end + 1;
  }
}

}  // namespace

std::optional<std::size_t> Table::column(std::string_view name) const {
  const auto it = std::find(columns.begin(), columns.end(), name);
  if (it == columns.end()) return std::nullopt;
  return static_cast<std::size_t>(it - columns.begin());
}

std::string_view Table::field(const Row& row, std::string_view name) const {
  const auto i = column(name);
  return i && *i < row.fields.size() ? std::string_view{row.fields[*i]} : std::string_view{};
}

Result<double> Table::number(const Row& row, std::string_view name) const {
  const auto text = field(row, name);
  double value = 0;
  const auto [end, ec] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty()) return error(row, name, "is empty", "give a number");
  if (ec != std::errc{} || end != text.data() + text.size())
    return error(row, name, fmt::format("'{}' is not a number", text), "write it like 7.94");
  return value;
}

Error Table::error(const Row& row, std::string_view name, std::string what,
                   std::string advice) const {
  return {Errc::corrupt_file, fmt::format("{}:{}", where, row.line),
          fmt::format("{}: {}", name, what), std::move(advice)};
}

std::string_view Cells::operator[](std::string_view column) const {
  const std::size_t i = table_.column(column).value();
  return i < row_.fields.size() ? std::string_view{row_.fields[i]} : std::string_view{};
}

std::optional<double> Cells::number_if(std::string_view column) const {
  return (*this)[column].empty() ? std::nullopt : std::optional{number(column)};
}

Result<Table> read(std::string_view text, std::string_view where,
                   const std::vector<std::string>& known) {
  Table t;
  t.where = where;
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  std::size_t number = 0;
  while (!text.empty()) {
    ++number;
    const auto end = std::min(text.find('\n'), text.size());
    const auto line = trimmed(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    if (line.empty() || line.front() == '#') continue;
    Row row{number, {}};
    const auto bad = [&](std::string what, std::string advice) {
      return Error{Errc::corrupt_file, fmt::format("{}:{}", where, number), std::move(what),
                   std::move(advice)};
    };
    auto fields = split(line);
    if (!fields) return bad("a quote is not closed", "end the field with \"");
    row.fields = std::move(*fields);
    if (!t.columns.empty()) {
      if (row.fields.size() > t.columns.size())
        return bad(fmt::format("{} fields under {} columns", row.fields.size(), t.columns.size()),
                   "put text with commas in quotes");
      t.rows.push_back(std::move(row));
      continue;
    }
    for (auto& f : row.fields) {
      auto name = lower(std::move(f));
      if (!known.empty() && std::find(known.begin(), known.end(), name) == known.end())
        return bad(
            fmt::format("unknown column '{}'", name),
            did_you_mean(name, known, fmt::format("the columns are {}", fmt::join(known, ", "))));
      if (t.column(name)) return bad(fmt::format("column '{}' comes twice", name), "remove one");
      t.columns.push_back(std::move(name));
    }
  }
  if (t.columns.empty())
    return Error{Errc::corrupt_file, std::string{where}, "has no line of column names",
                 fmt::format("begin with {}", fmt::join(known, ","))};
  return t;
}

}  // namespace bearingdsp::table
