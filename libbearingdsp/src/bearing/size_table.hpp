#pragma once
/// The built-in table of boundary dimensions: data/boundary_dimensions.csv.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/estimate.hpp"

namespace bearingdsp::size_table {

struct Row {
  std::string series;  ///< dimension series of ISO 15 ("02"), or the series of a designation
  std::string code;    ///< bore code
  BoundaryDimensions size;
  std::optional<double> chamfer;
  std::string seen;  ///< "four", "catalogue G", "memory"

  /// One of the ISO 15 plan, whose diameter series is the second figure.
  [[nodiscard]] bool iso15() const {
    return series.size() == 2 && series != "16" && series != "99" && series[1] != '+';
  }
};

[[nodiscard]] const std::vector<Row>& rows();
/// The size of a series and bore code; null if it is not listed.
[[nodiscard]] const Row* find(std::string_view series, std::string_view code);
/// A row of the diameter series of this dimension series: its width may differ.
[[nodiscard]] const Row* find_diameter(std::string_view series, std::string_view code);

}  // namespace bearingdsp::size_table
