#include "bearingdsp/replacement/mounting.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {
namespace {

struct Row {
  std::string code;
  double over, to;
  Deviations deviations;
};

const std::vector<Row>& rows() {
  // The data file is part of the build and a test reads it, so value() does not throw here.
  static const std::vector<Row> all = [] {
    const auto t =
        table::read(data::fits, "fits", {"code", "over", "to", "lower", "upper"}).value();
    std::vector<Row> list;
    for (const auto& r : t.rows)
      list.push_back({std::string{t.field(r, "code")},
                      t.number(r, "over").value(),
                      t.number(r, "to").value(),
                      {t.number(r, "lower").value(), t.number(r, "upper").value()}});
    return list;
  }();
  return all;
}

std::string_view motor_code(bool rollers, double bore) {
  if (rollers) return bore <= 40 ? "k5" : bore <= 100 ? "m5" : bore <= 140 ? "m6" : "n6";
  return bore <= 18 ? "j5" : bore <= 100 ? "k5" : bore <= 140 ? "m5" : "m6";
}

}  // namespace

std::optional<Deviations> fit_deviations(std::string_view code, double diameter_mm) {
  for (const Row& r : rows())
    if (r.code == code && diameter_mm > r.over && diameter_mm <= r.to) return r.deviations;
  return std::nullopt;
}

std::optional<ShaftFit> shaft_fit(std::string_view code, double diameter_mm) {
  const auto shaft = fit_deviations(code, diameter_mm);
  const auto bore = fit_deviations("PN", diameter_mm);
  if (!shaft || !bore) return std::nullopt;
  return ShaftFit{std::string{code},
                  *shaft,
                  *bore,
                  shaft->lower_um - bore->upper_um,
                  shaft->upper_um - bore->lower_um,
                  "ISO 286-2, in two manufacturers' catalogues"};
}

std::optional<ShaftFit> motor_shaft_fit(const Designation& d) {
  const bool ball =
      d.type == BearingType::deep_groove_ball || d.type == BearingType::angular_contact_ball;
  const bool roller = d.type == BearingType::cylindrical_roller;
  if ((!ball && !roller) || d.tapered_bore) return std::nullopt;
  auto fit = shaft_fit(motor_code(roller, d.bore_mm), d.bore_mm);
  if (fit) fit->source += "; choice for electric motors: manufacturer's catalogue C";
  return fit;
}

Heating heating(double max_interference_um, double bore_mm, double workshop_c) {
  if (!(bore_mm > 0) || !std::isfinite(max_interference_um) || !(workshop_c < 60) ||
      !std::isfinite(workshop_c))
    throw std::invalid_argument{"heating: bore, interference or workshop temperature"};
  constexpr double min_margin = 20;
  constexpr double max_margin = 30;
  constexpr double usual_top = 110;
  const double per_kelvin_um = steel_expansion * bore_mm * 1000;
  Heating h;
  h.free_at_c = workshop_c + std::max(0.0, max_interference_um) / per_kelvin_um;
  h.slides = h.free_at_c + min_margin <= hottest_bearing_c;
  const double wanted = h.free_at_c + 0.5 * (min_margin + max_margin);
  h.aim_c = !h.slides             ? usual_top
            : wanted <= usual_top ? wanted
                                  : std::max(usual_top, h.free_at_c + min_margin);
  h.play_um = per_kelvin_um * (h.aim_c - workshop_c) - max_interference_um;
  return h;
}

RunningClearance running_clearance(const ClearanceRange& before, const ShaftFit& fit, bool rollers,
                                   double bore_mm, double outside_diameter_mm) {
  const double raceway =
      rollers ? (3 * outside_diameter_mm + bore_mm) / 4 : (4 * outside_diameter_mm + bore_mm) / 5;
  const auto left = [&](double clearance, double share, double interference, double kelvin) {
    return clearance - share * std::max(0.0, interference) -
           steel_expansion * kelvin * raceway * 1000;
  };
  return {left(0.5 * (before.low_um + before.high_um), 0.8,
               0.5 * (fit.min_interference_um + fit.max_interference_um), 7.5),
          left(before.low_um, 0.9, fit.max_interference_um, 10)};
}

}  // namespace bearingdsp
