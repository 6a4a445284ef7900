#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/before_after.hpp"
#include "report/json_parts.hpp"
#include "report/plots.hpp"
#include "report/sections.hpp"

namespace bearingdsp {
namespace {

Tone tone_of(const BeforeAfter& r) {
  switch (follow_up(r)) {
    case FollowUp::nothing:
      return Tone::good;
    case FollowUp::something:
      // The bearing is healthy, another cause remains.
      return r.after.verdict == Verdict::no_fault && r.change != Change::worse &&
                     r.change != Change::new_problem
                 ? Tone::doubt
                 : Tone::bad;
    case FollowUp::cannot_tell:
      return Tone::doubt;
  }
  return Tone::doubt;
}

std::string side_text(const SideSummary& s) {
  std::string text = s.recordings == 1
                         ? s.sources.front()
                         : fmt::format("{} recordings, {} usable", s.recordings, s.usable);
  if (s.usable == 0) return text + (s.recordings == 1 ? ", not usable" : "");
  text += s.verdict == Verdict::fault
              ? fmt::format(": {} damaged", damaged_component(s.place, s.place_set))
              : fmt::format(": {}", words(s.verdict));
  // Where nothing is found the rigs' share of damaged bearings would be misread as this one's.
  return s.verdict == Verdict::fault ? text + fmt::format(" ({})", percent(s.probability_of_damage))
                                     : text;
}

ReportSection list(std::string id, std::string title, std::vector<std::string> items,
                   bool numbered) {
  ReportSection s;
  s.id = std::move(id);
  s.title = std::move(title);
  s.items = std::move(items);
  s.numbered = numbered;
  return s;
}

ReportSection sides_section(const BeforeAfter& r) {
  ReportSection s;
  s.id = "sides";
  s.title = "What was compared";
  s.figures = {{"Before", side_text(r.before)}, {"After", side_text(r.after)}};
  return s;
}

ReportSection suspicion_section(const BeforeAfter& r) {
  ReportSection s;
  s.id = "suspicions";
  s.title = "Possible causes";
  s.numbered = true;
  for (const Suspicion& x : r.suspicions)
    s.items.push_back(capital(fmt::format("{}. Why: {}. {}", x.what, x.why, x.check)));
  return s;
}

ReportSection difference_section(const BeforeAfter& r) {
  ReportSection s;
  s.id = "differences";
  s.title = "Differences between the recordings";
  for (const Difference& d : r.differences)
    s.items.push_back(fmt::format("{} ({}): {}", words(d.kind), words(d.bar), d.what));
  if (s.items.empty()) s.items.emplace_back("None in speed, rate, band, unit or range.");
  std::string not_given;
  for (const DifferenceKind kind : r.taken_alike) add_part(not_given, words(kind));
  if (!not_given.empty())
    s.items.push_back(fmt::format(
        "Not given, and taken as the same on both sides: {}. If they differ, this answer does not "
        "hold.",
        not_given));
  return s;
}

ReportSection family_section(const BeforeAfter& r) {
  ReportSection s;
  s.id = "families";
  s.title = "Evidence: repeating impacts at the rate of each component";
  ReportTable t;
  t.columns = {{"Component", "", false},
               {"Before", "strength", true},
               {"After", "strength", true},
               {"Change", "", false}};
  for (const FamilyChange& f : r.families)
    t.rows.push_back({std::string{words(f.part)}, fmt::format("{:.2f}", f.before.strength),
                      fmt::format("{:.2f}", f.after.strength), std::string{words(f.fate)}});
  s.table = std::move(t);
  s.notes = {fmt::format(
      "Strength: modulation depth at that frequency, weighted by the share of the range; "
      "healthy bearings stay below about 0.17, from {:.2f} on damage is as likely as not.",
      JudgementModel{}.even_strength)};
  return s;
}

std::string scatter_note(const BeforeAfter& r) {
  switch (r.scatter) {
    case ScatterSource::recordings:
      return "The scatter is that of the recordings on each side, combined with the usual 1.5 dB "
             "between readings and 1 dB for putting the sensor back.";
    case ScatterSource::pieces:
      return "The scatter is that of pieces of each recording and the usual 1.5 dB between "
             "readings, which one recording per side does not show.";
    case ScatterSource::assumed:
      return "The scatter is the usual 1.5 dB between readings.";
  }
  return {};
}

ReportSection level_change_section(const BeforeAfter& r) {
  ReportSection s;
  s.id = "levels";
  s.title = "Levels side by side";
  ReportTable t;
  t.columns = {{"Level", "", false},
               {"Unit", "", false},
               {"Before", "", true},
               {"After", "", true},
               {"Change", "dB", true},
               {"Scatter", "dB", true},
               {"More than random scatter", "", false}};
  for (const LevelChange& c : r.levels)
    t.rows.push_back({c.name, unit_text(c), level_text(c, c.before), level_text(c, c.after),
                      signed_tenths(c.change_db), fmt::format("±{:.1f}", c.chance_db),
                      c.beyond ? (c.change_db > 0 ? "yes, rose" : "yes, fell") : "no"});
  s.table = std::move(t);
  s.notes = {
      scatter_note(r),
      "It is given as three standard deviations. Velocity: 10-1000 Hz. High band, envelope "
      "(impacts) and noise floor (between them): from 1 kHz up. 1x, 2x, 3x: at multiples of "
      "the shaft rate. +6 dB is twice, -6 dB half. Peak, kurtosis, crest factor and the small "
      "lines of the shaft are shown and decide nothing by themselves."};
  return s;
}

Json side_json(const SideSummary& s) {
  Json causes = Json::array();
  for (const CauseEvidence& c : s.causes)
    causes.push_back({{"cause", token(c.cause)}, {"probability", c.probability}, {"why", c.why}});
  return {{"sources", s.sources},
          {"recordings", s.recordings},
          {"usable", s.usable},
          {"verdict", token(s.verdict)},
          {"place", token(s.place)},
          {"place_set", names_of(s.place_set)},
          {"probability_of_damage", s.probability_of_damage},
          {"speed_rpm", s.speed ? Json(s.speed->value()) : Json{}},
          {"other_causes", std::move(causes)}};
}

Json part_json(const PartReading& p) {
  return {{"strength", p.strength},
          {"depth", p.depth},
          {"harmonics", p.harmonics},
          {"sidebands", p.sidebands}};
}

Json level_json(const LevelChange& c) {
  return {{"level", c.name},
          {"unit", c.unit ? Json(symbol(*c.unit)) : Json{}},
          {"before_in_unit", c.before},
          {"after_in_unit", c.after},
          {"change_db", c.change_db},
          {"before_drift_db", c.before_drift_db},
          {"after_drift_db", c.after_drift_db},
          {"scatter_db", c.scatter_db},
          {"chance_db", c.chance_db},
          {"counts", c.counts},
          {"alone_db", c.alone_db},
          {"beyond_scatter", c.beyond}};
}

}  // namespace

Report before_after_report(const BeforeAfter& r) {
  Report report;
  report.source = r.before.recordings == 1 && r.after.recordings == 1
                      ? r.before.sources.front() + " -> " + r.after.sources.front()
                      : fmt::format("{} before, {} after", r.before.recordings, r.after.recordings);
  report.title = upper(words(r.change));
  report.tone = tone_of(r);
  report.headline = r.headline;
  report.sections.push_back(sides_section(r));
  if (r.present) report.sections.push_back(present_section(*r.present, "Latest recording"));
  report.sections.push_back(list("advice", "What to do", r.advice, true));
  if (!r.suspicions.empty()) report.sections.push_back(suspicion_section(r));
  report.sections.push_back(list("reasons", "Why", r.reasons, false));
  if (!r.families.empty()) report.sections.push_back(family_section(r));
  if (!r.levels.empty()) report.sections.push_back(level_change_section(r));
  if (r.before.usable > 0 && r.after.usable > 0) report.sections.push_back(difference_section(r));
  report.plots = comparison_plots(r);
  report.changes = level_changes(r);
  return report;
}

std::string before_after_json(const BeforeAfter& r, const JsonOptions& options) {
  Json j = headed("bearingdsp.comparison/1");
  j["change"] = token(r.change);
  j["headline"] = r.headline;
  j["reasons"] = r.reasons;
  j["advice"] = r.advice;
  j["present"] = r.present ? assessment_json(*r.present) : Json{};
  j["before"] = side_json(r.before);
  j["after"] = side_json(r.after);
  j["differences"] = Json::array();
  for (const Difference& d : r.differences)
    j["differences"].push_back({{"kind", token(d.kind)}, {"bar", token(d.bar)}, {"what", d.what}});
  j["taken_as_the_same"] = Json::array();
  for (const DifferenceKind kind : r.taken_alike) j["taken_as_the_same"].push_back(token(kind));
  j["scatter_from"] = token(r.scatter);
  j["levels"] = Json::array();
  for (const LevelChange& c : r.levels) j["levels"].push_back(level_json(c));
  j["families"] = Json::array();
  for (const FamilyChange& f : r.families)
    j["families"].push_back({{"part", token(f.part)},
                             {"fate", token(f.fate)},
                             {"before", part_json(f.before)},
                             {"after", part_json(f.after)}});
  j["hits"] = r.hits ? Json{{"kurtosis_before", r.hits->before},
                            {"kurtosis_after", r.hits->after},
                            {"fate", token(r.hits->fate)}}
                     : Json{};
  j["would_have_shown"] = r.sensitivity ? Json{{"strength", r.sensitivity->strength},
                                               {"strength_before", r.sensitivity->before},
                                               {"strength_after", r.sensitivity->after},
                                               {"level_change_db", r.sensitivity->level_db}}
                                        : Json{};
  j["suspicions"] = Json::array();
  for (const Suspicion& s : r.suspicions)
    j["suspicions"].push_back({{"what", s.what}, {"why", s.why}, {"check", s.check}});
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
