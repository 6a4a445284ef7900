#pragma once
/// The rows that `export` writes, in one of its formats.
#include <cstdint>
#include <optional>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/report/history.hpp"
#include "output_file.hpp"
#include "table_hdf5.hpp"

namespace cli {

enum class ExportFormat : std::uint8_t { csv, json_lines, hdf5 };

/// Rows to the file or to stdout.
class ExportRows {
 public:
  /// `file`: none is stdout; it outlives this.
  ExportRows(ExportFormat format, std::optional<OutputFile>& file) : format_{format}, file_{file} {}
  /// Before the first row.
  /// Errors: bad_argument for HDF5 to stdout; those of Hdf5Table::start()
  [[nodiscard]] bearingdsp::Result<void> begin();
  /// Errors: io
  [[nodiscard]] bearingdsp::Result<void> add(const bearingdsp::PointKey& at,
                                             const bearingdsp::Reading& reading);
  /// After the last row.
  /// Errors: io; those of Hdf5Table::file()
  [[nodiscard]] bearingdsp::Result<void> end();

 private:
  bearingdsp::Result<void> put(const std::string& text);
  ExportFormat format_;
  std::optional<OutputFile>& file_;
  std::optional<Hdf5Table> table_;
};

}  // namespace cli
