#include "bearingdsp/replacement/check_sheets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/bearing/clearance.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/replacement/machine_duty.hpp"
#include "bearingdsp/replacement/mounting.hpp"

namespace bearingdsp {
namespace {

struct SheetRow {
  std::string check, kind, text;
  std::vector<StepKind> tasks;
  std::string limit, unit;
};

std::vector<StepKind> tasks_of(std::string_view words) {
  std::vector<StepKind> tasks;
  while (!words.empty()) {
    const auto stop = words.find(';');
    if (const auto task = from_token<StepKind>(words.substr(0, stop))) tasks.push_back(*task);
    words = stop == std::string_view::npos ? "" : words.substr(stop + 1);
  }
  return tasks;
}

const std::vector<SheetRow>& sheet_rows() {
  static const auto all =
      table::built_in(data::workshop_steps, "workshop steps", [](const table::Cells& r) {
        return SheetRow{r.text("check"),      r.text("kind"),  r.text("text"),
                        tasks_of(r["tasks"]), r.text("limit"), r.text("unit")};
      });
  return all;
}

std::string range_words(const WorkshopLimit& l) {
  const std::string unit = l.unit.empty() ? "" : " " + l.unit;
  if (l.low && l.high && *l.low == *l.high) return fmt::format("{:g}{}", *l.low, unit);
  if (l.low && l.high) return fmt::format("{:g} to {:g}{}", *l.low, *l.high, unit);
  return l.low ? fmt::format("at least {:g}{}", *l.low, unit)
               : fmt::format("at most {:g}{}", l.high.value_or(0), unit);
}

/// "over 18 to 30 mm" before the limit, for a sheet that is printed before it is known.
std::string case_words(const WorkshopLimit& l) {
  if (!l.over) return range_words(l);
  constexpr double endless = 1e6;
  return *l.to > endless ? fmt::format("over {:g}: {}", *l.over, range_words(l))
                         : fmt::format("{:g}-{:g}: {}", *l.over, *l.to, range_words(l));
}

std::string alignment_words(const WorkshopFacts& f) {
  if (f.service_rpm)
    return fmt::format("at most {:.3f} at {:.0f} rpm", coupling_tolerance_mm(*f.service_rpm),
                       *f.service_rpm);
  std::string text;
  for (const double rpm : {750.0, 1000.0, 1500.0, 3000.0})
    add_part(text, fmt::format("{:.0f} rpm: at most {:.3f}", rpm, coupling_tolerance_mm(rpm)),
             "; ");
  return text;
}

std::string play_words(const WorkshopFacts& f) {
  if (!f.play_high_mm) return "clearance of the mounted bearing (give the designation)";
  return fmt::format("at most {:.3f} mm (at least {:.3f})", *f.play_high_mm,
                     std::max(0.0, f.play_low_mm.value_or(0)));
}

/// All limits of a check that go by one name, or the one that holds.
std::string limit_of(WorkshopCheck check, const std::string& what, const WorkshopFacts& f,
                     std::vector<std::string>& sources) {
  if (what.empty()) return "";
  if (check == WorkshopCheck::rotor_play) {
    sources.emplace_back(
        "play: derived; largest clearance of the class (ISO 5753-1) minus 70 % of "
        "the least interference");
    return play_words(f);
  }
  std::string text;
  const bool electric = check == WorkshopCheck::insulation_resistance;
  for (const WorkshopLimit& l : workshop_limits()) {
    if (l.check != token(check) || l.what != what) continue;
    if (electric && f.rated_v && !(*f.rated_v > *l.over && *f.rated_v <= *l.to)) continue;
    const bool known = electric && f.rated_v;
    add_part(text, known ? range_words(l) : case_words(l), "; ");
    const std::string source = source_words(what, l.status, l.source);
    if (std::find(sources.begin(), sources.end(), source) == sources.end())
      sources.push_back(source);
  }
  return check == WorkshopCheck::coupling_alignment ? alignment_words(f) : text;
}

bool wanted(WorkshopCheck check, const SheetOptions& o) {
  switch (check) {
    case WorkshopCheck::belt_alignment:
    case WorkshopCheck::belt_tension:
      return o.belt;
    case WorkshopCheck::coupling_alignment:
      return o.coupling;
    case WorkshopCheck::bearing_insulation:
    case WorkshopCheck::machine_insulation:
      return o.insulated;
    default:
      return true;
  }
}

CheckSheet sheet_of(WorkshopCheck check, const WorkshopFacts& f, const SheetOptions& o) {
  CheckSheet s;
  s.check = check;
  s.title = capital(std::string{words(check)});
  for (const SheetRow& r : sheet_rows()) {
    if (r.check != token(check)) continue;
    if (r.kind == "when") s.when = r.text;
    if (r.kind == "step") s.steps.push_back({r.text, cautions_for(r.tasks, o.dangers), {}});
    if (r.kind == "note") s.notes.push_back(r.text);
    if (r.kind == "reading")
      s.readings.push_back({r.text, limit_of(check, r.limit, f, s.sources), r.unit});
  }
  return s;
}

}  // namespace

std::vector<CheckSheet> check_sheets(const WorkshopFacts& facts, const SheetOptions& options) {
  std::vector<CheckSheet> sheets;
  for (int c = 0; c < workshop_check_count; ++c)
    if (const auto check = static_cast<WorkshopCheck>(c); wanted(check, options))
      sheets.push_back(sheet_of(check, facts, options));
  return sheets;
}

SheetOptions sheet_options(const Machine& machine, MachineEnd end) {
  const MotorDuty duty = duty_of(machine, end);
  SheetOptions o;
  o.dangers = dangers_of(duty);
  o.belt = duty.belt_drive || duty_of(machine, MachineEnd::drive_end).belt_drive;
  o.coupling = !o.belt;
  for (const auto& b : {machine.drive_end, machine.non_drive_end})
    o.insulated = o.insulated || (b && b->insulated.value_or(false));
  return o;
}

WorkshopFacts with_rotor_play(WorkshopFacts facts, const std::string& designation) {
  const auto readings = read_designation(designation);
  if (!readings || readings->size() != 1) return facts;
  const Designation& d = readings->front();
  facts.bore_mm = d.bore_mm;
  const auto before = radial_clearance(d.type, d.clearance, d.bore_mm);
  const auto fit = motor_shaft_fit(d);
  if (!before || !fit) return facts;
  facts.play_low_mm = (before->low_um - 0.9 * std::max(0.0, fit->max_interference_um)) / 1000;
  facts.play_high_mm = (before->high_um - 0.7 * std::max(0.0, fit->min_interference_um)) / 1000;
  return facts;
}

}  // namespace bearingdsp
