#include "bearingdsp/replacement/viscosity.hpp"

#include <cmath>
#include <stdexcept>

namespace bearingdsp {
namespace {

constexpr double zero_celsius = 273.15;
constexpr double shift = 0.7;  // of Walther's equation

double twice_log(double viscosity) { return std::log10(std::log10(viscosity + shift)); }
double undone(double twice) { return std::pow(10, std::pow(10, twice)) - shift; }

}  // namespace

ViscosityRange viscosity_at(const BaseOil& oil, double temperature_c) {
  const bool oil_is_valid =
      oil.at_40 > 1 && (!oil.at_100 || (*oil.at_100 > 0.5 && *oil.at_100 < oil.at_40));
  if (!oil_is_valid || !(temperature_c > -60 && temperature_c <= 250))
    throw std::invalid_argument{"viscosity_at: oil or temperature"};
  const double decades = std::log10((temperature_c + zero_celsius) / (40 + zero_celsius));
  const double at_40 = twice_log(oil.at_40);
  if (oil.at_100) {
    const double slope =
        (at_40 - twice_log(*oil.at_100)) / std::log10((100 + zero_celsius) / (40 + zero_celsius));
    const double exact = undone(at_40 - slope * decades);
    return {exact, exact};
  }
  constexpr double flat = 3.0;
  constexpr double steep = 3.8;
  const double a = undone(at_40 - flat * decades);
  const double b = undone(at_40 - steep * decades);
  return {std::fmin(a, b), std::fmax(a, b)};
}

double required_viscosity(Rpm speed, double mean_diameter_mm) {
  const double n = speed.value();
  if (!(n > 0 && mean_diameter_mm > 0))
    throw std::invalid_argument{"required_viscosity: speed and diameter must be above 0"};
  const double at_speed = n < 1000 ? 45000 * std::pow(n, -0.83) : 4500 / std::sqrt(n);
  return at_speed / std::sqrt(mean_diameter_mm);
}

}  // namespace bearingdsp
