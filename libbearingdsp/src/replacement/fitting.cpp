#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "advisers.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

/// "+2 to +13 µm", with zero unsigned
std::string limits(const Deviations& d) {
  const auto part = [](double um) { return um == 0 ? std::string{"0"} : fmt::format("{:+g}", um); };
  return part(d.lower_um) + " to " + part(d.upper_um) + " µm";
}

/// A measured seat lies within limits that are printed to the micrometre.
bool within_limits(double um, const Deviations& d) {
  constexpr double rounding_um = 0.5;
  return um >= d.lower_um - rounding_um && um <= d.upper_um + rounding_um;
}

void measured_shaft(ReplacementPlan& p) {
  const double over_um = 1000 * (*p.duty.shaft_mm - p.facts.designation.bore_mm);
  const auto& fit = *p.fit;
  p.interference_um = over_um - fit.bore.lower_um;
  if (within_limits(over_um, fit.shaft)) {
    p.advice.push_back({"Seat as measured", Weighing::good,
                        fmt::format("{:.3f} mm is within {}.", *p.duty.shaft_mm, fit.code),
                        fit.source});
    return;
  }
  const std::string wider = wider_grade(fit.code);
  const auto allowed = fit_deviations(wider, p.facts.designation.bore_mm);
  const std::string measured = fmt::format("{:.3f} mm is {:+.0f} µm from nominal, outside {} ({})",
                                           *p.duty.shaft_mm, over_um, fit.code, limits(fit.shaft));
  if (allowed && within_limits(over_um, *allowed))
    p.advice.push_back(
        {"Seat as measured", Weighing::caution,
         fmt::format("{} but within {} ({}), which motors have as well: the fit is {} than usual. "
                     "Compare it with the drawing of the motor and see the clearance that is left.",
                     measured, wider, limits(*allowed),
                     over_um > fit.shaft.upper_um ? "tighter" : "looser"),
         fit.source + "; " + wider + ": manufacturer's catalogue C beside " + fit.code});
  else
    p.advice.push_back(
        {"Seat as measured", Weighing::wrong,
         measured +
             ". On a worn seat the ring creeps; on an oversize seat the ring cracks or loses "
             "its clearance. Have the seat restored first.",
         fit.source});
}

/// A bearing with tapered bore has no fit: it is driven up until the clearance is right.
void tapered_bore(ReplacementPlan& p) {
  const auto up = drive_up(p.facts.designation);
  if (!up) {
    p.advice.push_back(not_judged("Drive-up",
                                  "how far this bearing with tapered bore is driven up is not in "
                                  "these tables: follow the manufacturer's table.",
                                  "tables of spherical roller bearings, 24 to 500 mm"));
    return;
  }
  p.advice.push_back(
      {"Drive-up", Weighing::caution,
       fmt::format(
           "Measure the radial clearance with a feeler gauge before mounting, over an "
           "unloaded roller of each row. Drive the bearing up until the clearance is {:g} to "
           "{:g} µm smaller ({:.2g} to {:.2g} mm along the shaft){}. Compare with the table "
           "of the manufacturer: these values are from memory.",
           up->reduction.lower_um, up->reduction.upper_um, up->axial_low_mm, up->axial_high_mm,
           up->left_um ? fmt::format("; at least {:g} µm must be left ({})", *up->left_um,
                                     words(p.facts.designation.clearance))
                       : std::string{}),
       "manufacturers' tables, from memory"});
}

void on_shaft(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (d.tapered_bore) {
    tapered_bore(p);
    return;
  }
  p.fit = motor_shaft_fit(d);
  if (!p.fit) {
    p.advice.push_back(
        not_judged("Fit on the shaft",
                   fmt::format("there is no table here for {} bearings of this bore: "
                               "ask the motor manufacturer for the fit.",
                               words(d.type), d.bore_mm),
                   "ISO 286-2 tables held here: 6 to 500 mm"));
    return;
  }
  p.interference_um = p.fit->max_interference_um;
  p.advice.push_back({"Fit on the shaft", Weighing::note,
                      fmt::format("{}: seat {} from {:g} mm, that is {:.3f} to {:.3f} mm; with a "
                                  "normal bore ({}) from {:g} µm {} to {:g} µm interference.",
                                  p.fit->code, limits(p.fit->shaft), d.bore_mm,
                                  d.bore_mm + p.fit->shaft.lower_um / 1000,
                                  d.bore_mm + p.fit->shaft.upper_um / 1000, limits(p.fit->bore),
                                  std::abs(p.fit->min_interference_um),
                                  p.fit->min_interference_um < 0 ? "clearance" : "interference",
                                  p.fit->max_interference_um),
                      p.fit->source});
  if (p.duty.shaft_mm) measured_shaft(p);
}

