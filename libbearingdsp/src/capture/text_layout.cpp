#include "text_layout.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "header_number.hpp"
#include "other_unit.hpp"
#include "stamp.hpp"
#include "text_encoding.hpp"
#include "time_axis.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// Rows looked at to find the layout.
constexpr std::size_t rows_wanted = 200;
/// Beyond this many columns a text file is not a recording.
constexpr std::size_t max_columns = 4096;
/// Steps of the first column this even make it time although no header says so.
constexpr double even_steps = 0.01;
constexpr std::size_t fewest_even_steps = 4;
constexpr std::size_t fewest_worded_rows = 16;

struct Line {
  std::string_view text;
  std::size_t number;  // from 0
};

struct Trial {
  char delimiter{};
  char decimal{};
  std::size_t columns{};
  std::size_t rows{};
  std::size_t first{};  // index into lines of the first row
  bool words{};         // found with words allowed among the numbers
};

/// Clock and calendar stand in one of the first columns: behind a count, a date before its time.
constexpr std::size_t stamp_columns = 3;

bool number_like(std::string_view field, char decimal, bool stamp_allowed) noexcept {
  if (parse_number(field, decimal)) return true;
  return stamp_allowed && (parse_stamp(field) || parse_day(field));
}

/// Whether words may stand among the numbers of a row, as in a column that says "OK".
enum class Words : bool { none, allowed };

/// Columns of a line if it is a row of samples, else 0.
std::size_t row_columns(const std::vector<std::string_view>& fields, char decimal,
                        Words words = Words::none) noexcept {
  std::size_t numbers = 0;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    if (number_like(fields[i], decimal, i < stamp_columns)) {
      // "1." with a decimal comma is "1," cut from a list by blanks
      if (decimal == ',' && !fields[i].empty() && fields[i].back() == ',') return 0;
      ++numbers;
    } else if (words == Words::none && !is_missing(fields[i])) {
      return 0;
    }
  }
  return numbers > (words == Words::none ? 0U : 1U) ? fields.size() : 0;
}

/// The commonest number of columns among the lines that are rows, and the first such line.
Trial attempt(const std::vector<Line>& lines, char delimiter, char decimal, Words words) {
  std::map<std::size_t, Trial> by_columns;
  std::vector<std::string_view> fields;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (is_comment(lines[i].text, delimiter)) continue;
    split(lines[i].text, delimiter, fields);
    const std::size_t columns = row_columns(fields, decimal, words);
    if (columns == 0) continue;
    const Trial fresh{delimiter, decimal, columns, 0, i, words == Words::allowed};
    Trial& t = by_columns.try_emplace(columns, fresh).first->second;
    ++t.rows;
  }
  Trial best{delimiter, decimal, 0, 0, 0, false};
  for (const auto& [columns, t] : by_columns) {
    if (t.rows >= best.rows) best = t;
  }
  return best;
}

bool time_name(std::string_view name) {
  const std::string key = lower(trim(name));
  constexpr std::array whole{
      "t",           "s",         "sec",       "seconds",      "time",      "zeit",
      "temps",       "tijd",      "tiempo",    "tid",          "timestamp", "datetime",
      "x_value",     "x-value",   "time_s",    "time_ms",      "t_s",       "uhrzeit",
      "zeitstempel", "date time", "date/time", "datum uhrzeit"};
  if (std::find(whole.begin(), whole.end(), key) != whole.end()) return true;
  return key.starts_with("time ") || key.starts_with("time(") || key.starts_with("time[") ||
         key.starts_with("time stamp") || key.starts_with("elapsed") || key.ends_with(" time");
}

/// Headers of what goes along with a vibration where no unit tells.
bool companion_name(std::string_view name) {
  const std::string key = lower(trim(name));
  constexpr std::array whole{"rpm",         "speed_rpm",   "rpm_speed",        "drehzahl",
                             "temp",        "humidity",    "shaft speed",      "rotational speed",
                             "motor speed", "shaft_speed", "rotational_speed", "motor_speed"};
  if (std::find(whole.begin(), whole.end(), key) != whole.end()) return true;
  return key.starts_with("temperatur") || key.ends_with("temperature") ||
         key.starts_with("temp (") || key.starts_with("temp [") || key.starts_with("temp_");
}

