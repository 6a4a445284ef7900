// Machine and route files that are damaged or made to harm are refused in one line each, or say
// what can be trusted: numbers that are finite, names that can be found again.
#include <cmath>
#include <string_view>

#include "bearingdsp/balancing/tolerance.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/machine/plant.hpp"
#include "bearingdsp/machine/recording_place.hpp"
#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/machine/workshop_checks.hpp"
#include "bearingdsp/replacement/check_sheets.hpp"
#include "bearingdsp/replacement/machine_duty.hpp"
#include "bearingdsp/report/machine.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "invariants.hpp"

namespace {

using namespace bearingdsp;

/// What is derived from a machine file alone.
void use(const Machine& m) {
  (void)known_limits(m);
  (void)velocity_from(m);
  if (const auto grade = grade_for(m); !grade) fuzz::require_error_line(grade.error());
  fuzz::require(!to_text(machine_report(m)).empty());
  for (const MachineEnd end : {MachineEnd::drive_end, MachineEnd::non_drive_end}) {
    (void)bearing_to_order(m, end);
    (void)facts_of(m, end);
    (void)dangers_of(duty_of(m, end));
    for (const CheckSheet& sheet : check_sheets(workshop_facts(m, end), sheet_options(m, end)))
      fuzz::require(!sheet.title.empty());
  }
  for (const MeasuringPoint& p : m.points)
    if (const auto setup = point_setup(m, p, std::nullopt); !setup)
      fuzz::require_error_line(setup.error());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  const auto all = check_machine_text(text, "a.toml");
  for (const Error& e : all.errors) fuzz::require_error_line(e);
  const auto machines = parse_machines(text, "a.toml");
  fuzz::require(machines.has_value() == all.errors.empty());
  if (!machines) {
    fuzz::require_error_line(machines.error());
  } else {
    for (const Machine& m : *machines) {
      fuzz::require(find_machine(*machines, m.name).has_value());
      use(m);
      if (m.rated_speed) fuzz::require(std::isfinite(m.rated_speed->value()));
      for (const MeasuringPoint& p : m.points)
        fuzz::require(!p.name.empty() && find_point(m, p.name).has_value());
    }
  }
  const auto route = parse_route(text, "a.toml", all.machines);
  if (!route) fuzz::require_error_line(route.error());
  if (route) {
    const auto list = parse_recording_list(*route, text, "recordings.toml");
    if (!list) fuzz::require_error_line(list.error());
    (void)match_recording(*route, text.substr(0, 200));
  }
  const auto plant = parse_plant(text, "plant.toml");
  if (!plant) fuzz::require_error_line(plant.error());
  if (plant) {
    for (const Sensor& s : plant->sensors)
      fuzz::require(find_sensor(plant->sensors, s.name) != nullptr);
    for (const Machine& m : all.machines) (void)with_plant(m, *plant);
  }
  const auto notes = parse_sidecar(text, "a.wav.toml");
  if (!notes) fuzz::require_error_line(notes.error());
  if (notes) {
    // Written and read again, it is the same.
    const std::string written = sidecar_text(*notes);
    const auto again = parse_sidecar(written, "b.wav.toml");
    fuzz::require(again.has_value() && sidecar_text(*again) == written);
  }
  const auto place = find_names(all.machines, text.substr(0, 200));
  if (place) fuzz::require(place->machine < all.machines.size());
  (void)date_in(text.substr(0, 200));
  return 0;
}
