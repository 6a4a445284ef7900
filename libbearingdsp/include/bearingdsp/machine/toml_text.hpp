#pragma once
/// Text of TOML files as a person would write it, added to what is there.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace bearingdsp {

/// The text as a TOML string, in quotes.
/// Source: TOML 1.0.0, basic strings
[[nodiscard]] std::string toml_string(std::string_view text);
/// A number with the fewest digits that read back to it, without a locale.
[[nodiscard]] std::string toml_number(double value);

/// Lines of one table. What is empty is left out.
class TomlLines {
 public:
  explicit TomlLines(std::string_view head) : text_{std::string{head} + "\n"} {}
  void add(std::string_view key, const std::string& value);
  void add(std::string_view key, std::optional<double> value);
  /// One as a text, several as a list.
  void add(std::string_view key, const std::vector<std::string>& values);
  /// The right side as it is.
  void add_raw(std::string_view key, std::string_view value);
  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  std::string text_;
};

/// The text with a table behind it, a blank line between; every byte of the text stays. Where it
/// ends within a line, that line is ended.
[[nodiscard]] std::string with_table(std::string_view text, std::string_view table);
/// The text with `key` of the top level set to a string, in its line where there is one, else
/// before the first table. All other lines stay as they are, with their comments.
[[nodiscard]] std::string with_key(std::string_view text, std::string_view key,
                                   std::string_view value);

}  // namespace bearingdsp
