#pragma once
/// Numbers as cells of the tables.
#include <fmt/format.h>

#include <cmath>
#include <string>

namespace bearingdsp {

/// Shortest digits that read back as the same double; empty for what is not finite.
inline std::string number_cell(double value) {
  return std::isfinite(value) ? fmt::format("{}", value) : "";
}

}  // namespace bearingdsp
