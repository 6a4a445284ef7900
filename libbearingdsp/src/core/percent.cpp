#include "bearingdsp/core/percent.hpp"

#include <fmt/format.h>

#include <cmath>

namespace bearingdsp {

std::string percent(double probability) {
  if (!std::isfinite(probability)) return "-";
  if (probability > 0.99) return "> 99 %";
  if (probability < 0.01) return "< 1 %";
  return fmt::format("{:.0f} %", 100.0 * probability);
}

}  // namespace bearingdsp
