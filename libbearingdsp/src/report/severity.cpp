#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>

#include "bearingdsp/history/standing.hpp"
#include "sections.hpp"

namespace bearingdsp {
namespace {

std::optional<double> highest_velocity(const Diagnosis& d) {
  std::optional<double> highest;
  for (const SignalFigures& f : d.figures)
    if (f.velocity_rms) highest = std::max(highest.value_or(0), *f.velocity_rms);
  return highest;
}

/// How the point would stand if this were its first recording.
Standing standing_of(const Diagnosis& d) {
  Levels levels;
  levels.at(Indicator::velocity) = highest_velocity(d);
  PointHistory history;
  history.readings.push_back(make_reading(d, levels));
  if (d.machine) history.limits.zones = d.machine->vibration.limits;
  return find_standing(history);
}

}  // namespace

ReportSection severity_section(const Diagnosis& d) {
  const Standing s = standing_of(d);
  ReportSection section;
  section.id = "severity";
  section.title = "How bad, and by when to act";
  section.detail = true;
  const bool known = s.stage != Stage::unknown;
  section.figures.push_back(
      {"Damage of the bearing", known && !s.why.empty() && s.verdict == Verdict::fault
                                    ? fmt::format("{}: {}", name(s.stage), s.why)
                                    : std::string{name(s.stage)}});
  if (d.machine)
    section.figures.push_back({"Vibration velocity", vibration_text(d.machine->vibration)});
  else if (const auto v = highest_velocity(d))
    section.figures.push_back(
        {"Vibration velocity", significant(in_mm_per_s(*v)) + " mm/s rms (10-1000 Hz)"});
  section.figures.push_back(
      {"By when", s.what_to_do.empty() ? "Nothing before the next round." : s.what_to_do});
  section.figures.push_back(
      {"Trend", "not known: one recording says how it is, not how fast it goes"});
  return section;
}

}  // namespace bearingdsp