/// H6 and H7 of a bore are h6 and h7 of a shaft the other way up.
std::optional<Deviations> housing_limits(std::string_view shaft_code, double diameter_mm) {
  const auto shaft = fit_deviations(shaft_code, diameter_mm);
  return shaft ? std::optional{Deviations{0, -shaft->lower_um}} : std::nullopt;
}

void measured_housing(ReplacementPlan& p, double outside, const std::string& source) {
  const double over_um = 1000 * (*p.duty.housing_mm - outside);
  const auto h6 = housing_limits("h6", outside).value_or(Deviations{});
  const auto h7 = housing_limits("h7", outside).value_or(Deviations{});
  const std::string measured =
      fmt::format("{:.3f} mm is {:+.0f} µm from nominal", *p.duty.housing_mm, over_um);
  if (within_limits(over_um, h6))
    p.advice.push_back({"Housing as measured", Weighing::good, measured + ", within H6.", source});
  else if (within_limits(over_um, h7))
    p.advice.push_back({"Housing as measured", Weighing::good,
                        measured + ", within H7, which is common.", source});
  else if (over_um > 0)
    p.advice.push_back({"Housing as measured", Weighing::wrong,
                        fmt::format("{}, larger than H7 ({}): the outer ring creeps and wears it "
                                    "further. Have the housing restored first.",
                                    measured, limits(h7)),
                        source});
  else
    p.advice.push_back({"Housing as measured", Weighing::caution,
                        fmt::format("{}, tighter than H6 ({}): the outer ring is pinched or cannot "
                                    "slide. Compare with the drawing: some motors have J6, JS6 or "
                                    "K6 here.",
                                    measured, limits(h6)),
                        source + "; J6, JS6: " + std::string{sources::catalogue_a}});
}

void in_housing(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  const auto& outside = p.facts.size.outside_diameter;
  const auto h6 = outside ? housing_limits("h6", *outside) : std::nullopt;
  const auto h7 = outside ? housing_limits("h7", *outside) : std::nullopt;
  if (!h6 || !h7) {
    p.advice.push_back(not_judged("Fit in the housing",
                                  outside ? "the tables end at 500 mm: ask the motor manufacturer."
                                          : "the outside diameter is not in these tables.",
                                  "ISO 286-2 tables held here: 6 to 500 mm"));
    return;
  }
  const std::string source =
      std::string{*outside > 180
                      ? "ISO 286-2, from memory"
                      : "width of grade 6: ISO 286-2, in two manufacturers' catalogues"} +
      "; choice: " + std::string{sources::catalogue_a};
  const std::string wider = "H7 (" + limits(*h7) + ")";
  const std::string hold =
      d.floats
          ? "or " + wider +
                ". The shaft floats inside this bearing, so the outer ring need not slide: hold it "
                "axially on both sides. Tighter fits (J6, K6) are also in use: keep that of the "
                "motor. The bearing at the other end locates the shaft."
      : d.type == BearingType::cylindrical_roller
          ? "or " + wider +
                ". The ribs hold the shaft axially: keep outer ring and thrust collar as they were."
          : "so that the outer ring slides by hand; " + wider +
                " is also common. One bearing locates the shaft axially. The other must be free to "
                "move when the shaft expands.";
  p.advice.push_back({"Fit in the housing", Weighing::note,
                      fmt::format("H6: {} from {:g} mm, {}", limits(*h6), *outside, hold), source});
  if (p.duty.housing_mm) measured_housing(p, *outside, source);
}

void rollers(ReplacementPlan& p) {
  if (p.facts.designation.type != BearingType::cylindrical_roller) return;
  p.advice.push_back(
      {"Rings and rollers", Weighing::note,
       "Fit inner ring and outer ring of one manufacturer and one bearing: rings of different "
       "manufacturers do not belong together, even with the same number. Push the rotor in level "
       "and "
       "rotate it slowly while the rollers enter: a skewed or forced insertion scores the raceway, "
       "and the bearing fails early.",
       std::string{sources::practice}});
}

