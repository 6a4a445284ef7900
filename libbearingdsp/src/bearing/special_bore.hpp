#pragma once
/// Bores of small motors that the plan does not have: an inch or another metric bore in the outer
/// ring and ball set of a plain number.
#include <optional>
#include <string>
#include <string_view>

namespace bearingdsp {

inline constexpr std::string_view special_bore_group = "bore size";

struct SpecialBore {
  std::string text;  ///< "5/8" (inches) or "16" (mm)
  double mm{0};
  std::string rest;  ///< the designation without it
};

/// Finds "6203/16", "6202-5/8", "6202-10" (sixteenths of an inch) and "6201-2RS 1/2"; none where
/// the bore would be that of the plain number or too far from it.
/// Source: common practice, from memory: "-8", "-10", "-12", "-16" are sixteenths, "/16" is
/// millimetres
[[nodiscard]] std::optional<SpecialBore> find_special_bore(std::string_view text);

}  // namespace bearingdsp
