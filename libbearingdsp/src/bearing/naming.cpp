#include "bearing/naming.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp::naming {
namespace {

// The data files are part of the build and a test reads each row, so value() does not throw here.

BearingType type_named(std::string_view word) {
  if (const auto type = from_token<BearingType>(word)) return *type;
  throw BadResult{Error{Errc::internal, "naming tables", "unknown type " + std::string{word}, ""}};
}

std::vector<BearingType> types_named(std::string_view list) {
  std::vector<BearingType> types;
  if (list == "any") return types;
  while (!list.empty()) {
    const auto end = std::min(list.find(';'), list.size());
    types.push_back(type_named(list.substr(0, end)));
    list.remove_prefix(std::min(end + 1, list.size()));
  }
  return types;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }

bool is_separate(std::string_view text, std::string_view group) {
  return std::any_of(text.begin(), text.end(), is_digit) || (group == "closure" && text.size() > 1);
}

std::vector<Suffix> read_suffixes() {
  const auto t =
      table::read(data::designation_suffixes, "designation suffixes",
                  {"suffix", "types", "group", "value", "meaning", "same_inside", "seen"})
          .value();
  std::vector<Suffix> rows;
  for (const auto& r : t.rows)
    rows.push_back({std::string{t.field(r, "suffix")}, types_named(t.field(r, "types")),
                    std::string{t.field(r, "group")}, std::string{t.field(r, "value")},
                    std::string{t.field(r, "meaning")}, t.field(r, "same_inside") == "yes",
                    is_separate(t.field(r, "suffix"), t.field(r, "group"))});
  std::stable_sort(rows.begin(), rows.end(), [](const Suffix& a, const Suffix& b) {
    return !a.types.empty() && b.types.empty();
  });
  return rows;
}

using ByFirst = std::array<std::vector<const Suffix*>, 128>;

ByFirst sorted_by_first() {
  ByFirst rows;
  for (const Suffix& s : suffixes())
    if (const auto c = static_cast<unsigned char>(s.text.empty() ? '\0' : s.text[0]);
        c < rows.size())
      rows[c].push_back(&s);
  return rows;
}

std::vector<Series> read_series() {
  const auto t = table::read(data::designation_series, "designation series",
                             {"letters", "series", "type", "dimension_series", "detail",
                              "inside_of", "suffix", "traits"})
                     .value();
  std::vector<Series> rows;
  for (const auto& r : t.rows) {
    const std::string_view traits = t.field(r, "traits");
    rows.push_back({std::string{t.field(r, "letters")}, std::string{t.field(r, "series")},
                    type_named(t.field(r, "type")), std::string{t.field(r, "dimension_series")},
                    std::string{t.field(r, "detail")}, std::string{t.field(r, "inside_of")},
                    std::string{t.field(r, "suffix")}, traits == "floats",
                    traits == "full complement", traits == "other number",
                    traits == "offered by size"});
  }
  return rows;
}

}  // namespace

const std::vector<Suffix>& suffixes() {
  static const std::vector<Suffix> rows = read_suffixes();
  return rows;
}

const std::vector<const Suffix*>& suffixes_from(char first) {
  static const ByFirst rows = sorted_by_first();
  const auto c = static_cast<unsigned char>(first);
  return rows[c < rows.size() ? c : 0];
}

const std::vector<Series>& series() {
  static const std::vector<Series> rows = read_series();
  return rows;
}

}  // namespace bearingdsp::naming
