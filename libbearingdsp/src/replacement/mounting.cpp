#include "bearingdsp/replacement/mounting.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {
namespace {

struct FitRow {
  std::string code;
  double over, to;
  Deviations deviations;
};

const std::vector<FitRow>& fit_rows() {
  static const auto all = table::built_in(data::fits, "fits", [](const table::Cells& r) {
    return FitRow{
        r.text("code"), r.number("over"), r.number("to"), {r.number("lower"), r.number("upper")}};
  });
  return all;
}

std::string_view motor_code(bool rollers, double bore) {
  if (rollers)
    return bore <= 40 ? "k5" : bore <= 100 ? "m5" : bore <= 140 ? "m6" : bore <= 200 ? "n6" : "p6";
  return bore <= 18 ? "j5" : bore <= 100 ? "k5" : bore <= 140 ? "m5" : bore <= 200 ? "m6" : "n6";
}

/// Both catalogues end their tables here.
constexpr double largest_printed_mm = 180;
/// The table of fits for motors.
constexpr double largest_motor_mm = 200;

struct DriveUpRow {
  double over{0}, to{0};
  Deviations reduction;
  double axial_low{0}, axial_high{0};
  double left_cn{0}, left_c3{0}, left_c4{0};
};

const std::vector<DriveUpRow>& drive_up_rows() {
  static const auto all = table::built_in(data::drive_up, "drive up", [](const table::Cells& r) {
    return DriveUpRow{r.number("over"),
                      r.number("to"),
                      {r.number("reduction_low"), r.number("reduction_high")},
                      r.number("axial_low"),
                      r.number("axial_high"),
                      r.number("left_cn"),
                      r.number("left_c3"),
                      r.number("left_c4")};
  });
  return all;
}

bool taper_of_30(const Designation& d) {
  return std::any_of(d.suffixes.begin(), d.suffixes.end(),
                     [](const SuffixReading& s) { return s.text == "K30"; });
}

}  // namespace

std::optional<Deviations> fit_deviations(std::string_view code, double diameter_mm) {
  for (const FitRow& r : fit_rows())
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
                  diameter_mm > largest_printed_mm || code == "p6"
                      ? "ISO 286-2, from memory"
                      : "ISO 286-2, in two manufacturers' catalogues"};
}

std::optional<ShaftFit> motor_shaft_fit(const Designation& d) {
  const bool ball =
      d.type == BearingType::deep_groove_ball || d.type == BearingType::angular_contact_ball;
  const bool roller = d.type == BearingType::cylindrical_roller;
  if ((!ball && !roller) || d.tapered_bore) return std::nullopt;
  auto fit = shaft_fit(motor_code(roller, d.bore_mm), d.bore_mm);
  if (fit)
    fit->source += d.bore_mm > largest_motor_mm
                       ? "; choice: from memory"
                       : "; choice for electric motors: manufacturer's catalogue C";
  return fit;
}

std::string wider_grade(std::string_view code) {
  if (code.empty() || code.back() != '5') return "";
  return std::string{code.substr(0, code.size() - 1)} + '6';
}

std::optional<DriveUp> drive_up(const Designation& d) {
  if (d.type != BearingType::spherical_roller || !d.tapered_bore) return std::nullopt;
  // Along a taper of 1:30 the same reduction takes 30/12 of the way.
  const double stretch = taper_of_30(d) ? 30.0 / 12.0 : 1;
  for (const DriveUpRow& r : drive_up_rows()) {
    if (d.bore_mm <= r.over || d.bore_mm > r.to) continue;
    DriveUp up{r.reduction, stretch * r.axial_low, stretch * r.axial_high, std::nullopt};
    if (d.clearance == ClearanceClass::normal) up.left_um = r.left_cn;
    if (d.clearance == ClearanceClass::c3) up.left_um = r.left_c3;
    if (d.clearance == ClearanceClass::c4) up.left_um = r.left_c4;
    return up;
  }
  return std::nullopt;
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

PressForce press_force(double interference_um, double d, double outside, double width,
                       bool rollers) {
  if (!(d > 0 && d < outside && width > 0) || !std::isfinite(interference_um))
    throw std::invalid_argument{"press_force: interference or size"};
  constexpr double modulus = 208000;
  constexpr double friction_on = 0.12;
  constexpr double friction_off = 0.18;
  const double ring = rollers ? (3 * d + outside) / 4 : (4 * d + outside) / 5;
  PressForce f;
  f.pressure_n_mm2 =
      0.5 * modulus * std::max(0.0, interference_um) / 1000 / d * (1 - (d / ring) * (d / ring));
  const double normal = f.pressure_n_mm2 * std::numbers::pi * d * width;
  f.on_n = friction_on * normal;
  f.off_n = friction_off * normal;
  return f;
}

double largest_cold_interference_um(double bore_mm, double outside_diameter_mm, double width_mm,
                                    bool rollers) {
  return largest_cold_force_n /
         press_force(1, bore_mm, outside_diameter_mm, width_mm, rollers).on_n;
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
