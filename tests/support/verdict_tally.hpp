#pragma once
/// Verdicts on simulated recordings counted against the truth, a row of counts for each situation.
#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/verdict/diagnosis.hpp"

namespace test {

enum Outcome : std::size_t {
  named,        ///< the damaged component
  set,          ///< two components, the damaged one among them
  unclear,      ///< damage without a component
  wrong,        ///< another component
  cannot_tell,  ///< on a damaged or a healthy bearing
  silent,       ///< "no fault" on a damaged bearing
  healthy,      ///< "no fault" on a healthy one
  false_alarm,  ///< damage on a healthy one
  outcomes
};
[[nodiscard]] const char* token(Outcome outcome) noexcept;

/// What a verdict is worth; `truth` is the damaged part, none of a healthy bearing.
[[nodiscard]] Outcome outcome_of(const bearingdsp::Diagnosis& d,
                                 std::optional<bearingdsp::Part> truth);

/// Outcomes counted per situation, in the order in which situations are first named.
class VerdictTally {
 public:
  /// A row without counts, which the order of the recordings would else place.
  void name_row(const std::string& situation);
  void add(const std::string& situation, Outcome outcome);
  /// 0 for a situation that never occurred.
  [[nodiscard]] int count(const std::string& situation, Outcome outcome) const;
  void print() const;

 private:
  struct Row {
    std::string situation;
    std::array<int, outcomes> counts{};
  };
  std::vector<Row> rows_;
};

}  // namespace test
