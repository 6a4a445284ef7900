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

/// One row of a data file of the build, by the names of its columns.
/// Errors: throws for a column or number that is not there; a test reads every row of each file.
class Cells {
 public:
  Cells(const Table& table, const Row& row) : table_{table}, row_{row} {}
  [[nodiscard]] std::string_view operator[](std::string_view column) const;
  [[nodiscard]] std::string text(std::string_view column) const {
    return std::string{(*this)[column]};
  }
  [[nodiscard]] double number(std::string_view column) const {
    return table_.number(row_, column).value();
  }
  /// Nothing for an empty field.
  [[nodiscard]] std::optional<double> number_if(std::string_view column) const;

 private:
  const Table& table_;
  const Row& row_;
};

/// Comma-separated lines, # comments, "" within quotes, first line names the columns; none known:
/// they may have any name.
/// Errors: corrupt_file: no header, a column not in `known` or twice, a row with too many fields, a
///         quote that is not closed
[[nodiscard]] Result<Table> read(std::string_view text, std::string_view where,
                                 const std::vector<std::string>& known);

/// The rows of a data file of the build, each as made() gives it.
template <class Made>
[[nodiscard]] auto built_in(std::string_view text, std::string_view where, const Made& made) {
  const Table table = read(text, where, {}).value();
  std::vector<decltype(made(Cells{table, table.rows.front()}))> all;
  for (const Row& row : table.rows) all.push_back(made(Cells{table, row}));
  return all;
}

}  // namespace bearingdsp::table
