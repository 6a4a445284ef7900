#include "text_layout.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "time_axis.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// Rows looked at to find the layout.
constexpr std::size_t rows_wanted = 200;
/// Beyond this many columns a text file is not a recording.
constexpr std::size_t most_columns = 4096;
/// Steps of the first column this even make it time although no header says so.
constexpr double even_steps = 0.01;
constexpr std::size_t fewest_even_steps = 4;

struct Line {
  std::string_view text;
  std::size_t number;  // from 0
  bool comment;
};

struct Trial {
  char delimiter{};
  char decimal{};
  std::size_t columns{};
  std::size_t rows{};
  std::size_t first{};  // index into lines of the first row
};

bool number_like(std::string_view field, char decimal, bool stamp_allowed) noexcept {
  if (parse_number(field, decimal)) return true;
  return stamp_allowed && parse_stamp(field).has_value();
}

/// Columns of a line if it is a row of samples, else 0.
std::size_t row_columns(const std::vector<std::string_view>& fields, char decimal) noexcept {
  bool any = false;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    if (number_like(fields[i], decimal, i == 0)) {
      // "1." with a decimal comma is "1," cut from a list by blanks
      if (decimal == ',' && !fields[i].empty() && fields[i].back() == ',') return 0;
      any = true;
    } else if (!is_missing(fields[i])) {
      return 0;
    }
  }
  return any ? fields.size() : 0;
}

/// The commonest number of columns among the lines that are rows, and the first such line.
Trial attempt(const std::vector<Line>& lines, char delimiter, char decimal) {
  std::map<std::size_t, Trial> by_columns;
  std::vector<std::string_view> fields;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (is_comment(lines[i].text, delimiter)) continue;
    split(lines[i].text, delimiter, fields);
    const std::size_t columns = row_columns(fields, decimal);
    if (columns == 0) continue;
    Trial& t =
        by_columns.try_emplace(columns, Trial{delimiter, decimal, columns, 0, i}).first->second;
    ++t.rows;
  }
  Trial best{delimiter, decimal, 0, 0, 0};
  for (const auto& [columns, t] : by_columns) {
    if (t.rows >= best.rows) best = t;
  }
  return best;
}

/// "x [g]" -> "x", "g"; "accel m/s^2" -> "accel", "m/s^2".
std::pair<std::string, std::string> name_and_unit(std::string_view field) {
  field = trim(field);
  for (const auto& [open, close] : {std::pair{'[', ']'}, std::pair{'(', ')'}}) {
    const std::size_t a = field.find_last_of(open);
    const std::size_t b = field.find_last_of(close);
    if (a != std::string_view::npos && b != std::string_view::npos && b > a) {
      const std::string_view inner = trim(field.substr(a + 1, b - a - 1));
      const std::string_view before = trim(field.substr(0, a));
      const std::string low = lower(inner);
      constexpr std::array times{"s", "sec", "seconds", "ms", "us", "µs", "ns", "min"};
      const bool is_time = std::find(times.begin(), times.end(), low) != times.end();
      if (find_file_unit(inner) || is_time) return {std::string{before}, std::string{inner}};
    }
  }
  // Without brackets only units that are no words or letters in their own right.
  for (const char separator : {' ', ',', '_'}) {
    const std::size_t cut = field.find_last_of(separator);
    if (cut == std::string_view::npos || cut == 0) continue;
    const std::string_view unit = trim(field.substr(cut + 1));
    const std::string low = lower(unit);
    const bool clear = low == "g" || low == "s" || low == "ms" || low == "mv" || low == "um" ||
                       low.find('/') != std::string::npos;
    if (clear && (find_file_unit(unit) || low == "s" || low == "ms")) {
      return {std::string{trim(field.substr(0, cut))}, std::string{unit}};
    }
  }
  return {std::string{field}, {}};
}

double seconds_in(std::string_view unit) noexcept {
  const std::string low = lower(trim(unit));
  if (low == "ms") return 1e-3;
  if (low == "us" || low == "µs") return 1e-6;
  if (low == "ns") return 1e-9;
  if (low == "min") return 60;
  return 1;
}

