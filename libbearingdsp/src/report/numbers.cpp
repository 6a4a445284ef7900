#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "sections.hpp"

namespace bearingdsp {

std::string significant(double value, int digits) {
  if (!std::isfinite(value)) return "-";
  digits = std::clamp(digits, 1, 15);
  if (value == 0) return "0";
  // The decimal exponent after rounding to the digits asked for: 0.9996 with 3 digits is 1.00.
  std::string scientific = fmt::format("{:.{}e}", value, digits - 1);
  const auto mark = scientific.find('e');
  int exponent = 0;
  const bool negative = scientific[mark + 1] == '-';
  for (std::size_t i = mark + 2; i < scientific.size(); ++i)
    exponent = 10 * exponent + (scientific[i] - '0');
  if (negative) exponent = -exponent;
  if (exponent < -4 || exponent >= 7) return scientific;
  return fmt::format("{:.{}f}", value, std::max(0, digits - 1 - exponent));
}

std::string signed_tenths(double value) {
  const std::string text = fmt::format("{:+.1f}", value);
  return text == "-0.0" || text == "+0.0" ? "0.0" : text;
}

std::string odds(double log10_probability) {
  if (!std::isfinite(log10_probability)) return "-";
  if (log10_probability < -6) return "< 1 in 10⁶";
  const double one_in = std::pow(10.0, -log10_probability);
  if (one_in < 1.01) return "> 99 %";
  if (one_in < 10) return percent(1.0 / one_in);
  // Two digits are all that odds can claim.
  const double unit = std::pow(10.0, std::floor(std::log10(one_in)) - 1);
  return fmt::format("1 in {:.0f}", std::round(one_in / unit) * unit);
}

}  // namespace bearingdsp
