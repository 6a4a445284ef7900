#pragma once
/// The columns of a stored reading, each in one place: its table, how it is written and read, and
/// since which schema it is there.
#include <cstdint>
#include <optional>
#include <string>

#include "bearingdsp/history/record.hpp"
#include "history/sqlite.hpp"

namespace bearingdsp::columns {

/// A column that must hold a number holds 0 where there is none.
[[nodiscard]] double or_zero(double value);
[[nodiscard]] std::optional<double> finite(std::optional<double> value);

/// A row of `capture`; returns its id.
[[nodiscard]] Result<std::int64_t> insert_capture(sqlite::Database& database, std::int64_t point,
                                                  const Reading& reading);
/// A row of `verdict` and one of `indicator`; returns the id of the former.
[[nodiscard]] Result<std::int64_t> insert_verdict(sqlite::Database& database, std::int64_t capture,
                                                  const Reading& reading);

/// All readings of a point, oldest first: the id of the analysis, then what read_row() reads. A
/// store that may only be read is not brought up to date, so its schema says what it has.
[[nodiscard]] std::string readings_sql(int schema);
/// Without its components and spectra, which have tables of their own.
[[nodiscard]] Reading read_row(sqlite::Statement& row);

}  // namespace bearingdsp::columns
