#include "bearingdsp/replacement/grease_mixing.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

struct MixRow {
  std::string one, other;
  GreaseMix mix;
};

const std::vector<MixRow>& mix_rows() {
  static const auto all = table::built_in(
      data::grease_compatibility, "grease compatibility", [](const table::Cells& r) {
        return MixRow{r.text("thickener"), r.text("with"),
                      from_token<GreaseMix>(r["mix"]).value_or(GreaseMix::incompatible)};
      });
  return all;
}

std::string plain_thickener(std::string_view word) {
  std::string plain;
  for (const char c : word) plain += c == '-' || c == '_' ? ' ' : lower(c);
  for (const auto& [other, ours] :
       {std::pair{"bentonite", "clay"}, std::pair{"aluminum", "aluminium"}})
    if (const auto at = plain.find(other); at != std::string::npos)
      plain.replace(at, std::string_view{other}.size(), ours);
  return plain;
}

}  // namespace

std::string_view token(GreaseMix mix) noexcept {
  constexpr std::array<std::string_view, 3> names{"compatible", "borderline", "incompatible"};
  return names.at(static_cast<std::size_t>(mix));
}

const std::vector<std::string>& thickeners() {
  static const std::vector<std::string> all = [] {
    std::vector<std::string> list;
    for (const MixRow& r : mix_rows())
      for (const std::string& word : {r.one, r.other})
        if (std::find(list.begin(), list.end(), word) == list.end()) list.push_back(word);
    return list;
  }();
  return all;
}

Result<std::string> thickener(std::string_view word) {
  const std::string plain = plain_thickener(word);
  const auto& known = thickeners();
  if (std::find(known.begin(), known.end(), plain) != known.end()) return plain;
  return Error{Errc::not_found, fmt::format("thickener '{}'", word.substr(0, 40)),
               "is not in the table of greases",
               fmt::format("give one of: {}", fmt::join(known, ", "))};
}

std::string thickener_in(std::string_view words) {
  const std::string plain = plain_thickener(words);
  std::string longest;
  for (const std::string& t : thickeners())
    if (plain.find(t) != std::string::npos && t.size() > longest.size()) longest = t;
  for (const std::string& t : thickeners())
    if (plain.find(t) != std::string::npos && longest.find(t) == std::string::npos) return "";
  return longest;
}

Result<GreaseMix> grease_mix(std::string_view one, std::string_view other) {
  const auto a = thickener(one);
  if (!a) return a.error();
  const auto b = thickener(other);
  if (!b) return b.error();
  for (const MixRow& r : mix_rows())
    if ((r.one == *a && r.other == *b) || (r.one == *b && r.other == *a)) return r.mix;
  return Error{Errc::not_found, fmt::format("{} and {} grease", *a, *b),
               "the table has no entry for this pair", "ask the manufacturer of the grease"};
}

}  // namespace bearingdsp
