#include "bearingdsp/bearing/element_counts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace bearingdsp {

std::vector<ElementCounts> element_counts_for(Order impacts, const ModelParameters& model) {
  const double q = impacts.value();
  if (!(q > 0) || !std::isfinite(q))
    throw std::invalid_argument{"element_counts_for: impacts per revolution must be above zero"};
  constexpr double fewest = 6;
  constexpr double most = 40;
  const double thin = model.unknown.min_fill * std::numbers::pi;
  const double full = model.unknown.max_fill * std::numbers::pi;
  // Slip moves an order by as much as a bearing with a little more or less room.
  const double play = 2 * q * model.slip.spread;
  std::vector<ElementCounts> out;
  const auto add = [&](Part ring, double low, double high) {
    const int min = static_cast<int>(std::ceil(std::max(low - play, fewest)));
    const int max = static_cast<int>(std::floor(std::min(high + play, most)));
    if (min <= max) out.push_back({ring, min, max});
  };
  add(Part::outer_ring, 2 * q + thin, 2 * q + full);
  add(Part::inner_ring, 2 * q - full, 2 * q - thin);
  return out;
}

std::string words_of(const std::vector<ElementCounts>& counts) {
  std::string text;
  for (const ElementCounts& c : counts) {
    const bool first = text.empty();
    text +=
        fmt::format("{}the {} ring of {} with ", first ? "" : ", or ",
                    c.ring == Part::inner_ring ? "inner" : "outer", first ? "a bearing" : "one");
    text += c.min == c.max       ? fmt::format("{}", c.min)
            : c.max == c.min + 1 ? fmt::format("{} or {}", c.min, c.max)
                                 : fmt::format("{} to {}", c.min, c.max);
    if (first) text += " elements";
  }
  return text;
}

}  // namespace bearingdsp
