#include "bearing/type_and_bore.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {
namespace {

/// Lower-case words; only letters, digits and the decimal point belong to one.
std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words(1);
  for (const char c : text) {
    if (is_letter(c) || is_digit(c) || c == '.')
      words.back() += lower(c);
    else if (!words.back().empty())
      words.emplace_back();
  }
  if (words.back().empty()) words.pop_back();
  return words;
}

/// "45", "45mm"
std::optional<double> millimetres(const std::string& word) {
  double value = 0;
  const char* end = word.data() + word.size();
  const auto [stop, code] = std::from_chars(word.data(), end, value);
  if (code != std::errc{} || (stop != end && std::string_view{stop} != "mm")) return std::nullopt;
  return value;
}

std::string joined(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, " "));
}

std::string without_elements(std::string text) {
  for (const std::string_view last : {" ball", " roller"})
    if (text.ends_with(last)) return text.substr(0, text.size() - last.size());
  return text;
}

std::optional<BearingType> type_of(const std::string& wanted) {
  if (wanted == "ball") return BearingType::deep_groove_ball;
  if (wanted == "roller") return BearingType::cylindrical_roller;
  std::vector<BearingType> beginning;
  for (int i = 0; i < bearing_type_count; ++i) {
    const auto type = static_cast<BearingType>(i);
    const std::string known = joined(words_of(token(type)));
    if (wanted == known || wanted == without_elements(known)) return type;
    if (known.starts_with(wanted)) beginning.push_back(type);
  }
  return beginning.size() == 1 ? std::optional{beginning.front()} : std::nullopt;
}

std::string known_types() {
  std::string text;
  for (int i = 0; i < bearing_type_count; ++i)
    text += (i == 0 ? "" : ", ") + std::string{token(static_cast<BearingType>(i))};
  return text;
}

Error refuse(std::string what, std::string advice) {
  return {Errc::bad_argument, "bearing", std::move(what), std::move(advice)};
}

}  // namespace

std::optional<Result<TypeAndBore>> find_type_and_bore(std::string_view text) {
  constexpr std::size_t longest = 80;  // no such description is longer
  if (text.size() > longest) return std::nullopt;
  auto words = words_of(text);
  if (std::find(words.begin(), words.end(), "bore") == words.end()) return std::nullopt;
  std::optional<double> bore;
  std::vector<std::string> of_type;
  for (const std::string& word : words) {
    if (const auto value = millimetres(word); value && !bore)
      bore = value;
    else if (word != "bore" && word != "mm" && word != "bearing" && word != "bearings")
      of_type.push_back(word);
  }
  if (!bore || !(*bore > 0 && *bore <= 2000))
    return Result<TypeAndBore>{refuse(fmt::format("'{}' has no valid bore", text),
                                      "write type and bore in mm, like \"deep groove, bore 45\"")};
  const auto type = type_of(joined(of_type));
  if (!type)
    return Result<TypeAndBore>{refuse(fmt::format("'{}' is not a type of bearing", joined(of_type)),
                                      "give one of: " + known_types())};
  return Result<TypeAndBore>{TypeAndBore{*type, *bore}};
}

}  // namespace bearingdsp
