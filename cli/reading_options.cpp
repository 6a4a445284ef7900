#include "reading_options.hpp"

#include <tuple>
#include <utility>

#include "checks.hpp"
#include "options.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

void add_electrical(CLI::App& c, WorkshopOptions& o) {
  const std::string group = "Readings, electrical";
  WorkshopReadings& r = o.readings;
  c.add_option("--insulation", o.insulation,
               "winding to earth after 1 minute, and after 10 for the polarisation index")
      ->type_name("MOHM[,MOHM]")
      ->group(group);
  c.add_option("--winding-temperature", r.winding_c, "temperature of the winding then")
      ->type_name("C")
      ->group(group);
  c.add_option("--winding", o.winding, "resistances between the terminals, for their balance")
      ->type_name("OHM,OHM,OHM")
      ->group(group);
  c.add_option("--bearing-insulation", r.bearing_insulation_mohm,
               "insulated bearing from ring to ring, 500 V DC")
      ->type_name("MOHM")
      ->group(group);
  c.add_option("--machine-insulation", r.machine_insulation_mohm,
               "insulated bearing in the machine: shaft to frame, the other paths lifted")
      ->type_name("MOHM")
      ->group(group);
  c.add_option("--machine-insulation-before", r.machine_insulation_before_mohm,
               "the same when it was last measured")
      ->type_name("MOHM")
      ->group(group);
  c.add_option("--machine-insulation-limit", r.machine_insulation_limit_mohm,
               "the least that data sheet or specification demand")
      ->type_name("MOHM")
      ->group(group);
  c.add_option("--shaft-voltage", r.shaft_mv, "shaft end to end, rms")
      ->type_name("MV")
      ->group(group);
  c.add_option("--current", o.current, "the three lines at no load")
      ->type_name("A,A,A")
      ->group(group);
  const std::string facts = "Readings: the motor (default: machine file)";
  c.add_option("--rated-voltage", o.rated_v, "rated voltage")
      ->type_name("V")
      ->check(between(1.0, 1e5))
      ->group(facts);
  c.add_option("--rated-current", o.rated_a, "rated current")
      ->type_name("A")
      ->check(between(0.01, 1e5))
      ->group(facts);
  c.add_option("--service-rpm", o.service_rpm, "speed of the coupled machine, for the alignment")
      ->type_name("RPM")
      ->check(between(1.0, 1e6))
      ->group(facts);
  c.add_flag("--class-a", o.class_a, "insulation of thermal class A (old winding)")->group(facts);
}

void add_mechanical(CLI::App& c, WorkshopOptions& o) {
  const std::string group = "Readings, mechanical";
  WorkshopReadings& r = o.readings;
  const auto millimetres = [&](const char* name, std::optional<double>& to, const char* meaning) {
    c.add_option(name, to, meaning)->type_name("MM")->group(group);
  };
  millimetres("--runout", r.runout_mm, "of the shaft extension, indicator change in a revolution");
  millimetres("--shaft-diameter", r.extension_mm, "diameter of the shaft extension");
  millimetres("--end-float", r.end_float_mm, "of the shaft, axial");
  millimetres("--rotor-play", r.rotor_play_mm, "of the shaft at the bearing, radial, cold");
  millimetres("--soft-foot", r.soft_foot_mm, "largest movement of a foot when it is loosened");
  c.add_option("--spring", r.spring_n, "force of the preload spring at its installed height")
      ->type_name("N")
      ->group(group);
  c.add_option("--cooling", o.cooling, "fan, cover and fins: good, or poor")
      ->type_name("WORD")
      ->check(CLI::IsMember({"good", "poor"}))
      ->group(group);
  c.add_option("--mark", o.mark, "key mark at the shaft end: H (half), F (full) or N (none)")
      ->type_name("LETTER")
      ->group(group)
      ->transform(one_word_of({{"H", static_cast<int>(ShaftKey::half)},
                               {"F", static_cast<int>(ShaftKey::full)},
                               {"N", static_cast<int>(ShaftKey::none)}}));
  c.add_option("--key", o.key, "key in the keyway at the no-load run: half, full or none")
      ->type_name("WORD")
      ->group(group)
      ->transform(one_word_of({{"half", static_cast<int>(ShaftKey::half)},
                               {"full", static_cast<int>(ShaftKey::full)},
                               {"none", static_cast<int>(ShaftKey::none)}}));
}

