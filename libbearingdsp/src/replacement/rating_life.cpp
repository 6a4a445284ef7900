#include "bearingdsp/replacement/rating_life.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <unordered_map>
#include <vector>

#include "bearing/compact_name.hpp"
#include "bearing/data.hpp"
#include "bearing/inside_of.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {
namespace {

struct RatedDesign {
  std::string design;
  LoadRatings ratings;
};

const std::unordered_map<std::string, std::vector<RatedDesign>>& rated() {
  static const auto all = [] {
    std::unordered_map<std::string, std::vector<RatedDesign>> by_name;
    for (const auto& [name, rated] :
         table::built_in(data::load_ratings, "load ratings", [](const table::Cells& r) {
           LoadRatings l;
           l.dynamic_n = l.highest_dynamic_n = r.number("dynamic");
           l.static_n = r.number("static");
           if (const auto f0 = r.number_if("f0")) l.f0 = *f0;
           l.source = r["source"];
           return std::pair{r.text("name"), RatedDesign{r.text("design"), l}};
         }))
      by_name[name].push_back(rated);
    return by_name;
  }();
  return all;
}

/// The name under which the ratings are listed; empty where another number's would be wrong.
std::string rated_name(const Designation& d) {
  switch (d.type) {
    case BearingType::deep_groove_ball:
    case BearingType::insert_ball: {
      const auto codes = size_codes(d);
      const auto& kin = inside_series(d);
      return codes.size() == 1 ? compact_designation(kin.letters + kin.figures + codes.front())
                               : "";
    }
    case BearingType::cylindrical_roller: {
      // The rollers of NJ and N are those of NU; NU23 has longer rollers than NU3.
      const bool caged_row = d.letters == "NU" || d.letters == "NJ" || d.letters == "NUP" ||
                             d.letters == "N" || d.letters == "NF";
      return caged_row && design_of(d) != "full complement" ? "NU" + d.series + d.bore_code : "";
    }
    case BearingType::angular_contact_ball: {
      constexpr double steep = 40;
      return d.contact_angle && d.contact_angle->value() == steep
                 ? compact_designation(d.basic()) + "B"
                 : "";
    }
    default:
      return compact_designation(d.basic());
  }
}

Error not_judged(std::string why) {
  return {Errc::not_found, "rating life", std::move(why), "ask the manufacturer"};
}

}  // namespace

std::optional<LoadRatings> load_ratings(const Designation& d) {
  const auto found = rated().find(rated_name(d));
  if (found == rated().end()) return std::nullopt;
  const std::string design = design_of(d);
  std::optional<LoadRatings> weaker;
  double highest = 0;
  for (const auto& [its_design, ratings] : found->second) {
    if (!design.empty() && !its_design.empty() && its_design != design) continue;
    highest = std::max(highest, ratings.dynamic_n);
    if (!weaker || ratings.dynamic_n < weaker->dynamic_n) weaker = ratings;
  }
  if (weaker) weaker->highest_dynamic_n = highest;
  return weaker;
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

Result<EquivalentLoad> equivalent_load_of(const Designation& d, const LoadRatings& ratings,
                                          double radial_n, double axial_n) {
  switch (d.type) {
    case BearingType::deep_groove_ball:
    case BearingType::insert_ball:
      if (ratings.f0 > 0) return equivalent_load(ratings, radial_n, axial_n);
      return not_judged("the factor f0 of this bearing is not in the tables");
    case BearingType::cylindrical_roller:
      if (axial_n > 0)
        return not_judged(
            "a cylindrical roller bearing carries axial load on its ribs alone, if "
            "it has them");
      return EquivalentLoad{radial_n, 0, 1, 0};
    case BearingType::angular_contact_ball: {
      constexpr double e = 1.14;
      if (axial_n <= e * radial_n) return EquivalentLoad{radial_n, e, 1, 0};
      return EquivalentLoad{0.35 * radial_n + 0.57 * axial_n, e, 0.35, 0.57};
    }
    case BearingType::thrust_ball:
      if (radial_n > 0) return not_judged("a thrust bearing carries no radial load");
      return EquivalentLoad{axial_n, 0, 0, 1};
    default:
      return not_judged("the load factors of " + std::string{words(d.type)} +
                        " bearings are not in these tables");
  }
}

double rating_life_h(double dynamic_n, double load_n, Rpm speed, bool rollers) {
  if (!(dynamic_n > 0 && load_n > 0 && speed.value() > 0))
    throw std::invalid_argument{"rating_life_h: rating, load and speed must be above 0"};
  return 1e6 / (60 * speed.value()) * std::pow(dynamic_n / load_n, rollers ? 10.0 / 3.0 : 3.0);
}

double min_load_share(const Designation& d) {
  constexpr double balls = 0.01;
  constexpr double rollers = 0.02;
  constexpr double no_cage = 0.04;
  if (!has_rollers(d.type)) return balls;
  return design_of(d) == "full complement" ? no_cage : rollers;
}

}  // namespace bearingdsp
