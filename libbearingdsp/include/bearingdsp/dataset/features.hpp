#pragma once
/// What a diagnosis measured, as a table for other people's learning: a row for each recording and
/// component.
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// Of one recording: its row of the manifest, the measured levels and the series of each component.
/// docs/validation-csv.md describes the columns.
struct RecordFeatures {
  std::string dataset;
  std::string file;
  std::string split;
  std::string label;
  std::string named;          ///< what the engine says, as Outcome::named
  double probability_damage;  ///< NaN where there is no diagnosis, as all numbers below
  double speed_rpm;           ///< NaN also where it is not found
  double duration_s;
  std::string unit;      ///< of the levels, as "m/s2"; empty: uncalibrated
  double rms;            ///< largest of the channels, in that unit, as peak and envelope_rms
  double peak;           ///< mean removed
  double crest_factor;   ///< largest of the channels
  double kurtosis;       ///< largest of the channels, 3 for Gaussian noise
  double velocity_rms;   ///< m/s, 10-1000 Hz, largest; NaN without a unit
  double envelope_rms;   ///< NaN where no band was looked at
  std::string findings;  ///< names joined by "; ", each once
  /// The series by Part; empty where there is no diagnosis or no bearing.
  std::array<std::optional<FamilyEvidence>, part_count> families;
  std::array<double, part_count> probability_of_part;  ///< by Part
};

/// Features of a diagnosis.
/// Errors: none
[[nodiscard]] RecordFeatures features_of(const LabelledRecord& record, const Diagnosis& diagnosis);
/// The same of a recording that gave none: named "failed", no numbers.
/// Errors: none
[[nodiscard]] RecordFeatures features_of_failed(const LabelledRecord& record);

/// A column of the table of features.
struct FeatureColumn {
  std::string_view name;
  /// "rpm"; "1" for a pure number; "in column unit" where each row says it; empty for words.
  std::string_view unit;
  bool number{false};
};
/// Words, or a number that may not be known.
using FeatureCell = std::variant<std::string, std::optional<double>>;
/// The columns of the table, in their order; new ones come at the end.
/// Errors: none
[[nodiscard]] std::vector<FeatureColumn> feature_columns();
/// A row of it: a string in a column of words, else a number in the unit of the column.
/// Shape:  as feature_columns()
/// Errors: none
[[nodiscard]] std::vector<FeatureCell> feature_cells(const RecordFeatures& features, Part part);

/// The table as CSV: a header, then a row for each recording and component in the order of Part.
/// Numbers have round-trip digits, and are empty where there is none; text as csv_cell().
/// Shape: records [n].
/// Errors: none
[[nodiscard]] std::string features_csv(const std::vector<RecordFeatures>& records);

}  // namespace bearingdsp