/// Force and whether it is small enough to go without heat.
void cold(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  const auto& size = p.facts.size;
  if (!p.interference_um || !size.outside_diameter || !size.width) return;
  const bool rollers = has_rollers(d.type);
  p.press =
      press_force(*p.interference_um, d.bore_mm, *size.outside_diameter, *size.width, rollers);
  p.cold = d.bore_mm <= largest_cold_bore_mm && p.press->on_n <= largest_cold_force_n;
  const std::string source =
      "bore: a bearing manufacturer's tools page (workshop practice 29); force: thick ring, closed "
      "form; friction 0.12 on, 0.18 off: from memory; 10 kN: " +
      std::string{sources::practice};
  const std::string force =
      fmt::format("about {:.2g} kN on and {:.2g} kN off at {:.0f} µm", p.press->on_n / 1000,
                  p.press->off_n / 1000, std::max(0.0, *p.interference_um));
  if (p.cold)
    p.advice.push_back(
        {"Cold pressing", Weighing::note,
         fmt::format(
             "Needs no heating: up to {:g} mm bore and {:.0f} µm interference (10 kN) it "
             "is pressed on cold. Force {}. Sleeve or drift of soft steel on the inner "
             "ring only; both rings at once where both are tight; never through the balls "
             "or rollers, never a bare hammer.",
             largest_cold_bore_mm,
             largest_cold_interference_um(d.bore_mm, *size.outside_diameter, *size.width, rollers),
             force),
         source});
  else
    p.advice.push_back({"Cold pressing", Weighing::note,
                        fmt::format("Not cold: above {:g} mm bore or 10 kN. Force {}.",
                                    largest_cold_bore_mm, force),
                        source});
}

std::string heating_words(const ReplacementPlan& p, bool delicate) {
  const Heating& h = *p.heat;
  if (!h.slides)
    return fmt::format(
        "Heating up to {:g} °C is not enough if shaft and bore are both at their limits: measure "
        "the seat (--shaft), or heat to {:.0f} °C and press with a sleeve on the inner ring.",
        hottest_bearing_c, h.aim_c);
  return fmt::format(
      "{} to {:.0f} °C (at {:.0f} °C workshop temperature): it then slides on with {:.0f} µm "
      "clearance even on the largest shaft. Never above {:g} °C.",
      delicate ? "If the manufacturer allows this temperature for a sealed or shielded bearing, "
                 "heat it"
      : p.cold ? "Instead of pressing, heat the bearing"
               : "Heat the bearing",
      h.aim_c, p.duty.workshop_c, h.play_um, hottest_bearing_c);
}

std::string closed_words(const ReplacementPlan& p, bool delicate) {
  if (!delicate) return "Never heat in an oil bath.";
  return p.cold ? "Never heat in an oil bath. Above 80 °C grease and seals can be damaged: press "
                  "it on cold."
                : "Never heat in an oil bath. Above 80 °C grease and seals can be damaged: ask the "
                  "manufacturer for the limit of this bearing, or measure the seat first "
                  "(--shaft); a smaller interference needs less heat.";
}

void heat(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (!p.interference_um) return;
  p.heat = heating(*p.interference_um, d.bore_mm, p.duty.workshop_c);
  const Heating& h = *p.heat;
  const bool delicate = d.closure != Closure::open && h.aim_c > hottest_closed_c;
  const bool closed = d.closure != Closure::open;
  p.advice.push_back(
      {"Heating", h.slides || p.cold ? Weighing::note : Weighing::caution,
       heating_words(p, delicate) +
           (closed && p.cold ? " " + closed_words(p, delicate) : std::string{}),
       "expansion 12.5e-6 1/K and 20 to 30 K more: " + std::string{sources::catalogue_a} +
           "; limit: " + std::string{sources::three_limits}});
  p.advice.push_back(
      {"Heater", Weighing::note,
       "Use an induction heater with the probe on the inner ring, then demagnetise; or use a hot "
       "plate. No open flame.",
       std::string{sources::practice} + "; no flame: " + std::string{sources::catalogue_b}});
  if (closed && !p.cold)
    p.advice.push_back(
        {"Heating sealed or shielded bearings", Weighing::caution, closed_words(p, delicate),
         std::string{sources::catalogue_b} + "; 80 °C: " + std::string{sources::practice}});
}

void certificate(ReplacementPlan& p) {
  if (!p.duty.explosion_protected) return;
  p.advice.push_back(
      {"Explosion protection", Weighing::caution,
       "Only a workshop licensed for it opens this motor (IEC 60079-19). Same designation, "
       "clearance and grease as the certificate and the manual say; joint faces (flame paths) are "
       "cleaned, never reworked; the fits and limits here are no permission to machine anything.",
       "extract of IEC 60079-19:2015, clause 4; a manual of explosion-protected motors (workshop "
       "practice 16)"});
}

}  // namespace

void advise_on_mounting(ReplacementPlan& plan) {
  certificate(plan);
  on_shaft(plan);
  in_housing(plan);
  rollers(plan);
  cold(plan);
  heat(plan);
}

}  // namespace bearingdsp
