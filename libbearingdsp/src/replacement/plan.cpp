#include "bearingdsp/replacement/plan.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "advisers.hpp"
#include "bearingdsp/bearing/size.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

Error refuse(std::string what, std::string advice) {
  return {Errc::bad_argument, "replacement", std::move(what), std::move(advice)};
}

bool within(double v, double low, double high) { return std::isfinite(v) && v >= low && v <= high; }

Result<void> sensible_motor(const MotorDuty& m) {
  if (m.speed && !within(m.speed->value(), 1, 1e5))
    return refuse(fmt::format("{:g} rpm is not a valid motor speed", m.speed->value()),
                  "give 1 to 100000");
  if (m.shaft_height_mm && !within(*m.shaft_height_mm, 30, 2000))
    return refuse(fmt::format("{:g} mm is not a valid shaft height", *m.shaft_height_mm),
                  "give the IEC frame size in mm, for example 132");
  if (m.power_kw && !within(*m.power_kw, 0.01, 1e5))
    return refuse(fmt::format("{:g} kW is not a valid motor power", *m.power_kw),
                  "give the power in kW");
  if (m.pulley_mm && !within(*m.pulley_mm, 10, 5000))
    return refuse(fmt::format("{:g} mm is not a valid pulley diameter", *m.pulley_mm),
                  "give the diameter of the motor pulley, 10 to 5000 mm");
  for (const auto& load : {m.radial_n, m.axial_n})
    if (load && !within(*load, 0, 1e7))
      return refuse(fmt::format("{:g} N is not a valid load", *load), "give newtons, 0 or more");
  return {};
}

Result<void> sensible_temperatures(const MotorDuty& m) {
  // From the coldest grease (low-temperature, -55) to rings S4 (350).
  if (!within(m.bearing_c, -60, 350))
    return refuse(fmt::format("{:g} degrees C is not a valid bearing temperature", m.bearing_c),
                  "give -60 to 350");
  if (m.coldest_c && !within(*m.coldest_c, -60, 60))
    return refuse(
        fmt::format("{:g} degrees C is not a valid temperature at the start", *m.coldest_c),
        "give -60 to 60");
  if (!within(m.workshop_c, -20, 50))
    return refuse(fmt::format("{:g} degrees C is not a valid workshop temperature", m.workshop_c),
                  "give -20 to 50");
  return {};
}

Result<void> sensible_seats(const Designation& d, const MotorDuty& m) {
  // A fit is at most 0.1 mm over the bore (ISO 286-2 to 500 mm); wear takes a few tenths. More is
  // another shaft or another bearing.
  constexpr double over = 0.2;
  constexpr double worn = 0.5;
  if (m.shaft_mm && (*m.shaft_mm > d.bore_mm + over || *m.shaft_mm < d.bore_mm - worn))
    return refuse(fmt::format("a shaft of {:g} mm does not belong to a bore of {:g} mm",
                              *m.shaft_mm, d.bore_mm),
                  "check both");
  const auto outside = size_of(d).outside_diameter;
  if (m.housing_mm && !outside)
    return refuse("the outside diameter of this bearing is not in the tables",
                  "compare the housing with the drawing of the motor");
  if (m.housing_mm && (*m.housing_mm > *outside + worn || *m.housing_mm < *outside - over))
    return refuse(fmt::format("a housing of {:g} mm does not belong to an outside diameter of {:g} "
                              "mm",
                              *m.housing_mm, *outside),
                  "check both");
  return {};
}

Result<void> sensible_grease(const MotorDuty& m) {
  for (const std::string& grease : {m.grease, m.old_grease})
    if (!grease.empty())
      if (const auto known = thickener(grease); !known) return known.error();
  if (!m.oil) return {};
  if (!within(m.oil->at_40, 2, 5000))
    return refuse(fmt::format("{:g} mm2/s is not a valid viscosity at 40 degrees C", m.oil->at_40),
                  "give 2 to 5000, as on the data sheet of the grease");
  if (m.oil->at_100 && !(*m.oil->at_100 >= 1 && *m.oil->at_100 < m.oil->at_40))
    return refuse(
        fmt::format("{:g} mm2/s is not a valid viscosity at 100 degrees C", *m.oil->at_100),
        "give 1 or more, below that at 40 degrees C");
  return {};
}

Result<void> sensible(const Designation& d, const MotorDuty& m) {
  if (auto ok = sensible_motor(m); !ok) return ok;
  if (auto ok = sensible_temperatures(m); !ok) return ok;
  if (auto ok = sensible_grease(m); !ok) return ok;
  return sensible_seats(d, m);
}

}  // namespace

std::string_view token(Weighing weighing) noexcept {
  constexpr std::string_view names[] = {"good", "note", "caution", "wrong", "look up"};
  return names[static_cast<std::size_t>(weighing)];
}

Advice not_judged(std::string topic, std::string why, std::string source) {
  return {std::move(topic), Weighing::look_up, std::move(why), std::move(source)};
}

bool greased_for_life(const Designation& d) noexcept {
  return d.closure != Closure::open && d.closed_sides == 2;
}

Result<ReplacementPlan> plan_replacement(const Designation& designation, const MotorDuty& duty) {
  if (auto ok = sensible(designation, duty); !ok) return ok.error();
  ReplacementPlan plan;
  plan.facts = facts_of(designation);
  plan.duty = duty;
  advise_on_choice(plan);
  advise_on_temperature(plan);
  advise_on_loads(plan);
  advise_on_mounting(plan);
  advise_on_grease(plan);
  return plan;
}

}  // namespace bearingdsp
