#pragma once
/// What came of each recording of a manifest, what that is worth, and the table of it.
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dataset/metrics.hpp"

namespace bearingdsp {

/// One row of the results, as docs/validation-csv.md describes it.
struct Outcome {
  std::string dataset, file, label;
  std::string named;  ///< words of token(Place); "failed" if the recording gave no diagnosis
  double probability_damage{0};  ///< NaN if failed
  double probability_place{0};   ///< of the named place or of place_set; NaN if failed
  std::string other_causes;      ///< "unbalance 0.82; looseness 0.10"
  double speed_rpm{0};           ///< NaN if not found
  std::string speed_method;
  double seconds{0};        ///< wall-clock time to read and diagnose on one thread
  std::string reason;       ///< headline, or the error
  std::string place_set{};  ///< "rolling element|cage": one of these; empty unless named is unclear
};

/// What a diagnosis names: words of token(Place), "none" and "cannot tell" by its verdict.
[[nodiscard]] std::string named_by(const Diagnosis& diagnosis);

/// What an outcome is against its label.
enum class Grade : std::uint8_t {
  right,          ///< place named as labelled, or none named on a healthy bearing
  wrong_place,    ///< damage seen, another place named (or "several")
  unclear_place,  ///< damage seen, place declared unclear
  cannot_tell,
  missed,       ///< damaged, no fault found
  false_alarm,  ///< sound, damage named
  failed,       ///< no diagnosis
};
inline constexpr std::size_t grade_count = 7;
[[nodiscard]] std::string_view token(Grade grade) noexcept;
[[nodiscard]] Grade grade(const Outcome& outcome);

/// Counts of one dataset or of all.
struct Summary {
  std::string dataset;  ///< "total" for all
  std::size_t records{0};
  std::size_t damaged{0};  ///< by label
  std::size_t sound{0};
  std::array<std::size_t, grade_count> counts{};  ///< by Grade
  double brier{0};  ///< of probability_damage, failed records left out
  std::vector<ReliabilityBin> reliability;
  [[nodiscard]] std::size_t count(Grade g) const { return counts.at(static_cast<std::size_t>(g)); }
  /// Records a grade can happen to: damaged ones, healthy ones (false alarm) or all.
  [[nodiscard]] std::size_t out_of(Grade g) const;
};
/// A summary per dataset in order of first appearance, then the total.
[[nodiscard]] std::vector<Summary> summarise(const std::vector<Outcome>& outcomes);

/// The table as CSV with a header row, one line an outcome; numbers with round-trip digits.
[[nodiscard]] std::string results_csv(const std::vector<Outcome>& outcomes);
/// Reads it back.
/// Errors: corrupt_file with the line.
[[nodiscard]] Result<std::vector<Outcome>> parse_results(std::string_view csv,
                                                         const std::string& name);

/// How often what was named as what.
/// Shape: count[row][column]; rows by label, columns by `named`.
struct Confusion {
  std::vector<std::string> labels;  ///< that occur, in the order of Place
  std::vector<std::string> named;   ///< that occur, in the order of Place, then "failed"
  std::vector<std::vector<std::size_t>> count;
};
[[nodiscard]] Confusion confusion(const std::vector<Outcome>& outcomes);

/// The probabilities of damage with what the labels say, failed records left out.
[[nodiscard]] std::vector<StatedProbability> damage_forecasts(const std::vector<Outcome>& outcomes);

/// What changed between two runs over the same records (matched by dataset and file).
struct OutcomeChange {
  std::string dataset, file, label, before, after;
  double probability_before{0}, probability_after{0};
  bool better{false},
      worse{false};  ///< by grade: right beats unclear beats cannot tell beats wrong
};
/// Records that name something else than before, and those that only one run has (before or after
/// empty), in the order of `after`.
[[nodiscard]] std::vector<OutcomeChange> compare(const std::vector<Outcome>& before,
                                                 const std::vector<Outcome>& after);

}  // namespace bearingdsp
