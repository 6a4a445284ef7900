#include "map_shades.hpp"

#include <algorithm>
#include <cmath>

#include "svg_parts.hpp"

namespace bearingdsp {

std::vector<std::uint32_t> palette() {
  std::vector<std::uint32_t> out{0xFDFDFB};
  out.insert(out.end(), shades.begin(), shades.end());
  return out;
}

MapShades::MapShades(const ReportMap& map) : in_db_{map.in_db} {
  double most = map.min_top;
  for (const MapRow& row : map.rows)
    for (const double v : row.y)
      if (std::isfinite(v)) most = std::max(most, v);
  high_ = most > 0 ? most : 1;
  low_ = in_db_ ? high_ * std::pow(10, -map.span_db / 20) : 0;
}

std::uint8_t MapShades::code(double value) const {
  if (!std::isfinite(value)) return 0;
  const double part = !in_db_        ? (value - low_) / (high_ - low_)
                      : value > low_ ? std::log(value / low_) / std::log(high_ / low_)
                                     : 0;
  const double top = static_cast<double>(shade_count) - 1;
  return static_cast<std::uint8_t>(1 + std::lround(std::clamp(part, 0.0, 1.0) * top));
}

std::vector<std::pair<double, std::string>> MapShades::numbers(double wanted) const {
  std::vector<std::pair<double, std::string>> out;
  if (!in_db_) {
    const double step = svg::tick_step(high_ - low_, wanted);
    for (const double t : svg::ticks(low_, high_, step))
      out.emplace_back((t - low_) / (high_ - low_), svg::tick_text(t, step));
    return out;
  }
  // Tens, and between them threes where there is room.
  const double span = std::log10(high_ / low_);
  for (int p = static_cast<int>(std::floor(std::log10(low_))); std::pow(10, p) <= high_; ++p)
    for (const double lead : {1.0, 3.0}) {
      const double v = lead * std::pow(10, p);
      if (v < low_ * 0.999 || v > high_ * 1.001 || (lead > 1 && 2 * span > wanted)) continue;
      out.emplace_back(std::log10(v / low_) / span, significant(v, 1));
    }
  return out;
}

}  // namespace bearingdsp
