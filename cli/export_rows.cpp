#include "export_rows.hpp"

#include <utility>

#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

Result<void> ExportRows::begin() {
  if (format_ != ExportFormat::hdf5)
    return format_ == ExportFormat::csv ? put(reading_csv_header()) : Result<void>{};
  if (!file_)
    return Error{Errc::bad_argument, "--format hdf5", "is not a text that can go to stdout",
                 "name a file: --out features.h5"};
  auto table = Hdf5Table::start({"bearingdsp.readings/1", "readings", "export", ".csv or .jsonl",
                                 hdf5_columns(reading_columns())});
  if (!table) return table.error();
  table_ = std::move(*table);
  return {};
}

Result<void> ExportRows::add(const PointKey& at, const Reading& reading) {
  if (!table_)
    return put(format_ == ExportFormat::csv ? reading_csv(at, reading)
                                            : reading_json(at, reading) + "\n");
  table_->add(reading_cells(at, reading));
  return {};
}

Result<void> ExportRows::end() {
  if (!table_) return {};
  const auto bytes = table_->file();
  return bytes ? put(*bytes) : bytes.error();
}

Result<void> ExportRows::put(const std::string& text) {
  if (file_) return file_->write(text);
  print(text);
  return {};
}

}  // namespace cli