bool time_name(std::string_view name) {
  const std::string key = lower(trim(name));
  constexpr std::array whole{"t",       "s",       "sec",    "seconds", "time",      "zeit",
                             "temps",   "tijd",    "tiempo", "tid",     "timestamp", "datetime",
                             "x_value", "x-value", "time_s", "time_ms", "t_s"};
  if (std::find(whole.begin(), whole.end(), key) != whole.end()) return true;
  return key.starts_with("time ") || key.starts_with("time(") || key.starts_with("time[") ||
         key.starts_with("time stamp") || key.starts_with("elapsed") || key.ends_with(" time");
}

bool index_name(std::string_view name) {
  const std::string key = lower(trim(name));
  constexpr std::array whole{"index", "sample", "samples", "n", "no", "no.", "#", "nr", "i", "row"};
  return std::find(whole.begin(), whole.end(), key) != whole.end();
}

/// Header names split by blanks: a unit in brackets belongs to the word before.
void join_brackets(std::string_view line, std::vector<std::string>& out) {
  std::vector<std::string_view> parts;
  split(line, ' ', parts);
  out.clear();
  for (const std::string_view part : parts) {
    const bool unit = !part.empty() && (part.front() == '(' || part.front() == '[');
    if (unit && !out.empty()) {
      out.back() += ' ';
      out.back() += part;
    } else {
      out.emplace_back(part);
    }
  }
}

/// "Sample rate: 25600 Hz", "Fs;25600", "# rpm = 1480", "Start 2024-05-01T06:00:00Z".
void take_metadata(std::string_view line, char decimal, TextLayout& layout) {
  while (!line.empty() && std::string_view{"#%;/*"}.find(line.front()) != std::string_view::npos) {
    line.remove_prefix(1);
  }
  line = trim(line);
  std::size_t cut = line.find_first_of(":=;\t,");
  if (cut == std::string_view::npos) cut = line.find_last_of(' ');
  if (cut == std::string_view::npos) return;
  std::string_view key = trim(line.substr(0, cut));
  std::string_view value = trim(line.substr(cut + 1));
  while (!value.empty() &&
         std::string_view{":=;,\t "}.find(value.front()) != std::string_view::npos) {
    value.remove_prefix(1);
  }
  std::string unit;
  if (const std::size_t a = key.find_first_of("(["); a != std::string_view::npos) {
    const std::size_t b = key.find_first_of(")]", a);
    if (b != std::string_view::npos) unit = std::string{trim(key.substr(a + 1, b - a - 1))};
    key = trim(key.substr(0, a));
  }
  const std::size_t end = value.find_first_of(" ;\t,", 0);
  std::string_view number = value.substr(0, decimal == ',' ? value.find_first_of(" ;\t") : end);
  std::size_t digits = 0;
  while (digits < number.size() &&
         std::string_view{"+-.,eE0123456789"}.find(number[digits]) != std::string_view::npos) {
    ++digits;
  }
  const std::string_view rest = trim(value.substr(digits));
  if (unit.empty() && !rest.empty()) {
    unit = std::string{trim(rest.substr(0, rest.find_first_of(" ;\t,")))};
    while (!unit.empty() && (unit.front() == '[' || unit.front() == '(')) unit.erase(0, 1);
    while (!unit.empty() && (unit.back() == ']' || unit.back() == ')')) unit.pop_back();
  }
  if (const auto v = parse_number(number.substr(0, digits), decimal)) {
    take_hint(layout.hint, key, *v, unit);
  }
  const std::string low = lower(key);
  if (!layout.start_utc && value.size() >= 20 && value.back() == 'Z' && parse_stamp(value) &&
      (low.find("start") != std::string::npos || low.find("date") != std::string::npos ||
       low.find("time") != std::string::npos)) {
    layout.start_utc = std::string{value};
  }
}

std::optional<double> field_number(std::string_view field, char decimal) {
  if (const auto v = parse_number(field, decimal)) return v;
  return parse_stamp(field);
}

