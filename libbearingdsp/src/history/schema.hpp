#pragma once
#include "bearingdsp/core/result.hpp"
#include "history/sqlite.hpp"

namespace bearingdsp {

/// Version of the schema that this library writes.
[[nodiscard]] int schema_version() noexcept;
/// Schemas that brought what older stores, which may be read-only, do not have.
inline constexpr int schema_with_journal = 7;
inline constexpr int schema_with_sets = 8;  ///< of components
inline constexpr int schema_with_other_end = 9;
inline constexpr int schema_with_excluded_depth = 10;
inline constexpr int schema_with_slow_machines = 10;
/// Version of an open store; 0 if it is empty.
/// Errors: corrupt_file for another program's database or a newer version
[[nodiscard]] Result<int> read_schema_version(sqlite::Database& database);
/// Brings a store of any earlier version, or an empty one, to schema_version(), a step at a time,
/// each in its own transaction.
[[nodiscard]] Result<void> migrate(sqlite::Database& database);

}  // namespace bearingdsp
