#pragma once
/// Keys of a TOML table, each read once, with errors that name line and key. What is wrong is
/// collected, not thrown: one pass over a file finds all its faults.
#include <fmt/format.h>

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#include <toml++/toml.h>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// The text as a table; an error of its own where it is not TOML. Errors: corrupt_file
[[nodiscard]] Result<toml::table> parse_toml(std::string_view text, std::string_view where);

class TomlReader {
 public:
  /// `what` names the kind of table in errors ("a machine"). Table, errors and file outlive this.
  TomlReader(const toml::table& table, std::string_view what, std::string_view file,
             std::vector<Error>& errors)
      : table_{table}, what_{what}, file_{file}, errors_{errors} {}

  [[nodiscard]] std::string text(std::string_view key);
  [[nodiscard]] std::string required_text(std::string_view key);
  /// A string or an array of strings.
  [[nodiscard]] std::vector<std::string> texts(std::string_view key);
  [[nodiscard]] std::optional<bool> flag(std::string_view key);
  /// A finite number in [low, high].
  [[nodiscard]] std::optional<double> number(std::string_view key, double low, double high);
  [[nodiscard]] std::optional<int> whole(std::string_view key, int low, int high);
  /// As many numbers as `count`, each in [low, high]; empty if the key is absent or wrong.
  [[nodiscard]] std::vector<double> numbers(std::string_view key, std::size_t count, double low,
                                            double high);
  /// A quantity in [low, high] of its unit.
  template <class Q>
  [[nodiscard]] std::optional<Q> quantity(std::string_view key, double low, double high) {
    const auto v = number(key, low, high);
    return v ? std::optional<Q>{Q{*v}} : std::nullopt;
  }
  /// One of the words; the first is also what an absent key means.
  template <class E, std::size_t N>
  [[nodiscard]] E choice(std::string_view key,
                         const std::array<std::pair<std::string_view, E>, N>& words, E otherwise) {
    const std::string given = text(key);
    if (given.empty()) return otherwise;
    return word(key, given, words, otherwise);
  }
  template <class E, std::size_t N>
  [[nodiscard]] E word(std::string_view key, const std::string& given,
                       const std::array<std::pair<std::string_view, E>, N>& words, E otherwise) {
    std::vector<std::string> known;
    for (const auto& [spelling, value] : words) {
      if (same_word(spelling, given)) return value;
      known.emplace_back(spelling);
    }
    unknown_word(key, given, known);
    return otherwise;
  }
  [[nodiscard]] const toml::table* table(std::string_view key);
  /// The tables of [[key]].
  [[nodiscard]] std::vector<const toml::table*> tables(std::string_view key);

  [[nodiscard]] bool has(std::string_view key) const { return table_.contains(key); }
  /// "file:line" of the key, of the table where the key is absent.
  [[nodiscard]] std::string place(std::string_view key = {}) const;
  void fail(std::string_view key, std::string what, std::string advice);
  /// Complains of every key that nobody asked for.
  void finish();

 private:
  [[nodiscard]] const toml::node* take(std::string_view key);
  [[nodiscard]] std::optional<double> in_range(std::string_view key, const toml::node& node,
                                               double low, double high);
  [[nodiscard]] static bool same_word(std::string_view a, std::string_view b);
  void unknown_word(std::string_view key, const std::string& given,
                    const std::vector<std::string>& known);

  const toml::table& table_;
  std::string_view what_, file_;
  std::vector<Error>& errors_;
  std::vector<std::string> known_;
};

}  // namespace bearingdsp
