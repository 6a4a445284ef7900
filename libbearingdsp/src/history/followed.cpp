#include "bearingdsp/history/followed.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t first_part = indicator_count + shaft_orders;

char plain(char c) { return c == '-' || c == '_' ? ' ' : lower(c); }

bool same_word(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](char x, char y) { return plain(x) == plain(y); });
}

constexpr std::array other_names{
    std::pair{std::string_view{"high frequency"}, Followed::high_band},
    std::pair{std::string_view{"floor"}, Followed::floor},
    std::pair{std::string_view{"crest"}, Followed::crest_factor},
};

}  // namespace

std::optional<Indicator> indicator_of(Followed what) noexcept {
  const auto i = static_cast<std::size_t>(what);
  return i < indicator_count ? std::optional{static_cast<Indicator>(i)} : std::nullopt;
}

std::optional<Part> part_of(Followed what) noexcept {
  const auto i = static_cast<std::size_t>(what);
  return i < first_part ? std::nullopt : std::optional{static_cast<Part>(i - first_part)};
}

std::string_view token(Followed what) noexcept {
  if (const auto indicator = indicator_of(what)) return token(*indicator);
  switch (what) {
    case Followed::shaft_1x:
      return "1x";
    case Followed::shaft_2x:
      return "2x";
    case Followed::shaft_3x:
      return "3x";
    case Followed::outer_ring:
      return "BPFO";
    case Followed::inner_ring:
      return "BPFI";
    case Followed::rolling_element:
      return "BSF";
    default:
      return "FTF";
  }
}

std::optional<Followed> followed_named(std::string_view word) noexcept {
  for (std::size_t i = 0; i < followed_count; ++i) {
    const auto what = static_cast<Followed>(i);
    if (same_word(word, token(what))) return what;
    if (const auto part = part_of(what); part && same_word(word, token(*part))) return what;
  }
  for (const auto& [other, what] : other_names)
    if (same_word(word, other)) return what;
  return std::nullopt;
}

std::optional<double> value_of(Followed what, const Levels& levels,
                               const std::array<double, part_count>& strength) {
  if (const auto indicator = indicator_of(what)) return levels.at(*indicator);
  const auto i = static_cast<std::size_t>(what);
  if (i < first_part) return levels.shaft.at(i - indicator_count);
  return strength.at(i - first_part);
}

}  // namespace bearingdsp
