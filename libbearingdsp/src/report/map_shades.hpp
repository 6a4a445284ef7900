#pragma once
/// How a map's values become shades.
#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/report/model.hpp"
#include "shades.hpp"

namespace bearingdsp {

/// Palette indices 1 .. shade_count are the shades from the lowest to the highest; 0 is no value.
inline constexpr std::size_t shade_count = shades.size();
/// 0xRRGGBB by index: 0 is the ground of the page.
[[nodiscard]] std::vector<std::uint32_t> palette();

class MapShades {
 public:
  explicit MapShades(const ReportMap& map);
  /// Values of the lightest and the darkest shade.
  [[nodiscard]] double low() const noexcept { return low_; }
  [[nodiscard]] double high() const noexcept { return high_; }
  /// 0 for no value; what lies below the lowest shade has the lowest.
  [[nodiscard]] std::uint8_t code(double value) const;
  /// About so many round numbers with their places on the scale, 0 .. 1.
  [[nodiscard]] std::vector<std::pair<double, std::string>> numbers(double wanted) const;

 private:
  double low_{0}, high_{1};
  bool in_db_{false};
};

}  // namespace bearingdsp
