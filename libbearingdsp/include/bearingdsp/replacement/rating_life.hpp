#pragma once
/// Basic load ratings, basic rating life of ISO 281 and the least load of a bearing.
#include <optional>
#include <string>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Basic load ratings.
struct LoadRatings {
  double dynamic_n{0};
  double static_n{0};
  double f0{0};  ///< factor of ISO 76: static rating / (elements x element diameter squared); 0
                 ///< where it is not known (only deep groove ball bearings need it)
  double highest_dynamic_n{0};  ///< where the number stands for two designs, that of the stronger
  std::string source;
};
/// Ratings of one manufacturer, or nothing. Where the number stands for two designs and no suffix
/// says which, those of the weaker one. Other manufacturers' differ by several percent.
/// Source: data/load_ratings.csv (made by data/generate from catalogues A, B, D and G in
/// docs/sources.md)
[[nodiscard]] std::optional<LoadRatings> load_ratings(const Designation& designation);

/// Equivalent dynamic load.
struct EquivalentLoad {
  double newtons{0};
  double e{0};        ///< axial share from which the axial load counts
  double x{1}, y{0};  ///< factors used
};
/// P = X Fr + Y Fa of a single-row deep groove ball bearing; with f0 Fa/C0 <= 0.172 ... 6.89 the
/// table of ISO 281 (normal clearance) is interpolated; outside it its ends hold.
/// Units:   N, N >= 0
/// Source:  [iso281] table 3, from memory; reproduces the worked example of manufacturer's
/// catalogue A
[[nodiscard]] EquivalentLoad equivalent_load(const LoadRatings& ratings, double radial_n,
                                             double axial_n);

/// The same by type: deep groove and insert ball bearings as above; cylindrical roller bearings
/// carry the radial load alone; a single angular contact ball bearing of 40 degrees: Fr up to
/// Fa/Fr = 1.14, then 0.35 Fr + 0.57 Fa; thrust ball bearings the axial load alone.
/// Errors:  not_found, in words that say why: another type, an axial load on a cylindrical roller
///          bearing, a radial load on a thrust bearing
/// Source:  [iso281]; factors of 40 degrees from memory
[[nodiscard]] Result<EquivalentLoad> equivalent_load_of(const Designation& designation,
                                                        const LoadRatings& ratings, double radial_n,
                                                        double axial_n);

/// Hours that 90 of 100 such bearings reach: 1e6 / (60 n) (C/P)^p, p = 3 for balls, 10/3 for
/// rollers. speed, ratings and load must be above 0 (std::invalid_argument: caller's bug).
/// Source: [iso281] equation for the basic rating life
[[nodiscard]] double rating_life_h(double dynamic_n, double load_n, Rpm speed, bool rollers);

/// Above this, h, fatigue does not limit the life of a bearing: grease, dirt and fits do. Common
/// practice, no source.
inline constexpr double fatigue_does_not_limit_h = 100000;

/// Least load as a part of the dynamic rating, below which elements may skid: balls with cage 0.01,
/// rollers with cage 0.02, without cage 0.04.
/// Source: manufacturer's catalogue B
[[nodiscard]] double min_load_share(const Designation& designation);

}  // namespace bearingdsp
