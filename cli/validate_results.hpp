#pragma once
/// The tables and pages of `validate`: what --against reads, what --out and --report write.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/dataset/features.hpp"
#include "bearingdsp/dataset/validate.hpp"
#include "bearingdsp/report/model.hpp"
#include "output_file.hpp"
#include "page_file.hpp"
#include "table_hdf5.hpp"

namespace cli {

/// Outcomes of an earlier run.
/// Errors: those of reading the file and of parse_results()
[[nodiscard]] bearingdsp::Result<std::vector<bearingdsp::Outcome>> results_in(
    const std::string& path);

/// Names of the files that are written; empty: none.
struct ResultNames {
  std::string out;       ///< its ending decides between a table and JSON
  std::string features;  ///< a table of features, .csv or .h5
  std::string page;
};

/// The files that were asked for: opened before the work, whole or not at all.
class ResultFiles {
 public:
  /// `read`: files of the run.
  /// Errors: bad_argument for another ending; those of OutputFiles, open_page() and
  /// Hdf5Table::start()
  static bearingdsp::Result<ResultFiles> create(const ResultNames& names, const OutputRules& rules,
                                                const std::vector<std::string>& read);
  [[nodiscard]] bool has_features() const { return features_.has_value(); }
  /// Errors: io; those of Hdf5Table::file()
  bearingdsp::Result<void> write(const std::vector<bearingdsp::Outcome>& outcomes,
                                 const std::vector<bearingdsp::RecordFeatures>& features,
                                 const bearingdsp::Report& report);

 private:
  std::optional<OutputFile> table_;
  std::optional<OutputFile> features_;
  std::optional<Hdf5Table> feature_table_;  ///< instead of text
  std::optional<ShownFile> page_;
  bool as_json_{false};
};

}  // namespace cli
