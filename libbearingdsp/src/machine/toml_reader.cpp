#include "machine/toml_reader.hpp"

#include <algorithm>
#include <cmath>

#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "machine/same_name.hpp"

namespace bearingdsp {
namespace {

std::string kind_of(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::string:
      return "text";
    case toml::node_type::integer:
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "true or false";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::table:
      return "a table";
    default:
      return "a date or time";
  }
}

std::string in_words(const std::vector<std::string>& list) {
  std::string text;
  for (std::size_t i = 0; i < list.size(); ++i)
    text += (i == 0 ? "" : i + 1 < list.size() ? ", " : " or ") + list[i];
  return text;
}

/// Index of the last character of the string that begins at `begin`, in any of TOML's four quotes.
/// A string without an end reaches to the end of its line, or of the text.
std::size_t end_of_string(std::string_view text, std::size_t begin) {
  const char quote = text[begin];
  const auto quoted = [&](std::size_t i) { return i < text.size() && text[i] == quote; };
  const bool lines = quoted(begin + 1) && quoted(begin + 2);
  if (!lines && quoted(begin + 1)) return begin + 1;
  for (std::size_t i = begin + (lines ? 3 : 1); i < text.size(); ++i) {
    if (text[i] == '\\' && quote == '"') {
      ++i;
    } else if (!lines && text[i] == '\n') {
      return i - 1;
    } else if (quoted(i) && (!lines || (quoted(i + 1) && quoted(i + 2)))) {
      if (!lines) return i;
      i += 2;
      for (int more = 0; more < 2 && quoted(i + 1); ++more) ++i;  // that belong to the string
      return i;
    }
  }
  return text.size() - 1;
}

constexpr int max_parts = 16;  // our longest key has three: bearing.DE.designation

/// Line of the first dotted key with more parts; 0: none. Each part is a table in a table: the
/// parser's limit of nested values does not count them, and thousands overflow the stack.
std::size_t line_of_long_key(std::string_view text) {
  std::size_t line = 1;
  int parts = 1;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '#') i = std::min(text.find('\n', i), text.size() - 1);
    if (text[i] == '"' || text[i] == '\'') {
      const std::size_t end = end_of_string(text, i);
      line += static_cast<std::size_t>(std::count(&text[i], &text[end], '\n'));
      i = end;
    } else if (text[i] == '.') {
      if (++parts > max_parts) return line;
    } else if (std::string_view{",[]{}=\n"}.find(text[i]) != std::string_view::npos) {
      parts = 1;
      if (text[i] == '\n') ++line;
    }
  }
  return 0;
}

/// Whether a name can begin after "[" or "[[" of a table; "]" is left to the parser.
bool begins_name(std::string_view rest) {
  const auto first = rest.find_first_not_of(" \t");
  if (first == std::string_view::npos) return false;
  const char c = rest[first];
  return is_letter(c) || is_digit(c) ||
         std::string_view{"_-\"']"}.find(c) != std::string_view::npos;
}

/// Line of the first "[" of a table without a name after it; 0: none. The parser's behaviour is
/// undefined there.
std::size_t line_of_nameless_table(std::string_view text) {
  std::size_t line = 1;
  int depth = 0;         // of lists and tables in values
  bool at_start = true;  // of a line
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '#') i = text.find('\n', i);
    if (i == std::string_view::npos) break;  // a comment ends the file
    const char c = text[i];
    if (c == '"' || c == '\'') {
      const std::size_t end = end_of_string(text, i);
      line += static_cast<std::size_t>(std::count(&text[i], &text[end], '\n'));
      i = end;
    } else if (c == '\n') {
      ++line;
      at_start = true;
      continue;
    } else if (c == '[' && at_start && depth == 0) {
      std::string_view rest = text.substr(i + 1, text.find('\n', i) - i - 1);
      if (rest.starts_with('[')) rest.remove_prefix(1);
      if (!begins_name(rest)) return line;
      if (text.substr(i + 1).starts_with('[')) ++i;
    } else if (c == '[' || c == '{') {
      ++depth;
    } else if (c == ']' || c == '}') {
      depth = std::max(0, depth - 1);
    }
    at_start = at_start && (c == ' ' || c == '\t' || c == '\r');
  }
  return 0;
}

}  // namespace

Result<toml::table> parse_toml(std::string_view text, std::string_view where) {
  if (const std::size_t line = line_of_nameless_table(text); line != 0)
    return Error{Errc::corrupt_file, fmt::format("{}:{}", where, line),
                 "'[' is not followed by the name of a table",
                 "write [[machine]], or key = value lines; text goes in double quotes"};
  if (const std::size_t line = line_of_long_key(text); line != 0)
    return Error{Errc::corrupt_file, fmt::format("{}:{}", where, line),
                 fmt::format("a key has more than {} parts between dots", max_parts),
                 "write key = value lines; text goes in double quotes"};
  toml::parse_result parsed = toml::parse(text);
  if (parsed) return std::move(parsed).table();
  const auto& error = parsed.error();
  return Error{Errc::corrupt_file, fmt::format("{}:{}", where, error.source().begin.line),
               fmt::format("is not TOML: {}", error.description()),
               "write key = value lines; text goes in double quotes"};
}

