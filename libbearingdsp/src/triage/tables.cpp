#include "triage/tables.hpp"

#include <algorithm>
#include <stdexcept>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "core/plain_word.hpp"

namespace bearingdsp::triage_tables {
const std::vector<Rule>& rules() {
  static const auto all =
      table::built_in(data::triage_rules, "triage rules", [](const table::Cells& r) {
        return Rule{r.text("fault"), r.text("answer"), r.number("points"), r.text("why"),
                    r.text("source")};
      });
  return all;
}

const std::vector<FaultRow>& faults() {
  static const auto all =
      table::built_in(data::triage_faults, "triage faults", [](const table::Cells& r) {
        return FaultRow{r.text("fault"),      r.number("share"), split_list(r["spectrum"]),
                        state_of(r["state"]), r.text("confirm"), cautions_of(r["caution"]),
                        r.text("remedy"),     r.text("record"),  split_list(r["points"])};
      });
  return all;
}

const std::vector<Conflict>& conflicts() {
  static const auto all =
      table::built_in(data::triage_conflicts, "triage conflicts", [](const table::Cells& r) {
        return Conflict{r.text("one"), r.text("other"), r.text("why")};
      });
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
