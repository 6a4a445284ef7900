#include "bearing/naming.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/core/letters.hpp"

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

bool is_separate(std::string_view text, std::string_view group) {
  return std::any_of(text.begin(), text.end(), is_digit) || (group == "closure" && text.size() > 1);
}

std::vector<Suffix> read_suffixes() {
  auto rows = table::built_in(data::designation_suffixes, "designation suffixes",
                              [](const table::Cells& r) {
                                return Suffix{r.text("suffix"),
                                              types_named(r["types"]),
                                              r.text("group"),
                                              r.text("value"),
                                              r.text("meaning"),
                                              r["same_inside"] == "yes",
                                              is_separate(r["suffix"], r["group"])};
                              });
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
  static const auto rows =
      table::built_in(data::designation_series, "designation series", [](const table::Cells& r) {
        const std::string_view traits = r["traits"];
        return Series{
            r.text("letters"),          r.text("series"),           type_named(r["type"]),
            r.text("dimension_series"), r.text("detail"),           r.text("inside_of"),
            r.text("suffix"),           traits == "floats",         traits == "full complement",
            traits == "other number",   traits == "offered by size"};
      });
  return rows;
}

}  // namespace bearingdsp::naming