void add_run(CLI::App& c, WorkshopOptions& o) {
  const std::string group = "Readings, no-load run";
  WorkshopReadings& r = o.readings;
  c.add_option("--temperature", r.bearing_c, "hottest bearing housing after 1 h")
      ->type_name("C")
      ->group(group);
  c.add_option("--room", r.room_c, "temperature of the room (default: ambient_c of the machine)")
      ->type_name("C")
      ->group(group);
  c.add_option("--noise-level", r.noise_dba, "noise at 1 m")->type_name("DBA")->group(group);
  c.add_option("--noise-limit", r.noise_limit_dba, "noise that data sheet or specification allow")
      ->type_name("DBA")
      ->group(group);
  c.add_option("--noise-before", r.noise_before_dba, "noise when it was last measured there")
      ->type_name("DBA")
      ->group(group);
}

void add_drive(CLI::App& c, WorkshopOptions& o) {
  const std::string group = "Readings, coupling and belt";
  WorkshopReadings& r = o.readings;
  c.add_option("--offset", r.offset_mm, "parallel offset of the coupling")
      ->type_name("MM")
      ->group(group);
  c.add_option("--gap", r.gap_mm, "angle of the coupling: gap per 100 mm diameter")
      ->type_name("MM")
      ->group(group);
  c.add_option("--belt-angle", r.belt_angle_deg, "angle between the pulleys")
      ->type_name("DEG")
      ->group(group);
  c.add_option("--belt-force", r.belt_force_n,
               "force per belt at mid-span for 16 mm deflection per metre of span")
      ->type_name("N")
      ->group(group);
  c.add_option("--belt-section", r.belt_section, "section of plain V-belts: A, B, C or D")
      ->type_name("LETTER")
      ->group(group)
      ->transform(one_word_of({{"A", static_cast<int>(BeltSection::a)},
                               {"B", static_cast<int>(BeltSection::b)},
                               {"C", static_cast<int>(BeltSection::c)},
                               {"D", static_cast<int>(BeltSection::d)}}));
  c.add_option("--small-pulley", r.small_pulley_mm, "diameter of the smaller pulley")
      ->type_name("MM")
      ->group(group);
  c.add_flag("--new-belt", r.belt_new, "the belt has not yet run in")->group(group);
  c.add_flag("--toothed-belt", r.belt_toothed, "a toothed belt, not a V-belt")->group(group);
}

template <class T>
void prefer_typed(std::optional<T>& value, const std::optional<T>& typed) {
  if (typed) value = typed;
}

}  // namespace

void add_workshop_options(CLI::App& c, WorkshopOptions& o) {
  add_electrical(c, o);
  add_mechanical(c, o);
  add_run(c, o);
  add_drive(c, o);
}

Result<WorkshopInput> take_readings(const WorkshopOptions& o, const WorkshopFacts& known) {
  WorkshopInput in{o.readings, known};
  if (!o.insulation.empty()) {
    const auto v = numbers(o.insulation, "--insulation", 1, 2);
    if (!v) return v.error();
    in.readings.insulation_mohm = v->front();
    if (v->size() > 1) in.readings.insulation_10_min_mohm = v->back();
  }
  for (const auto& [text, option, to] :
       {std::tuple{&o.winding, "--winding", &in.readings.winding_ohm},
        std::tuple{&o.current, "--current", &in.readings.current_a}}) {
    if (text->empty()) continue;
    auto v = numbers(*text, option, 3, 3);
    if (!v) return v.error();
    *to = std::move(*v);
  }
  if (!o.cooling.empty()) in.readings.cooling_good = o.cooling == "good";
  in.readings.mark = o.mark;
  in.readings.key = o.key;
  prefer_typed(in.facts.rated_v, o.rated_v);
  prefer_typed(in.facts.rated_a, o.rated_a);
  prefer_typed(in.facts.service_rpm, o.service_rpm);
  in.facts.class_a = in.facts.class_a || o.class_a;
  return in;
}

}  // namespace cli
