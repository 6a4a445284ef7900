#include "bearingdsp/replacement/plan.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "advisers.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

Error refuse(std::string what, std::string advice) {
  return {Errc::bad_argument, "replacement", std::move(what), std::move(advice)};
}

Result<void> sensible(const Designation& d, const MotorDuty& m) {
  const auto within = [](double v, double low, double high) {
    return std::isfinite(v) && v >= low && v <= high;
  };
  if (m.speed && !within(m.speed->value(), 1, 1e5))
    return refuse(fmt::format("{:g} rpm is not a valid motor speed", m.speed->value()),
                  "give 1 to 100000");
  if (m.shaft_height_mm && !within(*m.shaft_height_mm, 30, 2000))
    return refuse(fmt::format("{:g} mm is not a valid shaft height", *m.shaft_height_mm),
                  "give the IEC frame size in mm, for example 132");
  if (m.power_kw && !within(*m.power_kw, 0.01, 1e5))
    return refuse(fmt::format("{:g} kW is not a valid motor power", *m.power_kw),
                  "give the power in kW");
  if (!within(m.bearing_c, -40, 200))
    return refuse(fmt::format("{:g} degrees C is not a valid bearing temperature", m.bearing_c),
                  "give -40 to 200");
  if (!within(m.workshop_c, -20, 50))
    return refuse(fmt::format("{:g} degrees C is not a valid workshop temperature", m.workshop_c),
                  "give -20 to 50");
  for (const auto& load : {m.radial_n, m.axial_n})
    if (load && !within(*load, 0, 1e7))
      return refuse(fmt::format("{:g} N is not a valid load", *load), "give newtons, 0 or more");
  // A fit is at most 0.1 mm over the bore (ISO 286-2 to 500 mm); wear takes a few tenths. More is
  // another shaft or another bearing.
  constexpr double over = 0.2;
  constexpr double worn = 0.5;
  if (m.shaft_mm && (*m.shaft_mm > d.bore_mm + over || *m.shaft_mm < d.bore_mm - worn))
    return refuse(fmt::format("a shaft of {:g} mm does not belong to a bore of {:g} mm",
                              *m.shaft_mm, d.bore_mm),
                  "check both");
  return {};
}

}  // namespace

std::string_view name(Weighing weighing) noexcept {
  constexpr std::string_view names[] = {"good", "note", "caution", "wrong", "look up"};
  return names[static_cast<std::size_t>(weighing)];
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
  advise_on_mounting(plan);
  advise_on_grease(plan);
  advise_on_life(plan);
  return plan;
}

}  // namespace bearingdsp
