#pragma once
/// The table of readings as an HDF5 file, by the library of the system if it is there: the tool
/// does not depend on it.
#include <memory>
#include <string>
#include <variant>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/report/history.hpp"

namespace cli {

struct Hdf5;  ///< the library, loaded

class Hdf5Table {
 public:
  /// Errors: unsupported_format without the library, with what to install
  [[nodiscard]] static bearingdsp::Result<Hdf5Table> start();
  void add(const bearingdsp::PointKey& at, const bearingdsp::Reading& reading);
  /// The whole file: a group "readings" with a data set for each column, numbers as 64-bit floating
  /// point (NaN where a value is not known) with the attribute "unit", words in fixed length, as
  /// ASCII or UTF-8.
  /// Errors: internal, where the library fails
  [[nodiscard]] bearingdsp::Result<std::string> file() const;

 private:
  explicit Hdf5Table(std::shared_ptr<const Hdf5> library);
  std::shared_ptr<const Hdf5> library_;
  std::vector<bearingdsp::ReadingColumn> columns_;
  std::vector<std::variant<std::vector<std::string>, std::vector<double>>> cells_;
};

}  // namespace cli
