#include "bearingdsp/history/record.hpp"

#include <algorithm>

#include "bearingdsp/verdict/assessment.hpp"
#include "machine/same_name.hpp"

namespace bearingdsp {

Reading make_reading(const Diagnosis& d, const Levels& levels) {
  Reading r;
  r.version = BEARINGDSP_VERSION;
  r.path = d.source;
  r.duration = d.duration;
  r.rate = d.rate;
  if (d.speed.found()) r.speed = shaft_speed(d.speed.rate);
  r.levels = levels;
  for (const FamilyEvidence& f : d.families)
    r.parts.at(static_cast<std::size_t>(f.part)) = {f.strength, f.depth, f.harmonics_detected,
                                                    f.sidebands_detected};
  r.verdict = d.verdict;
  r.place = d.place;
  r.probability_of_damage = d.probability_of_damage;
  r.probability_of_place = d.probability_of_place;
  r.place_set = d.place_set;
  r.stage = stage_evidence(d);
  r.headline = d.headline;
  r.advice = d.advice;
  r.causes = d.other_causes;
  r.findings = d.findings;
  if (d.machine) r.other_end = d.machine->other_end;
  r.excluded_depth = d.excluded_depth;
  return r;
}

std::string damaged_component(Place place, const std::vector<Part>& set) {
  const std::string component = component_words(place, set);
  return component.empty() ? "component not identified" : component;
}

bool same_point(const PointKey& a, const PointKey& b) noexcept {
  return same_name(a.machine, b.machine) && same_name(a.point, b.point);
}

std::string_view token(DateDoubt doubt) noexcept {
  switch (doubt) {
    case DateDoubt::none:
      return "none";
    case DateDoubt::ahead:
      return "in the future";
    case DateDoubt::behind:
      return "behind the others";
  }
  return "none";
}

std::string_view token(EventKind kind) noexcept {
  switch (kind) {
    case EventKind::bearing_replaced:
      return "bearing replaced";
    case EventKind::greased:
      return "greased";
    case EventKind::repaired:
      return "repaired";
    case EventKind::alarm_acknowledged:
      return "alarm acknowledged";
    case EventKind::note:
      return "note";
  }
  return "note";
}

std::optional<EventKind> event_kind(std::string_view text) noexcept {
  const auto same = [](char a, char b) { return a == b || (b == ' ' && (a == '-' || a == '_')); };
  for (const EventKind kind : {EventKind::bearing_replaced, EventKind::greased, EventKind::repaired,
                               EventKind::alarm_acknowledged, EventKind::note}) {
    const std::string_view known = token(kind);
    if (std::equal(text.begin(), text.end(), known.begin(), known.end(), same)) return kind;
  }
  return std::nullopt;
}

bool begins_baseline(EventKind kind) noexcept {
  return kind == EventKind::bearing_replaced || kind == EventKind::greased ||
         kind == EventKind::repaired;
}

}  // namespace bearingdsp