/// "time /" and "acceleration in" of "time / ms" and "acceleration in g": the name alone.
std::string bare_name(std::string_view name) {
  name = trim(name);
  while (!name.empty() && name.back() == '/') name = trim(name.substr(0, name.size() - 1));
  if (name.ends_with(" in")) name = trim(name.substr(0, name.size() - 3));
  return std::string{name};
}

/// "x [g]" -> "x", "g"; "accel m/s^2" -> "accel", "m/s^2"; "t/ms" -> "t", "ms" (the form of ISO
/// 80000-1); "mm/s" -> "mm/s", "mm/s".
std::pair<std::string, std::string> name_and_unit(std::string_view field) {
  field = trim(field);
  const bool telling = lower(field) == "g" || field.find('/') != std::string_view::npos;
  if ((telling && find_file_unit(field)) || (seconds_in(field) && lower(field) != "min"))
    return {std::string{field}, std::string{field}};
  for (const auto& [open, close] : {std::pair{'[', ']'}, std::pair{'(', ')'}}) {
    const std::size_t a = field.find_last_of(open);
    const std::size_t b = field.find_last_of(close);
    if (a != std::string_view::npos && b != std::string_view::npos && b > a) {
      const std::string_view inner = trim(field.substr(a + 1, b - a - 1));
      const std::string_view before = trim(field.substr(0, a));
      if (find_file_unit(inner) || seconds_in(inner) || companion_unit(inner))
        return {bare_name(before), std::string{inner}};
    }
  }
  if (companion_unit(field)) return {std::string{field}, std::string{field}};
  // Without brackets only units that are no words or letters in their own right.
  for (const char separator : {' ', ',', '_'}) {
    const std::size_t cut = field.find_last_of(separator);
    if (cut == std::string_view::npos || cut == 0) continue;
    const std::string_view unit = trim(field.substr(cut + 1));
    const std::string low = lower(unit);
    const bool clear = low == "g" || low == "s" || low == "ms" || low == "us" || low == "mv" ||
                       low == "um" || low == "ms2" || low == "rpm" || low == "hz" ||
                       low.find('/') != std::string::npos;
    if (clear && (find_file_unit(unit) || seconds_in(unit) || companion_unit(unit))) {
      return {bare_name(field.substr(0, cut)), std::string{unit}};
    }
  }
  // "deg/s" is no time in seconds: only what is called time may be parted before one.
  if (const std::size_t slash = field.find('/'); slash != std::string_view::npos && slash > 0) {
    const std::string_view name = trim(field.substr(0, slash));
    const std::string_view unit = trim(field.substr(slash + 1));
    if (find_file_unit(unit) || companion_unit(unit) || (seconds_in(unit) && time_name(name)))
      return {std::string{name}, std::string{unit}};
  }
  return {std::string{field}, {}};
}

/// Seconds of one of a clock's units, identified by how many of them have passed since 1970: of
/// seconds there are some 1e9, of milliseconds 1e12 and so on. 1 for what is no such clock.
double since_1970(double value) noexcept {
  constexpr double from = 9e8;  // 1998
  constexpr double to = 9e9;    // 2255
  for (const double unit : {1e-3, 1e-6, 1e-9})
    if (value * unit > from && value * unit < to) return unit;
  return 1;
}

bool index_name(std::string_view name) {
  const std::string key = lower(trim(name));
  constexpr std::array whole{"index", "sample", "samples", "n", "no", "no.", "#", "nr", "i", "row"};
  return std::find(whole.begin(), whole.end(), key) != whole.end();
}

