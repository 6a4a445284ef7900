#include "other_unit.hpp"

#include <algorithm>
#include <array>
#include <span>
#include <string>

#include "reader.hpp"

namespace bearingdsp::capture_detail {
namespace {

struct Scaled {
  std::string_view unit;
  double factor;
};

std::optional<double> factor_of(std::string_view unit, std::span<const Scaled> units) {
  const std::string low = lower(trim(unit));
  for (const Scaled& u : units)
    if (u.unit == low) return u.factor;
  return std::nullopt;
}

}  // namespace

std::optional<double> seconds_in(std::string_view unit) {
  constexpr std::array times{Scaled{"s", 1},      Scaled{"sec", 1},     Scaled{"secs", 1},
                             Scaled{"second", 1}, Scaled{"seconds", 1}, Scaled{"sek", 1},
                             Scaled{"ms", 1e-3},  Scaled{"msec", 1e-3}, Scaled{"us", 1e-6},
                             Scaled{"µs", 1e-6},  Scaled{"μs", 1e-6},   Scaled{"ns", 1e-9},
                             Scaled{"min", 60}};
  return factor_of(unit, times);
}

std::optional<double> rpm_in(std::string_view unit) {
  constexpr std::array speeds{Scaled{"rpm", 1},     Scaled{"1/min", 1}, Scaled{"min-1", 1},
                              Scaled{"min^-1", 1},  Scaled{"u/min", 1}, Scaled{"r/min", 1},
                              Scaled{"rev/min", 1}, Scaled{"hz", 60}};
  return factor_of(unit, speeds);
}

bool companion_unit(std::string_view unit) {
  // "\xb0\x63" is "°c" in Latin-1.
  constexpr std::array units{"°c", "degc", "deg c", "\xb0\x63", "°f",  "degf", "deg f",
                             "ma", "kw",   "bar",   "mbar",     "kpa", "psi",  "nm",
                             "kn", "%",    "%rh",   "l/min",    "m3/h"};
  const std::string low = lower(trim(unit));
  return rpm_in(unit) || std::find(units.begin(), units.end(), low) != units.end();
}

}  // namespace bearingdsp::capture_detail