std::string TomlReader::place(std::string_view key) const {
  const toml::node* node = key.empty() ? nullptr : table_.get(key);
  const auto line = (node != nullptr ? node->source() : table_.source()).begin.line;
  return line == 0 ? std::string{file_} : fmt::format("{}:{}", file_, line);
}

void TomlReader::fail(std::string_view key, std::string what, std::string advice) {
  errors_.push_back({Errc::corrupt_file, place(key),
                     key.empty() ? std::move(what) : fmt::format("{}: {}", key, what),
                     std::move(advice)});
}

const toml::node* TomlReader::take(std::string_view key) {
  known_.emplace_back(key);
  return table_.get(key);
}

bool TomlReader::same_word(std::string_view a, std::string_view b) { return same_name(a, b); }

void TomlReader::unknown_word(std::string_view key, const std::string& given,
                              const std::vector<std::string>& known) {
  fail(key, fmt::format("'{}' is not known", given),
       did_you_mean(given, known, "write " + in_words(known)));
}

std::string TomlReader::text(std::string_view key) {
  const toml::node* node = take(key);
  if (node == nullptr) return {};
  const auto value = node->value_exact<std::string>();
  if (!value) {
    fail(key, "is " + kind_of(*node), "write text in double quotes");
    return {};
  }
  return *value;
}

std::string TomlReader::required_text(std::string_view key) {
  const std::size_t before = errors_.size();
  std::string value = text(key);
  if (value.empty() && errors_.size() == before)
    fail({}, fmt::format("{} has no {}", what_, key), fmt::format("add {} = \"...\"", key));
  return value;
}

std::vector<std::string> TomlReader::texts(std::string_view key) {
  const toml::node* node = take(key);
  if (node == nullptr) return {};
  const toml::array* list = node->as_array();
  if (list == nullptr) {
    if (const auto one = node->value_exact<std::string>()) return {*one};
    fail(key, "is " + kind_of(*node), "write text in double quotes, or a list of it in [ ]");
    return {};
  }
  std::vector<std::string> values;
  for (const toml::node& item : *list) {
    const auto value = item.value_exact<std::string>();
    if (!value) {
      fail(key, "holds " + kind_of(item), "write each item in double quotes");
      return {};
    }
    values.push_back(*value);
  }
  return values;
}

std::optional<bool> TomlReader::flag(std::string_view key) {
  const toml::node* node = take(key);
  if (node == nullptr) return std::nullopt;
  const auto value = node->value_exact<bool>();
  if (!value) fail(key, "is " + kind_of(*node), "write true or false, without quotes");
  return value;
}

std::optional<double> TomlReader::in_range(std::string_view key, const toml::node& node, double low,
                                           double high) {
  if (!node.is_number()) {
    fail(key, "is " + kind_of(node), "write a number without quotes or unit");
    return std::nullopt;
  }
  const double value = node.value<double>().value_or(std::nan(""));
  if (value >= low && value <= high) return value;
  fail(key, fmt::format("{} is not between {} and {}", value, low, high), "check the number");
  return std::nullopt;
}

std::optional<double> TomlReader::number(std::string_view key, double low, double high) {
  const toml::node* node = take(key);
  return node == nullptr ? std::nullopt : in_range(key, *node, low, high);
}

std::optional<int> TomlReader::whole(std::string_view key, int low, int high) {
  const auto value = number(key, low, high);
  if (!value) return std::nullopt;
  if (*value != std::floor(*value)) {
    fail(key, fmt::format("{} is not a whole number", *value), "check the number");
    return std::nullopt;
  }
  return static_cast<int>(*value);
}

std::vector<double> TomlReader::numbers(std::string_view key, std::size_t count, double low,
                                        double high) {
  const toml::node* node = take(key);
  if (node == nullptr) return {};
  const toml::array* list = node->as_array();
  if (list == nullptr || list->size() != count) {
    fail(key, "is not a list of " + std::to_string(count) + " numbers",
         fmt::format("write {} = [a, b ...]", key));
    return {};
  }
  std::vector<double> values;
  for (const toml::node& item : *list) {
    const auto value = in_range(key, item, low, high);
    if (!value) return {};
    values.push_back(*value);
  }
  return values;
}

const toml::table* TomlReader::table(std::string_view key) {
  const toml::node* node = take(key);
  if (node == nullptr) return nullptr;
  if (node->is_table()) return node->as_table();
  fail(key, "is " + kind_of(*node), fmt::format("write it as a table [ ... {}]", key));
  return nullptr;
}

std::vector<const toml::table*> TomlReader::tables(std::string_view key) {
  const toml::node* node = take(key);
  if (node == nullptr) return {};
  std::vector<const toml::table*> list;
  if (const toml::array* array = node->as_array())
    for (const toml::node& item : *array)
      if (item.is_table()) list.push_back(item.as_table());
  if (list.empty()) fail(key, "is not a list of tables", fmt::format("write [[{}]]", key));
  return list;
}

void TomlReader::finish() {
  for (const auto& [key, node] : table_) {
    const std::string_view word = key.str();
    if (std::find(known_.begin(), known_.end(), word) != known_.end()) continue;
    errors_.push_back({Errc::corrupt_file, fmt::format("{}:{}", file_, key.source().begin.line),
                       fmt::format("'{}' is not a key of {}", word, what_),
                       did_you_mean(word, known_, "the keys are: " + in_words(known_))});
  }
}

}  // namespace bearingdsp
