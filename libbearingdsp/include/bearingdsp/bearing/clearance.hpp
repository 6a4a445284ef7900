#pragma once
/// Radial internal clearance: how far one ring can move against the other before it is mounted.
#include <optional>
#include <string>

#include "bearingdsp/bearing/designation.hpp"

namespace bearingdsp {

struct ClearanceRange {
  double low_um{0};
  double high_um{0};
  std::string source;
};

/// Range of the class for a bearing with cylindrical bore, or nothing where the tables have no row
/// (other types; bores over 500 mm; C1; C5 of rollers; CM above 160 mm, of rollers above 120 mm).
/// Source: ISO 5753-1 as in manufacturers' catalogues, data/radial_clearance.csv [iso5753-1]; above
/// 160 mm, of rollers above 120 mm, from memory
[[nodiscard]] std::optional<ClearanceRange> radial_clearance(BearingType type,
                                                             ClearanceClass clearance,
                                                             double bore_mm);

}  // namespace bearingdsp
