#pragma once
/// The data files of triage as values. They are part of the build and a test reads each row.
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/triage/answers.hpp"

namespace bearingdsp::triage_tables {

struct Rule {
  std::string fault, answer;
  double points{0};
  std::string why, source;
};
struct FaultRow {
  std::string name;
  double share{0};                    ///< percent, before they are normalised
  std::vector<std::string> spectrum;  ///< what a diagnosis says about it
  ObservedState state{ObservedState::suspicion};
  std::string confirm;
  std::vector<Caution> cautions;
  std::string remedy, record;
  std::vector<std::string> points;
};
struct Conflict {
  std::string one, other, why;
};
[[nodiscard]] const std::vector<Rule>& rules();
[[nodiscard]] const std::vector<FaultRow>& faults();
[[nodiscard]] const std::vector<Conflict>& conflicts();
/// Errors: std::invalid_argument for a name that is not in the file
[[nodiscard]] double limit(std::string_view name);
/// Those of the keys, in their order.
/// Errors: std::invalid_argument for an unknown key
[[nodiscard]] std::vector<Caution> cautions_of(std::string_view keys);
[[nodiscard]] ObservedState state_of(std::string_view word);

}  // namespace bearingdsp::triage_tables
