#include <fmt/format.h>

#include <array>
#include <cstddef>

#include <string>
#include <utility>

#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/displacement.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/report/machine.hpp"
#include "report/sections.hpp"

#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

/// A figure of the nameplate, with the digits it was given.
std::string plain(double value) { return fmt::format("{:g}", value); }

constexpr std::array ends{MachineEnd::drive_end, MachineEnd::non_drive_end};

ReportSection nameplate(const Machine& m) {
  ReportSection s;
  s.id = "nameplate";
  s.title = "Motor";
  const auto add = [&s](std::string label, std::string text) {
    if (!text.empty()) s.figures.push_back({std::move(label), std::move(text)});
  };
  add("Drives", m.drives);
  if (m.power) add("Power", fmt::format("{} kW", plain(m.power->value())));
  if (m.rated_speed) add("Rated speed", fmt::format("{} rpm", plain(m.rated_speed->value())));
  if (const auto field = synchronous_speed(m))
    add("Synchronous speed", fmt::format("{} rpm ({} poles on {} Hz)", plain(field->value()),
                                         2 * *pole_pairs(m), plain(m.line_frequency->value())));
  if (m.shaft_height)
    add("Shaft height", fmt::format("{} mm{}", plain(m.shaft_height->value()),
                                    m.frame.empty() ? "" : ", frame " + m.frame));
  if (m.mounting != Mounting::unknown) add("Mounting", std::string{words(m.mounting)});
  add("Shaft", std::string{words(m.orientation)});
  if (m.drive != Drive::unknown) add("Fed", std::string{words(m.drive)});
  if (m.rated_voltage) add("Rated voltage", fmt::format("{} V", plain(m.rated_voltage->value())));
  if (m.rated_current) add("Rated current", fmt::format("{} A", plain(m.rated_current->value())));
  if (m.rotor != Rotor::unknown) add("Rotor", std::string{words(m.rotor)});
  if (m.explosion_protected) add("Explosion protection", "yes: licensed workshop only");
  add("Duty", m.duty);
  return s;
}

ReportSection bearings(const Machine& m) {
  ReportSection s;
  s.id = "bearings";
  s.title = "Bearings and their defect frequencies";
  if (m.rated_speed) s.title += fmt::format(" at {} rpm", plain(m.rated_speed->value()));
  ReportTable t;
  t.columns = {{"End", "", false}, {"Bearing", "", false}, {"Elements", "", true},
               {"BPFO", "", true}, {"BPFI", "", true},     {"2 x BSF", "", true},
               {"FTF", "", true}};
  const std::string unit = m.rated_speed ? "Hz" : "orders";
  for (std::size_t c = 3; c < t.columns.size(); ++c) t.columns[c].unit = unit;
  const auto text = [&m](Order o) {
    return significant(m.rated_speed ? at_speed(o, shaft_rate(*m.rated_speed)).value() : o.value(),
                       4);
  };
  for (const MachineEnd end : ends) {
    const auto& bearing = m.bearing(end);
    if (!bearing) continue;
    const auto variants = bearing_variants(*bearing);
    const std::string title = bearing->designation.empty() ? "from its data" : bearing->designation;
    if (!variants) {
      t.rows.push_back({std::string{words(end)}, title, "", "", "", "", ""});
      s.notes.push_back(
          fmt::format("{}: {}; {}", words(end), variants.error().what, variants.error().advice));
      continue;
    }
    for (const auto& o : orders_of(*variants))
      t.rows.push_back({std::string{words(end)}, title,
                        o.rolling_elements > 0 ? fmt::format("{}", o.rolling_elements) : "",
                        text(o.bpfo), text(o.bpfi), text(2 * o.bsf), text(o.ftf)});
    if (variants->size() > 1)
      s.notes.push_back(fmt::format(
          "{}: {} exists in {} variants. Count the rolling elements and add elements to the file.",
          words(end), title, variants->size()));
  }
  s.table = std::move(t);
  return s;
}

ReportSection points(const Machine& m) {
  ReportSection s;
  s.id = "points";
  s.title = "Measuring points";
  ReportTable t;
  t.columns = {{"Point", "", false},
               {"End", "", false},
               {"Direction", "", false},
               {"Unit", "", false},
               {"Sensitivity", "mV/g", true}};
  for (const MeasuringPoint& p : m.points)
    t.rows.push_back({p.name, std::string{words(p.end)}, std::string{words(p.direction)}, p.unit,
                      p.sensitivity_mv_per_g ? plain(*p.sensitivity_mv_per_g) : ""});
  s.table = std::move(t);
  return s;
}

/// What the standards allow it; without power and shaft height there is nothing to say.
ReportSection limits(const Machine& m) {
  ReportSection s;
  s.id = "limits";
  s.title = "Vibration limits";
  if (const auto zones = zone_limits(m)) {
    s.figures.push_back(
        {"In service", fmt::format("A up to {:g}, B up to {:g}, C up to {:g}, D above; mm/s rms",
                                   in_mm_per_s_rms(zones->ab), in_mm_per_s_rms(zones->bc),
                                   in_mm_per_s_rms(zones->cd))});
    if (zones->displacement)
      s.figures.push_back({"And", fmt::format("A, B, C up to {}, D above. The worse zone counts",
                                              displacement_limit_words(*zones))});
    s.figures.push_back({"Class", fmt::format("{}, {}; {}", zones->machine_class, zones->edition,
                                              limits_status(*zones))});
    for (const std::string& assumption : zones->assumptions) s.notes.push_back(assumption + ".");
  } else {
    s.notes.push_back(fmt::format("In service: {}; {}.", zones.error().what, zones.error().advice));
  }
  if (!m.shaft_height) return s;
  const auto no_load = iec_no_load_limits(*m.shaft_height, m.mounting);
  if (no_load)
    s.figures.push_back({"At no load", fmt::format("up to {:g} mm/s rms, {} ({})",
                                                   in_mm_per_s_rms(no_load->velocity),
                                                   no_load->words, no_load->source)});
  else
    s.notes.push_back(fmt::format("At no load: {} {}; {}.", no_load.error().where,
                                  no_load.error().what, no_load.error().advice));
  return s;
}