/// "[g]" or "(g)" -> "g".
std::string unbracketed(std::string_view word) {
  word = trim(word);
  if (word.size() >= 2 && (word.front() == '[' || word.front() == '('))
    word = trim(word.substr(1, word.size() - 2));
  return std::string{word};
}

/// Whether a row of the header says units: every word one or a dash, not all of them dashes.
bool are_units(const std::vector<std::string>& words) {
  bool any = false;
  for (const std::string& word : words) {
    const std::string bare = unbracketed(word);
    if (is_missing(bare)) continue;
    if (!seconds_in(bare) && !companion_unit(bare) && !find_file_unit(bare)) return false;
    any = true;
  }
  return any;
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
  if (cut == std::string_view::npos) {
    // "Sample rate 25 600 Hz": the number begins behind the first blank that a digit follows.
    cut = line.find(' ');
    while (cut != std::string_view::npos &&
           (cut + 1 >= line.size() || line[cut + 1] < '0' || line[cut + 1] > '9'))
      cut = line.find(' ', cut + 1);
  }
  if (cut == std::string_view::npos) return;
  const char separator = line[cut];
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
  if (value.starts_with('"')) value.remove_prefix(1);
  const bool kilo = lower(value).find("khz") != std::string::npos || lower(unit) == "khz";
  const auto number = header_number(value, decimal, separator == ',', kilo);
  const std::string_view rest = trim(value.substr(number ? number->length : 0));
  if (unit.empty() && !rest.empty()) {
    unit = std::string{trim(rest.substr(0, rest.find_first_of(" ;\t,\"")))};
    while (!unit.empty() && (unit.front() == '[' || unit.front() == '(')) unit.erase(0, 1);
    while (!unit.empty() && (unit.back() == ']' || unit.back() == ')')) unit.pop_back();
  }
  if (number) take_hint(layout.hint, key, number->value, unit);
  const std::string low = lower(key);
  const bool unit_key = low.ends_with("unit") || low.ends_with("units") || low.ends_with("einheit");
  if (unit_key && layout.unit.empty()) {
    if (find_file_unit(value) && !seconds_in(value)) layout.unit = std::string{value};
  }
  if (!layout.start_utc && value.size() >= 20 && value.back() == 'Z' && parse_stamp(value) &&
      (low.find("start") != std::string::npos || low.find("date") != std::string::npos ||
       low.find("time") != std::string::npos)) {
    layout.start_utc = std::string{value};
  }
}

