#pragma once
/// Basic rating life of ISO 281.
#include <optional>
#include <string>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// Basic load ratings.
struct LoadRatings {
  double dynamic_n{0};
  double static_n{0};
  double f0{0};  ///< factor of ISO 76: static rating / (elements x element diameter squared)
  std::string source;
};
/// Ratings of one manufacturer for a deep groove ball bearing (6203 to 6216, 6302 to 6318), or
/// nothing. Other manufacturers' differ by several percent. Source: manufacturers' catalogues A and
/// B in docs/sources.md; data/load_ratings.csv
[[nodiscard]] std::optional<LoadRatings> load_ratings(const Designation& designation);

/// Equivalent dynamic load of a single-row deep groove ball bearing.
struct EquivalentLoad {
  double newtons{0};
  double e{0};        ///< axial share from which the axial load counts
  double x{1}, y{0};  ///< factors used
};
/// P = X Fr + Y Fa; with f0 Fa/C0 <= 0.172 ... 6.89 the table of ISO 281 (normal clearance) is
/// interpolated; outside it its ends hold.
/// Units:   N, N >= 0
/// Source:  [iso281] table 3, from memory; reproduces the worked example of manufacturer's
/// catalogue A
[[nodiscard]] EquivalentLoad equivalent_load(const LoadRatings& ratings, double radial_n,
                                             double axial_n);

/// Hours that 90 of 100 such bearings reach: 1e6 / (60 n) (C/P)^p, p = 3 for balls, 10/3 for
/// rollers. speed, ratings and load must be above 0 (std::invalid_argument: caller's bug).
/// Source: [iso281] equation for the basic rating life
[[nodiscard]] double rating_life_h(double dynamic_n, double load_n, Rpm speed, bool rollers);

}  // namespace bearingdsp
