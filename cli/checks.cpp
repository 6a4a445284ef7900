#include "checks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <optional>
#include <string_view>

#include "bearingdsp/core/letters.hpp"

namespace cli {
namespace {

std::optional<double> number_in(const std::string& text) {
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, code] = std::from_chars(text.data(), end, value);
  if (code != std::errc{} || stop != end) return std::nullopt;
  return value;
}

bool all_figures(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), bearingdsp::is_digit);
}

/// "1,466,000" without its commas; nothing if they do not separate thousands.
std::optional<std::string> without_thousands(std::string_view text) {
  std::string plain;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(',', at), text.size());
    const std::string_view group = text.substr(at, end - at);
    const bool fits = at == 0 ? group.size() <= 3 && !group.starts_with('0') : group.size() == 3;
    if (!fits || !all_figures(group)) return std::nullopt;
    plain += group;
    at = end + 1;
  }
  return plain;
}

/// "48" of "48k", "48 kHz".
std::optional<double> thousands_in(std::string text) {
  text = CLI::detail::to_lower(text);
  if (text.ends_with("hz")) text.resize(text.size() - 2);
  if (!text.ends_with('k')) return std::nullopt;
  text.pop_back();
  while (text.ends_with(' ')) text.pop_back();
  return number_in(text);
}

/// How a number should have been written that was written another way.
std::string as_number(const std::string& text) {
  if (const auto plain = without_thousands(text)) return "write " + *plain;
  if (const auto thousands = thousands_in(text)) return fmt::format("write {}", 1000 * *thousands);
  std::string pointed = text;
  if (std::count(text.begin(), text.end(), ',') == 1) pointed[text.find(',')] = '.';
  if (pointed != text && number_in(pointed)) return "write " + pointed;
  return "write it like 1480 or 24.7";
}

std::string no_number(const std::string& text) {
  return fmt::format("'{}' is not a number ({})", text, as_number(text));
}

}  // namespace

CLI::Validator between(double lowest, double highest) {
  return {[lowest, highest](std::string& text) -> std::string {
            const auto value = number_in(text);
            if (!value) return no_number(text);
            if (*value >= lowest && *value <= highest) return {};
            return fmt::format("{} is not between {} and {}", text, lowest, highest);
          },
          ""};
}

CLI::Validator sampling_rate() {
  return {[](std::string& text) -> std::string {
            if (const auto thousands = thousands_in(text))
              text = fmt::format("{}", 1000 * *thousands);
            return number_in(text) ? std::string{} : no_number(text);
          },
          ""};
}

CLI::Validator whole_between(int lowest, int highest) {
  return {[lowest, highest](std::string& text) -> std::string {
            const auto value = number_in(text);
            if (value && *value >= lowest && *value <= highest &&
                static_cast<double>(static_cast<int>(*value)) == *value)
              return {};
            return fmt::format("'{}' is not a whole number between {} and {}", text, lowest,
                               highest);
          },
          ""};
}

CLI::Validator one_word_of(std::vector<std::pair<std::string, int>> words) {
  return {[words = std::move(words)](std::string& text) -> std::string {
            std::string known;
            for (std::size_t i = 0; i < words.size(); ++i) {
              if (CLI::detail::to_lower(text) == CLI::detail::to_lower(words[i].first)) {
                text = std::to_string(words[i].second);
                return {};
              }
              known += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + words[i].first;
            }
            return fmt::format("'{}' is not {}", text, known);
          },
          ""};
}

std::string in_plain_words(const std::string& message) {
  const std::string start = "Could not convert: ";
  const std::size_t parted = message.find(" = ");
  if (message.rfind(start, 0) != 0 || parted == std::string::npos) return message;
  return message.substr(start.size(), parted - start.size()) + ": " +
         no_number(message.substr(parted + 3));
}

}  // namespace cli