Json limits_json(const Machine& m) {
  const auto zones = zone_limits(m);
  if (!zones) return {};
  const auto um = [&](DisplacementRms DisplacementLimits::*of) {
    return zones->displacement ? Json(1e6 * ((*zones->displacement).*of).value()) : Json{};
  };
  return {{"standard", zones->edition},
          {"machine_class", zones->machine_class},
          {"a_b_mm_s_rms", in_mm_per_s_rms(zones->ab)},
          {"b_c_mm_s_rms", in_mm_per_s_rms(zones->bc)},
          {"c_d_mm_s_rms", in_mm_per_s_rms(zones->cd)},
          {"band_from_hz", zones->from.value()},
          {"a_b_um_rms", um(&DisplacementLimits::ab)},
          {"b_c_um_rms", um(&DisplacementLimits::bc)},
          {"c_d_um_rms", um(&DisplacementLimits::cd)},
          {"limits_status", limits_status(*zones)},
          {"assumptions", zones->assumptions}};
}

ReportSection gaps(const Machine& m) {
  ReportSection s;
  s.id = "gaps";
  s.title = "How to improve the diagnosis";
  if (!m.rated_speed && !m.speed_range)
    s.items.emplace_back("Add rated_rpm from the nameplate: every frequency depends on the speed.");
  if (!m.line_frequency)
    s.items.emplace_back("Add line_frequency_hz (50 or 60): mains lines can then be excluded.");
  for (const MachineEnd end : ends)
    if (!m.bearing(end))
      s.items.push_back(
          fmt::format("The {} bearing is not known: read its designation from the ring, the box or "
                      "the data sheet of the motor.",
                      words(end)));
  if (m.points.empty()) s.items.emplace_back("Add a [[machine.point]] for each sensor position.");
  return s;
}

Json json_of(const Machine& m) {
  Json j;
  j["name"] = m.name;
  j["where"] = m.where;
  j["rated_rpm"] = m.rated_speed ? Json(m.rated_speed->value()) : Json();
  j["line_frequency_hz"] = m.line_frequency ? Json(m.line_frequency->value()) : Json();
  j["shaft_height_mm"] = m.shaft_height ? Json(m.shaft_height->value()) : Json();
  j["mounting"] = token(m.mounting);
  j["zone_limits"] = limits_json(m);
  j["bearings"] = Json::array();
  for (const MachineEnd end : ends) {
    const auto& bearing = m.bearing(end);
    if (!bearing) continue;
    Json b{{"end", token(end)}, {"designation", bearing->designation}, {"orders", Json::array()}};
    if (const auto variants = bearing_variants(*bearing))
      for (const auto& o : orders_of(*variants))
        b["orders"].push_back({{"rolling_elements", o.rolling_elements},
                               {"bpfo", o.bpfo.value()},
                               {"bpfi", o.bpfi.value()},
                               {"bsf", o.bsf.value()},
                               {"ftf", o.ftf.value()}});
    j["bearings"].push_back(std::move(b));
  }
  j["points"] = Json::array();
  for (const MeasuringPoint& p : m.points)
    j["points"].push_back(
        {{"name", p.name}, {"end", token(p.end)}, {"direction", token(p.direction)}});
  return j;
}

}  // namespace

Report machine_report(const Machine& machine) {
  Report r;
  r.title = machine.name;
  r.source = machine.where;
  r.headline = machine.description;
  r.sections = {nameplate(machine), bearings(machine)};
  if (!machine.points.empty()) r.sections.push_back(points(machine));
  r.sections.push_back(limits(machine));
  if (auto missing = gaps(machine); !missing.items.empty())
    r.sections.push_back(std::move(missing));
  return r;
}

Report machine_list_report(const std::vector<Machine>& machines, const std::string& title) {
  Report r;
  r.title = title;
  r.headline = counted(machines.size(), "machine");
  if (machines.empty()) return r;
  ReportSection s;
  s.id = "machines";
  ReportTable t;
  t.columns = {{"Machine", "", false}, {"Speed", "rpm", true}, {"Power", "kW", true},
               {"DE", "", false},      {"NDE", "", false},     {"Points", "", true}};
  const auto bearing = [](const std::optional<MachineBearing>& b) -> std::string {
    if (!b) return "-";
    return b->designation.empty() ? "by its data" : b->designation;
  };
  for (const Machine& m : machines)
    t.rows.push_back({m.name, m.rated_speed ? plain(m.rated_speed->value()) : "-",
                      m.power ? plain(m.power->value()) : "-", bearing(m.drive_end),
                      bearing(m.non_drive_end), std::to_string(m.points.size())});
  s.table = std::move(t);
  r.sections.push_back(std::move(s));
  return r;
}

std::string machine_check_json(const MachineCheck& check, const JsonOptions& options) {
  Json j = headed("bearingdsp.machine-check/1");
  j["machines"] = Json::array();
  for (const Machine& m : check.machines) j["machines"].push_back(json_of(m));
  j["errors"] = Json::array();
  for (const Error& e : check.errors)
    j["errors"].push_back({{"where", e.where}, {"what", e.what}, {"advice", e.advice}});
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
