#include "triage/tables.hpp"

#include <algorithm>
#include <stdexcept>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "core/plain_word.hpp"

namespace bearingdsp::triage_tables {
namespace {

std::string text_of(const table::Table& t, const table::Row& row, std::string_view column) {
  return std::string{t.field(row, column)};
}

std::vector<Rule> read_rules() {
  const auto t = table::read(data::triage_rules, "triage rules",
                             {"fault", "answer", "points", "why", "source"})
                     .value();
  std::vector<Rule> all;
  for (const auto& r : t.rows)
    all.push_back({text_of(t, r, "fault"), text_of(t, r, "answer"), t.number(r, "points").value(),
                   text_of(t, r, "why"), text_of(t, r, "source")});
  return all;
}

std::vector<FaultRow> read_faults() {
  const auto t = table::read(data::triage_faults, "triage faults",
                             {"fault", "share", "spectrum", "state", "confirm", "caution", "remedy",
                              "points", "record"})
                     .value();
  std::vector<FaultRow> all;
  for (const auto& r : t.rows)
    all.push_back({text_of(t, r, "fault"), t.number(r, "share").value(),
                   split_list(t.field(r, "spectrum")), state_of(t.field(r, "state")),
                   text_of(t, r, "confirm"), cautions_of(t.field(r, "caution")),
                   text_of(t, r, "remedy"), text_of(t, r, "record"),
                   split_list(t.field(r, "points"))});
  return all;
}

std::vector<Conflict> read_conflicts() {
  const auto t =
      table::read(data::triage_conflicts, "triage conflicts", {"one", "other", "why"}).value();
  std::vector<Conflict> all;
  for (const auto& r : t.rows)
    all.push_back({text_of(t, r, "one"), text_of(t, r, "other"), text_of(t, r, "why")});
  return all;
}

}  // namespace

const std::vector<Rule>& rules() {
  static const std::vector<Rule> all = read_rules();
  return all;
}

const std::vector<FaultRow>& faults() {
  static const std::vector<FaultRow> all = read_faults();
  return all;
}

const std::vector<Conflict>& conflicts() {
  static const std::vector<Conflict> all = read_conflicts();
  return all;
}

double limit(std::string_view name) {
  for (const TriageLimit& l : triage_limits())
    if (l.name == name) return l.value;
  throw std::invalid_argument{"triage_limits.csv: no " + std::string{name}};
}

std::vector<Caution> cautions_of(std::string_view keys) {
  std::vector<StepKind> steps;
  for (const std::string& key : split_list(keys)) {
    const auto step = step_kind(key);
    if (!step) throw std::invalid_argument{"cautions.csv: no " + key};
    steps.push_back(*step);
  }
  // What rotor the motor has is not known here; turned by hand, one with magnets makes voltage.
  return cautions_for(steps, {.magnet_rotor = true});
}

ObservedState state_of(std::string_view word) {
  return from_token<ObservedState>(word).value_or(ObservedState::nothing);
}

}  // namespace bearingdsp::triage_tables
