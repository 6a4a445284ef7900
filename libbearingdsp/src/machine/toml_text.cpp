#include "bearingdsp/machine/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>

#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {
namespace {

std::string_view without_blanks(std::string_view line) {
  while (!line.empty() && (line.front() == ' ' || line.front() == '\t')) line.remove_prefix(1);
  return line;
}

/// Where a string in quotes ends that begins the text; npos if it does not.
std::size_t end_of_string(std::string_view text) {
  if (text.empty() || (text.front() != '"' && text.front() != '\'')) return std::string_view::npos;
  const char quote = text.front();
  for (std::size_t i = 1; i < text.size(); ++i) {
    if (quote == '"' && text[i] == '\\') {
      ++i;
      continue;
    }
    if (text[i] == quote) return i + 1;
  }
  return std::string_view::npos;
}

/// Of a line "key = value": where the value begins; npos for any other line.
std::size_t value_of(std::string_view line, std::string_view key) {
  const std::string_view words = without_blanks(line);
  if (!words.starts_with(key)) return std::string_view::npos;
  std::string_view rest = without_blanks(words.substr(key.size()));
  if (!rest.starts_with('=')) return std::string_view::npos;
  rest = without_blanks(rest.substr(1));
  return static_cast<std::size_t>(rest.data() - line.data());
}

}  // namespace

std::string toml_string(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto code = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\')
      out += std::string{'\\', c};
    else if (code < 0x20 || code == 0x7F)
      out += fmt::format("\\u{:04X}", code);
    else
      out += c;
  }
  return out + "\"";
}

std::string toml_number(double value) { return fmt::format("{}", value); }

void TomlLines::add_raw(std::string_view key, std::string_view value) {
  text_ += fmt::format("{} = {}\n", key, value);
}

void TomlLines::add(std::string_view key, const std::string& value) {
  if (!value.empty()) add_raw(key, toml_string(value));
}

void TomlLines::add(std::string_view key, std::optional<double> value) {
  if (value) add_raw(key, toml_number(*value));
}

void TomlLines::add(std::string_view key, const std::vector<std::string>& values) {
  if (values.size() == 1) return add(key, values.front());
  if (values.empty()) return;
  std::string list;
  for (const std::string& v : values) add_part(list, toml_string(v));
  add_raw(key, "[" + list + "]");
}

std::string with_table(std::string_view text, std::string_view table) {
  std::string out{text};
  if (!out.empty() && out.back() != '\n') out += '\n';
  if (!out.empty()) out += '\n';
  return out + std::string{table};
}

std::string with_key(std::string_view text, std::string_view key, std::string_view value) {
  std::string out{text};
  std::size_t tables = std::string::npos;  // where the first of them begins
  for (std::size_t at = 0; at < out.size();) {
    const std::size_t end = std::min(out.find('\n', at), out.size());
    const std::string_view line{out.data() + at, end - at};
    if (without_blanks(line).starts_with('[')) {
      tables = at;
      break;
    }
    if (const std::size_t from = value_of(line, key); from != std::string_view::npos) {
      const std::size_t length = end_of_string(line.substr(from));
      if (length != std::string_view::npos)
        return out.replace(at + from, length, toml_string(value));
    }
    at = end + 1;
  }
  const std::string line = fmt::format("{} = {}\n", key, toml_string(value));
  if (tables != std::string::npos) return out.insert(tables, line + "\n");
  if (!out.empty() && out.back() != '\n') out += '\n';
  return out + line;
}

}  // namespace bearingdsp