std::optional<double> field_number(std::string_view field, char decimal) {
  if (const auto v = parse_number(field, decimal)) return v;
  const auto stamp = parse_stamp(field);
  if (!stamp) return std::nullopt;
  return 86400 * stamp->day.value_or(0) + stamp->seconds;
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

bool says_speed(std::string_view name, std::string_view unit) {
  const std::string u = lower(trim(unit));
  const std::string key = lower(trim(name));
  const auto called = [&](std::string_view word) { return key.find(word) != std::string::npos; };
  if (u == "hz")
    return called("speed") || called("shaft") || called("rotat") || called("drehzahl") ||
           called("tacho");
  return rpm_in(u) || (u.empty() && (called("rpm") || key == "drehzahl"));
}

bool is_missing(std::string_view field) noexcept {
  constexpr std::array words{"",        "nan",     "-nan",   "na",        "n/a",
                             "#n/a",    "null",    "none",   "-",         "--",
                             "inf",     "+inf",    "-inf",   "-nan(ind)", "infinity",
                             "1.#qnan", "-1.#ind", "1.#inf", "overload",  "ovl"};
  if (field.size() > 9) return false;
  std::array<char, 9> low{};
  for (std::size_t i = 0; i < field.size(); ++i) low[i] = lower(field[i]);
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

namespace {

/// Finds the layout step by step, each building on those before.
class LayoutFinder {
 public:
  LayoutFinder(std::string_view head, const std::string& name, const ReadOptions& options)
      : name_{name}, options_{options} {
    read_lines(head);
  }
  Result<TextLayout> find() {
    if (auto ok = find_signs(); !ok) return ok.error();
    if (auto ok = settle_commas(); !ok) return ok.error();
    settle_thousands();
    find_rows();
    find_names();
    if (auto ok = find_time(); !ok) return ok.error();
    measure_time();
    return std::move(layout_);
  }

 private:
  /// All lines up to the first rows; comments are kept for what they say.
  void read_lines(std::string_view head) {
    if (head.substr(0, 3) == "\xef\xbb\xbf") head.remove_prefix(3);
    if (head.find('\n') == std::string_view::npos && head.find('\r') != std::string_view::npos)
      layout_.end_of_line = '\r';
    std::size_t number = 0;
    for (std::size_t at = 0; at < head.size() && lines_.size() < 4 * rows_wanted; ++number) {
      std::size_t end = head.find(layout_.end_of_line, at);
      if (end == std::string_view::npos) end = head.size();
      const std::string_view text = trim(head.substr(at, end - at));
      if (!text.empty()) lines_.push_back({text, number});
      at = end + 1;
    }
  }

  std::optional<Trial> best_trial(Words words, char only) {
    std::optional<Trial> best;
    const bool quoted = std::any_of(lines_.begin(), lines_.end(), [](const Line& line) {
      return line.text.find('"') != std::string_view::npos;
    });
    for (const char delimiter : {'\t', ';', ',', '|', ' ', ':'}) {
      if (options_.delimiter != 0 ? options_.delimiter != delimiter : delimiter == ':') continue;
      if (words == Words::allowed && delimiter == ' ') continue;
      for (const char decimal : {'.', ','}) {
        // "0,5","1,5": the quotes keep the two commas apart.
        if (decimal == delimiter && !quoted) continue;
        if (only != 0 && only != decimal) continue;
        const Trial t = attempt(lines_, delimiter, decimal, words);
        if (t.rows == 0) continue;
        const bool much_longer = best && t.rows * 10 > best->rows * 11;
        const bool alike = best && t.rows * 11 >= best->rows * 10;
        if (!best || much_longer || (alike && t.columns > best->columns)) best = t;
      }
    }
    return best;
  }

  [[nodiscard]] std::string place(std::size_t line) const {
    return fmt::format("{}:{}", name_, lines_[line].number + 1);
  }

  /// Delimiter and decimal sign under which most lines are rows.
  Result<void> find_signs() {
    std::optional<Trial> best = best_trial(Words::none, options_.decimal);
    // If the decimal sign is known to be a point, commas may group digits.
    if (!best && options_.decimal == '.') best = grouped_trial();
    if (!best) best = best_trial(Words::allowed, options_.decimal);
    // A few lines of prose with numbers in them are no table.
    if (best && best->words && best->rows < fewest_worded_rows) best.reset();
    if (!best) {
      if (lines_.empty()) {
        return Error{Errc::unsupported_format, name_, "contains no text",
                     "export columns of numbers separated by comma, semicolon, tab or blanks"};
      }
      return Error{Errc::unsupported_format, place(0),
                   fmt::format("no row of numbers found (first line: '{}')",
                               excerpt(as_utf8(lines_.front().text))),
                   "export columns of numbers separated by comma, semicolon, tab or blanks"};
    }
    if (best->columns > max_columns) {
      return Error{Errc::unsupported_format, place(best->first),
                   fmt::format("a row has {} columns", best->columns),
                   "export one row per sample, one column per channel"};
    }
    layout_.delimiter = best->delimiter;
    layout_.decimal = best->decimal;
    first_ = best->first;
    columns_ = best->columns;
    worded_ = best->words;
    return {};
  }

  /// Rows of "1,5": two columns of whole numbers, or one column with a decimal comma?
  Result<void> settle_commas() {
    if (layout_.delimiter != ',' || columns_ != 2 || options_.delimiter != 0 ||
        options_.decimal != 0)
      return {};
    bool whole = true;
    bool leading_zero = false;
    bool counts = true;
    std::optional<double> before;
    for (std::size_t i = first_; i < lines_.size(); ++i) {
      split(lines_[i].text, ',', fields_);
      if (fields_.size() != 2) continue;
      for (const std::string_view f : fields_) {
        whole = whole && f.find_first_not_of("+-0123456789") == std::string_view::npos;
      }
      whole = whole && (fields_[1].empty() || (fields_[1][0] != '-' && fields_[1][0] != '+'));
      leading_zero = leading_zero || (fields_[1].size() > 1 && fields_[1][0] == '0');
      const auto v = parse_number(fields_[0]);
      counts = counts && v && (!before || *v == *before + 1);
      before = v;
    }
    const bool two_names =
        first_ > 0 && (split(lines_[first_ - 1].text, ',', fields_), fields_.size() == 2);
    if (whole && leading_zero && !two_names) {
      layout_.delimiter = ' ';
      layout_.decimal = ',';
      columns_ = 1;
    } else if (whole && !two_names && !counts) {
      return Error{Errc::bad_argument, place(first_),
                   fmt::format("'{}' can be two columns or one number with a decimal comma",
                               excerpt(lines_[first_].text)),
                   "give the delimiter or the decimal separator"};
    }
    return {};
  }

  /// "1,234" beside "234" in one column: groups of thousands, not a decimal comma. A decimal comma
  /// shows itself by another number of digits behind it, or by a 0 in front.
  void settle_thousands() {
    const bool found = layout_.decimal == ',' && options_.decimal == 0 && groups().beside_plain;
    if (found) layout_.decimal = '.';
    layout_.thousands = found || (layout_.decimal == '.' && layout_.delimiter != ',');
  }
  std::optional<Trial> grouped_trial() {
    auto trial = best_trial(Words::none, ',');
    if (!trial) return trial;
    layout_.delimiter = trial->delimiter;
    columns_ = trial->columns;
    first_ = trial->first;
    trial->decimal = '.';
    return groups().only ? trial : std::nullopt;
  }
  /// What commas do in the rows.
  struct Groups {
    bool only{};          ///< every number with a comma is whole and in groups of three
    bool beside_plain{};  ///< in a column that has numbers without one
  };
  Groups groups() {
    std::vector<std::pair<bool, bool>> seen(columns_);  // grouped, plain: by column
    for (std::size_t i = first_; i < lines_.size(); ++i) {
      if (is_comment(lines_[i].text, layout_.delimiter)) continue;
      split(lines_[i].text, layout_.delimiter, fields_);
      for (std::size_t c = 0; c < std::min(columns_, fields_.size()); ++c) {
        if (fields_[c].find(',') != std::string_view::npos) {
          if (!whole_in_groups(fields_[c])) return {};
          seen[c].first = true;
        } else if (const auto v = parse_number(fields_[c])) {
          if (std::abs(*v) >= 1000) return {};
          seen[c].second = true;
        }
      }
    }
    Groups out;
    for (const auto& [grouped, plain] : seen) {
      out.only = out.only || grouped;
      out.beside_plain = out.beside_plain || (grouped && plain);
    }
    return out;
  }

  void find_rows() {
    // The first row may carry extra fields (offsets, settings) behind the samples.
    if (first_ > 0 && !is_comment(lines_[first_ - 1].text, layout_.delimiter)) {
      split(lines_[first_ - 1].text, layout_.delimiter, fields_);
      const Words words = worded_ ? Words::allowed : Words::none;
      if (row_columns(fields_, layout_.decimal, words) > columns_) --first_;
    }
    layout_.skip_lines = lines_[first_].number;
  }

  std::vector<std::string> header_fields(std::string_view text) {
    while (!text.empty() && (text.front() == '#' || text.front() == '%')) text.remove_prefix(1);
    std::vector<std::string> words;
    if (layout_.delimiter == ' ') {
      join_brackets(text, words);
    } else {
      split(text, layout_.delimiter, fields_);
      words.assign(fields_.begin(), fields_.end());
    }
    return words;
  }
  [[nodiscard]] bool looks_named(const std::vector<std::string>& words) const {
    if (words.size() != columns_) return false;
    return std::any_of(words.begin(), words.end(), [&](const std::string& w) {
      return !w.empty() && !parse_number(w, layout_.decimal);
    });
  }

  /// Names and units: the last lines before the rows; what stands above are settings.
  void find_names() {
    std::vector<std::string> header;
    std::vector<std::string> unit_row;
    std::size_t header_line = first_;
    if (first_ > 0) {
      std::vector<std::string> words = header_fields(lines_[first_ - 1].text);
      if (looks_named(words)) {
        header_line = first_ - 1;
        if (first_ > 1 && are_units(words)) {
          std::vector<std::string> above = header_fields(lines_[first_ - 2].text);
          if (looks_named(above)) {
            unit_row = std::move(words);
            words = std::move(above);
            header_line = first_ - 2;
          }
        }
        header = std::move(words);
      }
    }
    drop_empty_columns(header);
    layout_.named = !header.empty();
    for (std::size_t c = 0; c < columns_; ++c) {
      auto [column, unit] =
          c < header.size() ? name_and_unit(header[c]) : std::pair<std::string, std::string>{};
      if (c < unit_row.size() && !is_missing(unbracketed(unit_row[c])))
        unit = unbracketed(unit_row[c]);
      layout_.companion.push_back(companion_unit(unit) || (unit.empty() && companion_name(column)));
      layout_.names.push_back(column.empty() ? fmt::format("column {}", c + 1)
                                             : excerpt(as_utf8(column)));
      layout_.units.push_back(as_utf8(unit));
    }
    for (std::size_t i = 0; i < first_; ++i) {
      if (layout_.notes.size() < 50) layout_.notes.push_back(excerpt(as_utf8(lines_[i].text)));
      if (i < header_line) take_metadata(lines_[i].text, layout_.decimal, layout_);
    }
  }

  /// Columns at the end that are empty in every row are a delimiter too many.
  void drop_empty_columns(const std::vector<std::string>& header) {
    std::vector<std::size_t> filled(columns_, 0);
    for (std::size_t i = first_; i < lines_.size(); ++i) {
      if (is_comment(lines_[i].text, layout_.delimiter)) continue;
      split(lines_[i].text, layout_.delimiter, fields_);
      for (std::size_t c = 0; c < std::min(columns_, fields_.size()); ++c) {
        if (!is_missing(fields_[c])) ++filled[c];
      }
    }
    while (columns_ > 1 && filled[columns_ - 1] == 0 &&
           (header.size() < columns_ || header[columns_ - 1].empty())) {
      --columns_;
    }
  }

  /// The first values of a column, as far as they are numbers or stamps.
  std::vector<double> column_values(std::size_t column) {
    std::vector<double> v;
    for (std::size_t i = first_; i < lines_.size() && v.size() < rows_wanted; ++i) {
      if (is_comment(lines_[i].text, layout_.delimiter)) continue;
      split(lines_[i].text, layout_.delimiter, fields_);
      if (column >= fields_.size()) break;
      const auto x = field_number(fields_[column], layout_.decimal);
      if (!x || !std::isfinite(*x)) break;
      v.push_back(*x);
    }
    return v;
  }
  /// The field of the first row; empty where it has none.
  std::string_view first_field(std::size_t column) {
    split(lines_[first_].text, layout_.delimiter, fields_);
    return column < fields_.size() ? fields_[column] : std::string_view{};
  }
  bool stamped(std::size_t column) {
    const std::string_view field = first_field(column);
    return !parse_number(field, layout_.decimal) && parse_stamp(field).has_value();
  }

  /// Which column is time, and which only count or hold the day.
  Result<void> find_time() {
    layout_.aside.assign(columns_, false);
    for (std::size_t c = 0; c < columns_; ++c) {
      const std::string_view field = first_field(c);
      layout_.aside[c] =
          c < stamp_columns && parse_day(field)
              ? true
              : worded_ && !is_missing(field) && !number_like(field, layout_.decimal, true);
    }
    if (options_.time_column.empty()) {
      find_time_unasked();
    } else if (options_.time_column != "none") {
      auto chosen = choose(layout_.names, {options_.time_column}, "column", name_);
      if (!chosen) return chosen.error();
      layout_.time = chosen->front();
    }
    if (layout_.named && layout_.time != std::size_t{0} && columns_ > 1 &&
        index_name(layout_.names[0])) {
      layout_.aside[0] = true;
    }
    return {};
  }

  /// By its name or unit, by stamps, or by the even steps of the first column.
  void find_time_unasked() {
    for (std::size_t c = 0; c < columns_ && layout_.named && !layout_.time; ++c) {
      if (layout_.aside[c]) continue;
      if (time_name(layout_.names[c]) || seconds_in(layout_.units[c])) layout_.time = c;
    }
    for (std::size_t c = 0; c < std::min(columns_, stamp_columns) && !layout_.time; ++c)
      if (stamped(c)) layout_.time = c;
    const std::vector<double> leading = column_values(0);
    if (layout_.time || columns_ == 1 || leading.size() <= fewest_even_steps) return;
    std::vector<double> steps;
    for (std::size_t i = 1; i < leading.size(); ++i) steps.push_back(leading[i] - leading[i - 1]);
    const double mean = (leading.back() - leading.front()) / static_cast<double>(steps.size());
    const double slack = std::max(even_steps * mean, 1.05 * printed_resolution(leading));
    const bool even = mean > 0 && std::all_of(steps.begin(), steps.end(), [&](double d) {
                        return d > 0 && std::abs(d - mean) <= slack;
                      });
    if (even && (steps.front() == 1 || index_name(layout_.names[0]))) {
      layout_.aside[0] = true;
    } else if (even) {
      layout_.time = 0;
    }
  }

  /// What the column of time says: its unit, its kind, the start and a first rate.
  void measure_time() {
    if (!layout_.time) return;
    const std::size_t column = *layout_.time;
    layout_.time_scale = seconds_in(layout_.units[column]).value_or(1);
    if (layout_.units[column].empty() && lower(layout_.names[column]).ends_with("_ms"))
      layout_.time_scale = 1e-3;
    const auto first = parse_number(first_field(column), layout_.decimal);
    if (layout_.units[column].empty() && first) layout_.time_scale *= since_1970(*first);
    if (stamped(column)) {
      layout_.time_kind = TimeKind::stamp;
      const std::string_view stamp = first_field(column);
      if (!layout_.start_utc && stamp.size() >= 20 && stamp.back() == 'Z' && stamp[4] == '-') {
        layout_.start_utc = std::string{stamp};
        (*layout_.start_utc)[10] = 'T';
      }
    }
    const std::vector<double> leading = column_values(column);
    if (leading.size() > 1 && leading.back() > leading.front()) {
      layout_.row_rate = static_cast<double>(leading.size() - 1) /
                         ((leading.back() - leading.front()) * layout_.time_scale);
    }
  }

  const std::string& name_;
  const ReadOptions& options_;
  TextLayout layout_;
  std::vector<Line> lines_;
  std::vector<std::string_view> fields_;
  std::size_t first_{};  ///< of lines_: the first row
  std::size_t columns_{};
  bool worded_{};  ///< some columns hold words
};

}  // namespace

Result<TextLayout> find_layout(std::string_view head, const std::string& name,
                               const ReadOptions& options) {
  if (head.find('\0') != std::string_view::npos) {
    return Error{Errc::unsupported_format, name, "is neither text nor a known binary format",
                 "export it as WAV, CSV (UTF-8) or MAT"};
  }
  return LayoutFinder{head, name, options}.find();
}

}  // namespace bearingdsp::capture_detail
