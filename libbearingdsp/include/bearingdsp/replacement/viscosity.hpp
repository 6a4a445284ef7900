#pragma once
/// Is the film of oil thick enough?
#include <optional>

#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// Base oil of a grease, or an oil, by its kinematic viscosity, mm2/s.
struct BaseOil {
  double at_40{0};
  std::optional<double> at_100;
};

struct ViscosityRange {
  double low{0};
  double high{0};
};

/// Viscosity at a temperature, mm2/s: log10(log10(nu + 0.7)) = A - B log10(T), T in K. With both
/// values it is exact (low equals high); with that at 40 degrees C alone the slope B is taken from
/// 3.0 (synthetic) to 3.8 (thin mineral oil).
/// Errors: std::invalid_argument (caller's bug) unless at_40 is above 1, at_100 above 0.5 and below
///         at_40 and the temperature above -60 and up to 250 degrees C
/// Source: Walther's equation (ASTM D341), form from memory; the range of B: computed for mineral
///         oils of viscosity index 95 (3.4 to 3.8), from memory for synthetic oils
[[nodiscard]] ViscosityRange viscosity_at(const BaseOil& oil, double temperature_c);

/// Viscosity nu1, mm2/s, that a bearing needs at its temperature: 45000 n^-0.83 Dm^-0.5 below
/// 1000 rpm, 4500 n^-0.5 Dm^-0.5 from there, Dm the mean of bore and outside diameter, mm.
/// Errors: std::invalid_argument (caller's bug) unless both are above 0
/// Source: [iso281] as in a public lubrication calculator; manufacturer's catalogue B reads about
///         16 off its diagram for a 6210 at 1000 rpm (formula: 17)
[[nodiscard]] double required_viscosity(Rpm speed, double mean_diameter_mm);

}  // namespace bearingdsp
