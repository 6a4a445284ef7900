#pragma once
/// Boundary dimensions both ways: from a designation to the sizes, and from a caliper to the
/// designations that fit.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/bearing/estimate.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// What is known of the sizes of a designation, mm.
struct BearingSize {
  double bore{0};
  std::optional<double> outside_diameter;
  std::optional<double> width;
  std::optional<double> chamfer;  ///< smallest corner of the ring (r min): the shaft's fillet must
                                  ///< be smaller
  std::string source;             ///< and what is not known
  /// All three sizes, if they are known.
  [[nodiscard]] std::optional<BoundaryDimensions> boundary() const;
};

/// Sizes of a designation. Bearings of one ISO 15 dimension series share bore, outside diameter and
/// width whatever their type; of one diameter series bore and outside diameter. The bore always
/// follows from the code.
/// Source:  ISO 15, ISO 355 and ISO 104 as in data/boundary_dimensions.csv, which says how each row
///          was seen
[[nodiscard]] BearingSize size_of(const Designation& designation);

/// What was measured on a bearing, mm.
struct MeasuredSize {
  std::optional<double> bore;
  std::optional<double> outside_diameter;
  std::optional<double> width;
};

/// The same, measured in inches. Closed form: 25.4 mm to the inch.
[[nodiscard]] MeasuredSize from_inches(const MeasuredSize& inches);

/// How far a measured size may lie from the nominal one, mm. A caliper is good to about 0.05 mm;
/// creep widens a bore and grinds down an outside diameter; ring widths are made up to a few tenths
/// under size.
struct SizeTolerance {
  double bore_under{0.10}, bore_over{0.30};
  double outside_under{0.30}, outside_over{0.10};
  double width_under{0.40}, width_over{0.15};
};

/// One size of the ISO plan, and the bearings that have it.
struct SizeCandidate {
  BoundaryDimensions size;
  std::string dimension_series;           ///< "02"; empty where only bore and outside diameter fit
  std::vector<std::string> designations;  ///< basic ones, the commonest first
  bool width_fits{true};  ///< false: bore and outside diameter fit, the width belongs to another
                          ///< width series, not in the table
  double misfit_mm{0};    ///< root of the summed squares of the differences
};

struct SizeSearch {
  std::vector<SizeCandidate> fitting;  ///< nearest first
  std::vector<SizeCandidate> nearest;  ///< the three nearest sizes, if none fits
  std::string inch;  ///< "1/2 x 1 1/8 x 1/4 in" where every measure is a fraction of an inch that
                     ///< fits better than any metric size; else empty
  bool fits_in_inches{false};  ///< none fits, but one would were the measures inches
};

/// Bearings that a measured size may belong to.
/// Errors: bad_argument: fewer than two sizes given, a size that is not a positive number up to
///         2000 mm, bore >= outside diameter, width > outside diameter
/// Source: data/boundary_dimensions.csv
[[nodiscard]] Result<SizeSearch> find_by_size(const MeasuredSize& measured,
                                              const SizeTolerance& tolerance = {});

}  // namespace bearingdsp
