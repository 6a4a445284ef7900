#include "checks.hpp"

#include <fmt/format.h>

#include <charconv>
#include <optional>

namespace cli {
namespace {

std::optional<double> number_in(const std::string& text) {
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, code] = std::from_chars(text.data(), end, value);
  if (code != std::errc{} || stop != end) return std::nullopt;
  return value;
}

std::string no_number(const std::string& text) {
  return fmt::format("'{}' is not a number (write it like 1480 or 24.7)", text);
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