std::optional<int> two_digits(std::string_view text, std::size_t at) noexcept {
  if (at + 2 > text.size()) return std::nullopt;
  const char a = text[at];
  const char b = text[at + 1];
  if (a < '0' || a > '9' || b < '0' || b > '9') return std::nullopt;
  return (a - '0') * 10 + (b - '0');
}

}  // namespace

void split(std::string_view line, char delimiter, std::vector<std::string_view>& fields) {
  fields.clear();
  const auto clean = [](std::string_view f) {
    f = trim(f);
    if (f.size() >= 2 && (f.front() == '"' || f.front() == '\'') && f.back() == f.front()) {
      f = trim(f.substr(1, f.size() - 2));
    }
    return f;
  };
  line = delimiter == '\t' ? line : trim(line);
  if (delimiter == ' ') {
    std::size_t at = 0;
    while (at < line.size()) {
      const std::size_t begin = line.find_first_not_of(" \t", at);
      if (begin == std::string_view::npos) break;
      std::size_t end = line.find_first_of(" \t", begin);
      if (end == std::string_view::npos) end = line.size();
      fields.push_back(clean(line.substr(begin, end - begin)));
      at = end;
    }
    return;
  }
  std::size_t at = 0;
  while (true) {
    std::size_t end = at;
    // A quoted field may hold the delimiter.
    const std::size_t begin = line.find_first_not_of(' ', at);
    if (begin != std::string_view::npos && line[begin] == '"') {
      const std::size_t close = line.find('"', begin + 1);
      if (close != std::string_view::npos) end = close + 1;
    }
    end = line.find(delimiter, end);
    if (end == std::string_view::npos) {
      fields.push_back(clean(line.substr(at)));
      return;
    }
    fields.push_back(clean(line.substr(at, end - at)));
    at = end + 1;
  }
}

