#include "bearingdsp/replacement/belt.hpp"

#include <array>
#include <numbers>
#include <stdexcept>

namespace bearingdsp {

std::string_view token(BeltKind kind) noexcept {
  constexpr std::array<std::string_view, 4> names{"V-belt", "toothed belt",
                                                  "flat belt with a tension pulley", "flat belt"};
  return names.at(static_cast<std::size_t>(kind));
}

BeltPull belt_pull(double power_kw, Rpm speed, double pulley_mm, BeltKind kind) {
  if (!(power_kw > 0 && speed.value() > 0 && pulley_mm > 0))
    throw std::invalid_argument{"belt_pull: power, speed and pulley must be above 0"};
  struct Factors {
    double low, high;
  };
  constexpr std::array<Factors, 4> factors{{{1.5, 2.5}, {1.1, 2.0}, {2.5, 3.0}, {3.0, 4.0}}};
  // v = pi D n / 60, D in m.
  const double metres_per_second = std::numbers::pi * pulley_mm / 1000 * speed.value() / 60;
  const double useful = 1000 * power_kw / metres_per_second;
  const Factors f = factors.at(static_cast<std::size_t>(kind));
  return {useful, f.low * useful, f.high * useful};
}

}  // namespace bearingdsp
