#include <fmt/format.h>

#include <cmath>
#include <string>
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

void measured_shaft(ReplacementPlan& p) {
  const double over_um = 1000 * (*p.duty.shaft_mm - p.facts.designation.bore_mm);
  const auto& fit = *p.fit;
  p.interference_um = over_um - fit.bore.lower_um;
  const bool inside = over_um >= fit.shaft.lower_um - 0.5 && over_um <= fit.shaft.upper_um + 0.5;
  p.advice.push_back(
      {"Seat as measured", inside ? Weighing::good : Weighing::wrong,
       inside ? fmt::format("{:.3f} mm is within {}.", *p.duty.shaft_mm, fit.code)
              : fmt::format("{:.3f} mm is {:+.0f} µm from nominal, outside {} ({}). On a worn seat "
                            "the ring creeps; on an oversize seat the ring cracks or loses its "
                            "clearance. Have the seat restored first.",
                            *p.duty.shaft_mm, over_um, fit.code, limits(fit.shaft)),
       fit.source});
}

void on_shaft(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  p.fit = motor_shaft_fit(d);
  if (!p.fit) {
    p.advice.push_back({"Fit on the shaft", Weighing::look_up,
                        d.tapered_bore ? "A bearing with a tapered bore is driven up until the "
                                         "clearance is correct: follow the manufacturer's table."
                                       : "There is no table here for this type or size: ask the "
                                         "motor manufacturer for the fit.",
                        "ISO 286-2 tables held here: 6 to 180 mm"});
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

void in_housing(ReplacementPlan& p) {
  const auto& outside = p.facts.size.outside_diameter;
  const auto h6 = outside ? fit_deviations("h6", *outside) : std::nullopt;
  if (!h6) return;
  p.advice.push_back(
      {"Fit in the housing", Weighing::note,
       fmt::format("H6: 0 to {:+g} µm from {:g} mm, so that the outer ring slides by hand; H7 is "
                   "also common (limits: ISO 286-2). One bearing locates the shaft axially. The "
                   "other must be free to move when the shaft expands.",
                   -h6->lower_um, *outside),
       "width of grade 6: ISO 286-2, in two manufacturers' catalogues; choice: " +
           std::string{sources::catalogue_a}});
}

void heat(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (!p.interference_um || d.tapered_bore) return;
  p.heat = heating(*p.interference_um, d.bore_mm, p.duty.workshop_c);
  const Heating& h = *p.heat;
  const bool delicate = d.closure != Closure::open && h.aim_c > hottest_closed_c;
  std::string text;
  if (h.slides)
    text = fmt::format(
        "{} to {:.0f} °C (at {:.0f} °C workshop temperature): it then slides on with {:.0f} µm "
        "clearance even on the largest shaft. Never above {:g} °C.",
        delicate ? "If the manufacturer allows this temperature for a sealed or shielded bearing, "
                   "heat it"
                 : "Heat the bearing",
        h.aim_c, p.duty.workshop_c, h.play_um, hottest_bearing_c);
  else
    text = fmt::format(
        "Heating up to {:g} °C is not enough if shaft and bore are both at their limits: measure "
        "the seat (--shaft), or heat to {:.0f} °C and press with a sleeve on the inner ring.",
        hottest_bearing_c, h.aim_c);
  p.advice.push_back(
      {"Heating", h.slides ? Weighing::note : Weighing::caution, std::move(text),
       "expansion 12.5e-6 1/K and 20 to 30 K more: " + std::string{sources::catalogue_a} +
           "; limit: " + std::string{sources::three_limits}});
  p.advice.push_back(
      {"Heater", Weighing::note,
       "Use an induction heater with the probe on the inner ring, then demagnetise; or use a hot "
       "plate. No open flame.",
       std::string{sources::practice} + "; no flame: " + std::string{sources::catalogue_b}});
  if (d.closure != Closure::open)
    p.advice.push_back(
        {"Heating sealed or shielded bearings", Weighing::caution,
         fmt::format("Never heat in an oil bath.{}",
                     h.aim_c > hottest_closed_c
                         ? " Above 80 °C grease and seals can be damaged: ask the manufacturer for "
                           "the limit of this bearing, or measure the seat first (--shaft); a "
                           "smaller interference needs less heat."
                         : ""),
         std::string{sources::catalogue_b} + "; 80 °C: " + std::string{sources::practice}});
}

}  // namespace

void advise_on_mounting(ReplacementPlan& plan) {
  on_shaft(plan);
  in_housing(plan);
  heat(plan);
}

}  // namespace bearingdsp