bool is_missing(std::string_view field) noexcept {
  constexpr std::array words{"",        "nan",     "-nan",   "na",        "n/a",
                             "#n/a",    "null",    "none",   "-",         "--",
                             "inf",     "+inf",    "-inf",   "-nan(ind)", "infinity",
                             "1.#qnan", "-1.#ind", "1.#inf", "overload",  "ovl"};
  if (field.size() > 9) return false;
  std::array<char, 9> low{};
  for (std::size_t i = 0; i < field.size(); ++i) {
    const char c = field[i];
    low[i] = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  const std::string_view key{low.data(), field.size()};
  return std::any_of(words.begin(), words.end(), [&](const char* w) { return key == w; });
}

bool is_comment(std::string_view line, char delimiter) noexcept {
  line = trim(line);
  if (line.empty()) return true;
  if (line.front() == '#' || line.front() == '%') return true;
  if (line.substr(0, 2) == "//") return true;
  return line.front() == ';' && delimiter != ';';
}

std::optional<double> parse_stamp(std::string_view text) noexcept {
  text = trim(text);
  double day = 0;
  if (text.size() >= 11 && text[4] == text[7] && (text[4] == '-' || text[4] == '/') &&
      (text[10] == 'T' || text[10] == ' ')) {
    const auto century = two_digits(text, 0);
    const auto year = two_digits(text, 2);
    const auto month = two_digits(text, 5);
    const auto date = two_digits(text, 8);
    if (!century || !year || !month || !date || *month < 1 || *month > 12 || *date < 1 ||
        *date > 31) {
      return std::nullopt;
    }
    // Days since 1970-01-01 in the proleptic Gregorian calendar, year counted from March.
    const int m = *month;
    const int y = *century * 100 + *year - (m <= 2 ? 1 : 0);
    const int era = y / 400;
    const int of_era = y - era * 400;
    const int of_year = (153 * (m + (m > 2 ? -3 : 9)) + 2) / 5 + *date - 1;
    const int days = era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
    day = days;
    text.remove_prefix(11);
  }
  if (!text.empty() && text.back() == 'Z') text.remove_suffix(1);
  const auto hour = two_digits(text, 0);
  const auto minute = two_digits(text, 3);
  if (!hour || !minute || text[2] != ':' || *hour > 23 || *minute > 59) return std::nullopt;
  double second = 0;
  if (text.size() > 5) {
    const auto whole = two_digits(text, 6);
    if (text[5] != ':' || !whole || *whole > 60) return std::nullopt;
    second = *whole;
    if (text.size() > 8) {
      if (text[8] != '.' && text[8] != ',') return std::nullopt;
      double place = 0.1;
      for (std::size_t i = 9; i < text.size(); ++i, place /= 10) {
        if (text[i] < '0' || text[i] > '9') return std::nullopt;
        second += place * (text[i] - '0');
      }
    }
  } else if (text.size() != 5) {
    return std::nullopt;
  }
  return day * 86400.0 + *hour * 3600.0 + *minute * 60.0 + second;
}

Result<TextLayout> find_layout(std::string_view head, const std::string& name,
                               const ReadOptions& options) {
  TextLayout layout;
  if (head.find('\0') != std::string_view::npos) {
    return Error{Errc::unsupported_format, name, "is neither text nor a binary format we read",
                 "export it as WAV, CSV (UTF-8) or MAT"};
  }
  if (head.substr(0, 3) == "\xef\xbb\xbf") head.remove_prefix(3);
  if (head.find('\n') == std::string_view::npos && head.find('\r') != std::string_view::npos) {
    layout.end_of_line = '\r';
  }
  // All lines up to the first rows; comments are kept for what they say.
  std::vector<Line> lines;
  std::size_t number = 0;
  for (std::size_t at = 0; at < head.size() && lines.size() < 4 * rows_wanted; ++number) {
    std::size_t end = head.find(layout.end_of_line, at);
    if (end == std::string_view::npos) end = head.size();
    const std::string_view text = trim(head.substr(at, end - at));
    // Tabs at the ends part columns too.
    if (!text.empty()) lines.push_back({text, number, false});
    at = end + 1;
  }
  std::vector<Trial> trials;
  for (const char delimiter : {'\t', ';', ',', '|', ' ', ':'}) {
    if (options.delimiter != 0 ? options.delimiter != delimiter : delimiter == ':') continue;
    for (const char decimal : {'.', ','}) {
      if (decimal == delimiter) continue;
      if (options.decimal != 0 && options.decimal != decimal) continue;
      trials.push_back(attempt(lines, delimiter, decimal));
    }
  }
  const Trial* best = nullptr;
  for (const Trial& t : trials) {
    if (t.rows == 0) continue;
    const bool much_longer = best != nullptr && t.rows * 10 > best->rows * 11;
    const bool alike = best != nullptr && t.rows * 11 >= best->rows * 10;
    if (best == nullptr || much_longer || (alike && t.columns > best->columns)) best = &t;
  }
  if (best == nullptr) {
    const std::string_view first = lines.empty() ? std::string_view{} : lines.front().text;
    return Error{Errc::unsupported_format,
                 lines.empty() ? name : fmt::format("{}:{}", name, lines.front().number + 1),
                 lines.empty()
                     ? std::string{"holds no text"}
                     : fmt::format("no row of numbers found (first line: '{}')", excerpt(first)),
                 "export columns of numbers parted by comma, semicolon, tab or blanks"};
  }
  if (best->columns > most_columns) {
    return Error{Errc::unsupported_format,
                 fmt::format("{}:{}", name, lines[best->first].number + 1),
                 fmt::format("a row has {} columns", best->columns),
                 "export one row a sample, one column a channel"};
  }
  layout.delimiter = best->delimiter;
  layout.decimal = best->decimal;
  std::vector<std::string_view> fields;

  // Rows of "1,5": two columns of whole numbers, or one column with a decimal comma?
  if (layout.delimiter == ',' && best->columns == 2 && options.delimiter == 0 &&
      options.decimal == 0) {
    bool whole = true;
    bool leading_zero = false;
    bool counts = true;
    std::optional<double> before;
    for (std::size_t i = best->first; i < lines.size(); ++i) {
      split(lines[i].text, ',', fields);
      if (fields.size() != 2) continue;
      for (const std::string_view f : fields) {
        whole = whole && f.find_first_not_of("+-0123456789") == std::string_view::npos;
      }
      whole = whole && (fields[1].empty() || (fields[1][0] != '-' && fields[1][0] != '+'));
      leading_zero = leading_zero || (fields[1].size() > 1 && fields[1][0] == '0');
      const auto v = parse_number(fields[0]);
      counts = counts && v && (!before || *v == *before + 1);
      before = v;
    }
    std::vector<std::string_view> header;
    const bool two_names =
        best->first > 0 && (split(lines[best->first - 1].text, ',', header), header.size() == 2);
    if (whole && leading_zero && !two_names) {
      layout.delimiter = ' ';
      layout.decimal = ',';
    } else if (whole && !two_names && !counts) {
      return Error{Errc::bad_argument, fmt::format("{}:{}", name, lines[best->first].number + 1),
                   fmt::format("'{}' may be two columns or one number with a decimal comma",
                               excerpt(lines[best->first].text)),
                   "say which: give the delimiter or the decimal separator"};
    }
  }

  // The first row may carry extra fields (offsets, settings) behind the samples.
  std::size_t first = best->first;
  std::size_t columns = layout.delimiter == best->delimiter ? best->columns : 1;
  if (first > 0 && !is_comment(lines[first - 1].text, layout.delimiter)) {
    split(lines[first - 1].text, layout.delimiter, fields);
    if (row_columns(fields, layout.decimal) > columns) --first;
  }
  layout.skip_lines = lines[first].number;

  // Columns at the end that are empty in every row are a delimiter too many.
  std::vector<std::size_t> filled(columns, 0);
  std::vector<double> leading;
  for (std::size_t i = first; i < lines.size(); ++i) {
    if (is_comment(lines[i].text, layout.delimiter)) continue;
    split(lines[i].text, layout.delimiter, fields);
    for (std::size_t c = 0; c < std::min(columns, fields.size()); ++c) {
      if (!is_missing(fields[c])) ++filled[c];
    }
  }

  // Names and units: the last lines before the rows.
  std::vector<std::string> header;
  std::size_t header_line = first;
  std::vector<std::string> unit_row;
  const auto header_fields = [&](std::string_view text, std::vector<std::string>& out) {
    while (!text.empty() && (text.front() == '#' || text.front() == '%')) text.remove_prefix(1);
    out.clear();
    if (layout.delimiter == ' ') {
      join_brackets(text, out);
    } else {
      split(text, layout.delimiter, fields);
      for (const std::string_view f : fields) out.emplace_back(f);
    }
  };
  const auto looks_named = [&](const std::vector<std::string>& words) {
    if (words.size() != columns) return false;
    return std::any_of(words.begin(), words.end(), [&](const std::string& w) {
      return !w.empty() && !parse_number(w, layout.decimal);
    });
  };
  if (first > 0) {
    std::vector<std::string> words;
    header_fields(lines[first - 1].text, words);
    const auto is_unit = [](const std::string& w) {
      const std::string low = lower(trim(w));
      const std::string bare = low.size() >= 2 && (low.front() == '[' || low.front() == '(')
                                   ? low.substr(1, low.size() - 2)
                                   : low;
      return low.empty() || bare == "s" || bare == "sec" || bare == "ms" || bare == "us" ||
             find_file_unit(w).has_value();
    };
    if (looks_named(words)) {
      header_line = first - 1;
      std::vector<std::string> above;
      if (first > 1 && std::all_of(words.begin(), words.end(), is_unit)) {
        header_fields(lines[first - 2].text, above);
        if (looks_named(above)) {
          unit_row = words;
          words = above;
          header_line = first - 2;
        }
      }
      header = words;
    }
  }
  while (columns > 1 && filled[columns - 1] == 0 &&
         (header.size() < columns || header[columns - 1].empty())) {
    --columns;
  }
  layout.named = !header.empty();
  for (std::size_t c = 0; c < columns; ++c) {
    auto [column, unit] =
        c < header.size() ? name_and_unit(header[c]) : std::pair<std::string, std::string>{};
    if (c < unit_row.size() && !trim(unit_row[c]).empty()) {
      unit = std::string{trim(unit_row[c])};
      if (unit.size() >= 2 && (unit.front() == '[' || unit.front() == '(')) {
        unit = unit.substr(1, unit.size() - 2);
      }
    }
    layout.names.push_back(column.empty() ? fmt::format("column {}", c + 1) : excerpt(column));
    layout.units.push_back(unit);
  }
  for (std::size_t i = 0; i < first; ++i) {
    if (layout.notes.size() < 50) layout.notes.push_back(excerpt(lines[i].text));
    if (i < header_line) take_metadata(lines[i].text, layout.decimal, layout);
  }

  // Which column is time.
  const auto column_values = [&](std::size_t column) {
    std::vector<double> v;
    for (std::size_t i = first; i < lines.size() && v.size() < rows_wanted; ++i) {
      if (is_comment(lines[i].text, layout.delimiter)) continue;
      split(lines[i].text, layout.delimiter, fields);
      if (column >= fields.size()) break;
      const auto x = field_number(fields[column], layout.decimal);
      if (!x || !std::isfinite(*x)) break;
      v.push_back(*x);
    }
    return v;
  };
  if (!options.time_column.empty()) {
    if (options.time_column != "none") {
      auto chosen = choose(layout.names, {options.time_column}, "column", name);
      if (!chosen) return chosen.error();
      layout.time = chosen->front();
    }
  } else {
    for (std::size_t c = 0; c < columns && layout.named && !layout.time; ++c) {
      const std::string unit = lower(layout.units[c]);
      const bool time_unit = unit == "s" || unit == "ms" || unit == "us" || unit == "sec";
      if (time_name(layout.names[c]) || time_unit) layout.time = c;
    }
    leading = column_values(0);
    if (!layout.time && columns > 1 && leading.size() > fewest_even_steps) {
      std::vector<double> steps;
      for (std::size_t i = 1; i < leading.size(); ++i) steps.push_back(leading[i] - leading[i - 1]);
      const double mean = (leading.back() - leading.front()) / static_cast<double>(steps.size());
      const double slack = std::max(even_steps * mean, 1.05 * printed_resolution(leading));
      const bool even = mean > 0 && std::all_of(steps.begin(), steps.end(), [&](double d) {
                          return d > 0 && std::abs(d - mean) <= slack;
                        });
      if (even && (steps.front() == 1 || index_name(layout.names[0]))) {
        layout.index = 0;
      } else if (even) {
        layout.time = 0;
      }
    }
  }
  if (!layout.index && layout.named && layout.time != std::size_t{0} && columns > 1 &&
      index_name(layout.names[0])) {
    layout.index = 0;
  }
  if (layout.time) {
    layout.time_scale = seconds_in(layout.units[*layout.time]);
    const std::string low = lower(layout.names[*layout.time]);
    if (layout.units[*layout.time].empty() && low.ends_with("_ms")) layout.time_scale = 1e-3;
    for (std::size_t i = first; i < lines.size(); ++i) {
      if (is_comment(lines[i].text, layout.delimiter)) continue;
      split(lines[i].text, layout.delimiter, fields);
      if (*layout.time < fields.size() && !parse_number(fields[*layout.time], layout.decimal) &&
          parse_stamp(fields[*layout.time])) {
        layout.time_kind = TimeKind::stamp;
        const std::string_view stamp = fields[*layout.time];
        if (!layout.start_utc && stamp.size() >= 20 && stamp.back() == 'Z') {
          layout.start_utc = std::string{stamp};
          if ((*layout.start_utc)[10] == ' ') (*layout.start_utc)[10] = 'T';
        }
      }
      break;
    }
    leading = column_values(*layout.time);
    if (leading.size() > 1 && leading.back() > leading.front()) {
      layout.row_rate = static_cast<double>(leading.size() - 1) /
                        ((leading.back() - leading.front()) * layout.time_scale);
    }
  }
  return layout;
}

}  // namespace bearingdsp::capture_detail
