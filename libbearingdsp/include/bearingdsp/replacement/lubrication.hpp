#pragma once
/// How much grease, and how often.
#include <cstdint>
#include <string_view>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// How heavily a bearing is loaded.
enum class LoadLevel : std::uint8_t { light, moderate, heavy, very_heavy };
[[nodiscard]] std::string_view token(LoadLevel level) noexcept;

/// Grease to add from the side of a bearing, g: 0.005 D B; through holes in the ring 0.002 D B (D,
/// B in mm).
/// Source: a manufacturer's catalogue (D in docs/sources.md)
[[nodiscard]] double regreasing_from_side_g(double outside_diameter_mm, double width_mm) noexcept;
[[nodiscard]] double regreasing_through_ring_g(double outside_diameter_mm,
                                               double width_mm) noexcept;

struct GreaseDuty {
  Rpm speed;
  double temperature_c{70};  ///< of the bearing
  LoadLevel load{LoadLevel::light};
};

/// Hours between regreasings, from the pessimistic to the optimistic end of what the tables allow.
struct GreaseInterval {
  double low_h{0};
  double high_h{0};
};

/// t = k0 f1 f2 (14e6 / (n sqrt d) - 4 d), n in r/min, bore d in mm. k0: radial ball 10,
/// cylindrical and needle roller 5, spherical and tapered roller and thrust 1; angular contact ball
/// 1 to 10, because the sources differ. f1: 1 up to 70, 0.5 at 85, 0.25 at 100 degrees C, between
/// them on the line of halving every 15 K. f2: light 1, moderate 0.7-0.9, heavy 0.4-0.7, very heavy
/// 0.1-0.4. Bores above 300 mm: half.
/// Errors:  bad_argument: speed not above 0, bearing hotter than 100 degrees C; not_found: the
/// bracket
///          is less than a quarter of its first term, so close to its zero that it says nothing
/// Source:  a manufacturer's catalogue (E in docs/sources.md); the equation reproduces its worked
///          example; k0 of needle, spherical and all radial ball bearings: a tribology handbook;
///          half above 300 mm: a rolling bearing catalogue (docs/sources.md, workshop practice)
[[nodiscard]] Result<GreaseInterval> regreasing_interval(BearingType type, double bore_mm,
                                                         const GreaseDuty& duty);

/// Hours that the first fill of a bearing greased for life lasts: as regreasing_interval() with k0
/// 20 to 40 for deep groove ball, 15 for cylindrical roller, 2 for angular contact ball, tapered
/// roller and thrust ball.
/// Errors: as above; not_found: there is no k0 for the type
[[nodiscard]] Result<GreaseInterval> grease_life(BearingType type, double bore_mm,
                                                 const GreaseDuty& duty);

}  // namespace bearingdsp
