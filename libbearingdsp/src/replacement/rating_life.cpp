#include "bearingdsp/replacement/rating_life.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {

std::optional<LoadRatings> load_ratings(const Designation& d) {
  if (d.type != BearingType::deep_groove_ball) return std::nullopt;
  // The data file is part of the build and a test reads each row, so value() does not throw here.
  const auto t =
      table::read(data::load_ratings, "load ratings",
                  {"name", "static", "dynamic", "rolling_elements", "element_diameter", "source"})
          .value();
  for (const auto& r : t.rows) {
    if (t.field(r, "name") != d.basic()) continue;
    LoadRatings l;
    l.dynamic_n = t.number(r, "dynamic").value();
    l.static_n = t.number(r, "static").value();
    const double ball = t.number(r, "element_diameter").value();
    l.f0 = l.static_n / (t.number(r, "rolling_elements").value() * ball * ball);
    l.source = t.field(r, "source");
    return l;
  }
  return std::nullopt;
}

EquivalentLoad equivalent_load(const LoadRatings& ratings, double radial_n, double axial_n) {
  struct Row {
    double relative, e, y;
  };
  constexpr std::array<Row, 9> table{{{0.172, 0.19, 2.30},
                                      {0.345, 0.22, 1.99},
                                      {0.689, 0.26, 1.71},
                                      {1.03, 0.28, 1.55},
                                      {1.38, 0.30, 1.45},
                                      {2.07, 0.34, 1.31},
                                      {3.45, 0.38, 1.15},
                                      {5.17, 0.42, 1.04},
                                      {6.89, 0.44, 1.00}}};
  const double relative = std::clamp(ratings.f0 * axial_n / ratings.static_n,
                                     table.front().relative, table.back().relative);
  std::size_t k = 1;
  while (k + 1 < table.size() && table[k].relative < relative) ++k;
  const double part =
      (relative - table[k - 1].relative) / (table[k].relative - table[k - 1].relative);
  EquivalentLoad p;
  p.e = std::lerp(table[k - 1].e, table[k].e, part);
  if (axial_n > p.e * radial_n) {
    p.x = 0.56;
    p.y = std::lerp(table[k - 1].y, table[k].y, part);
  }
  p.newtons = p.x * radial_n + p.y * axial_n;
  return p;
}

double rating_life_h(double dynamic_n, double load_n, Rpm speed, bool rollers) {
  if (!(dynamic_n > 0 && load_n > 0 && speed.value() > 0))
    throw std::invalid_argument{"rating_life_h: rating, load and speed must be above 0"};
  return 1e6 / (60 * speed.value()) * std::pow(dynamic_n / load_n, rollers ? 10.0 / 3.0 : 3.0);
}

}  // namespace bearingdsp
