#include <fmt/format.h>

#include <array>
#include <string>
#include <utility>

#include "bearingdsp/report/validation.hpp"

namespace bearingdsp {
namespace {

constexpr std::array<Grade, grade_count> grades{
    Grade::right,  Grade::wrong_place, Grade::unclear_place, Grade::cannot_tell,
    Grade::missed, Grade::false_alarm, Grade::failed};

ReportSection rates(const Summary& s) {
  ReportSection section;
  section.id = s.dataset;
  section.title =
      fmt::format("{}: {} records, {} damaged, {} sound", s.dataset, s.records, s.damaged, s.sound);
  ReportTable t;
  t.columns = {{"", "", false},
               {"Count", "", true},
               {"Of", "", true},
               {"Rate", "%", true},
               {"95 % interval", "%", true}};
  for (const Grade g : grades) {
    const std::size_t n = s.out_of(g);
    const std::size_t k = s.count(g);
    if (n == 0 || (g == Grade::failed && k == 0)) continue;
    const Interval i = wilson_interval(k, n);
    t.rows.push_back(
        {std::string{name(g)}, fmt::format("{}", k), fmt::format("{}", n),
         fmt::format("{:.1f}", 100.0 * static_cast<double>(k) / static_cast<double>(n)),
         fmt::format("{:.1f} - {:.1f}", 100 * i.low, 100 * i.high)});
  }
  section.table = std::move(t);
  section.notes.push_back(
      fmt::format("Brier score of the probability of damage: {}", significant(s.brier)));
  return section;
}

ReportSection reliability_section(const Summary& s) {
  ReportSection section;
  section.id = "reliability";
  section.title = "Do the probabilities of damage mean what they say? (all records)";
  ReportTable t;
  t.columns = {{"Said", "%", true},    {"Records", "", true},        {"Mean said", "%", true},
               {"Damaged", "%", true}, {"95 % interval", "%", true}, {"", "", false}};
  for (const ReliabilityBin& b : s.reliability) {
    if (b.count == 0) continue;
    const bool fits = b.mean_probability >= b.interval.low && b.mean_probability <= b.interval.high;
    t.rows.push_back({fmt::format("{:.0f} - {:.0f}", 100 * b.low, 100 * b.high),
                      fmt::format("{}", b.count), fmt::format("{:.1f}", 100 * b.mean_probability),
                      fmt::format("{:.1f}", 100 * b.frequency),
                      fmt::format("{:.1f} - {:.1f}", 100 * b.interval.low, 100 * b.interval.high),
                      fits ? "" : "off"});
  }
  section.table = std::move(t);
  section.notes.emplace_back("off: the mean said lies outside the interval of what happened.");
  return section;
}

}  // namespace

Report validation_report(const std::vector<Outcome>& outcomes) {
  Report r;
  r.title = "VALIDATION";
  const auto summaries = summarise(outcomes);
  for (const Summary& s : summaries) r.sections.push_back(rates(s));
  r.sections.push_back(reliability_section(summaries.back()));
  return r;
}

Report comparison_report(const std::vector<OutcomeChange>& changes) {
  Report r;
  std::size_t better = 0;
  std::size_t worse = 0;
  ReportSection section;
  section.id = "changes";
  ReportTable t;
  t.columns = {{"Record", "", false}, {"Label", "", false},  {"Before", "", false},
               {"After", "", false},  {"Damage", "%", true}, {"", "", false}};
  const auto in_percent = [](double p) {
    return p >= 0 ? fmt::format("{:.0f}", 100 * p) : std::string{"-"};
  };
  for (const OutcomeChange& c : changes) {
    better += c.better ? 1 : 0;
    worse += c.worse ? 1 : 0;
    t.rows.push_back({c.file, c.label, c.before.empty() ? "(new)" : c.before,
                      c.after.empty() ? "(gone)" : c.after,
                      in_percent(c.probability_before) + " > " + in_percent(c.probability_after),
                      c.better  ? "better"
                      : c.worse ? "worse"
                                : ""});
  }
  section.table = std::move(t);
  r.title = fmt::format("CHANGED: {} records, {} better, {} worse", changes.size(), better, worse);
  r.tone = worse > 0 ? Tone::doubt : Tone::neutral;
  if (!changes.empty()) r.sections.push_back(std::move(section));
  return r;
}

}  // namespace bearingdsp
