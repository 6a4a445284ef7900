#pragma once
/// A table as an HDF5 file, by the library of the system if it is there: the tool does not depend
/// on it.
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "bearingdsp/core/result.hpp"

namespace cli {

struct Hdf5;  ///< the library, loaded

/// A column: numbers in a unit, or words.
struct Hdf5Column {
  std::string name;
  std::string unit;  ///< empty for words
  bool number{false};
};
using Hdf5Cell = std::variant<std::string, std::optional<double>>;

/// What the table is called and holds.
struct Hdf5Layout {
  std::string schema;   ///< "bearingdsp.readings/1"
  std::string group;    ///< "readings"
  std::string command;  ///< of the tool, for errors
  std::string instead;  ///< what else can be written: ".csv or .jsonl"
  std::vector<Hdf5Column> columns;
};
/// The columns of another table that has the same members.
template <class Columns>
[[nodiscard]] std::vector<Hdf5Column> hdf5_columns(const Columns& columns) {
  std::vector<Hdf5Column> out;
  for (const auto& c : columns) out.push_back({std::string{c.name}, std::string{c.unit}, c.number});
  return out;
}

class Hdf5Table {
 public:
  /// Errors: unsupported_format without the library, with what to install
  [[nodiscard]] static bearingdsp::Result<Hdf5Table> start(Hdf5Layout layout);
  /// A row, in the order of the columns.
  void add(const std::vector<Hdf5Cell>& row);
  /// The whole file: a group with a data set for each column, numbers as 64-bit floating point (NaN
  /// where a value is not known) with the attribute "unit", words in fixed length, as ASCII or
  /// UTF-8.
  /// Errors: internal, where the library fails
  [[nodiscard]] bearingdsp::Result<std::string> file() const;

 private:
  Hdf5Table(std::shared_ptr<const Hdf5> library, Hdf5Layout layout);
  std::shared_ptr<const Hdf5> library_;
  Hdf5Layout layout_;
  std::vector<std::variant<std::vector<std::string>, std::vector<double>>> cells_;
};

}  // namespace cli
