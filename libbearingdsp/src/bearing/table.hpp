#pragma once
/// Small delimited text with named columns: the form of the catalogue files.
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp::table {

struct Row {
  std::size_t line{0};
  std::vector<std::string> fields;
};

struct Table {
  std::string where;
  std::vector<std::string> columns;  ///< lower case
  std::vector<Row> rows;

  /// Index of a column, if it is there.
  [[nodiscard]] std::optional<std::size_t> column(std::string_view name) const;
  /// Field of a row, empty where the column or field is missing.
  [[nodiscard]] std::string_view field(const Row& row, std::string_view name) const;
  /// Number in a field; an error that names line and column otherwise.
  [[nodiscard]] Result<double> number(const Row& row, std::string_view name) const;
  [[nodiscard]] Error error(const Row& row, std::string_view name, std::string what,
                            std::string advice) const;
};

/// Comma-separated lines, # comments, "" within quotes, first line names the columns.
/// Errors: corrupt_file: no header, a column not in `known` or twice, a row with too many fields, a
///         quote that is not closed
[[nodiscard]] Result<Table> read(std::string_view text, std::string_view where,
                                 const std::vector<std::string>& known);

}  // namespace bearingdsp::table
