#pragma once
/// Rows that more than one file of History looks for or writes.
#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/store.hpp"
#include "history/sqlite.hpp"

namespace bearingdsp::rows {

[[nodiscard]] inline std::int64_t to_ms(UtcTime time) { return time.time_since_epoch().count(); }
/// A time that no one wrote, of a damaged store, becomes the nearest one that can be: differences of
/// times must not overflow, and settle_dates() doubts it.
[[nodiscard]] inline UtcTime from_ms(std::int64_t ms) {
  return std::clamp(UtcTime{std::chrono::milliseconds{ms}}, earliest_time, latest_time);
}

/// First column of the first row; 0 if there is none.
[[nodiscard]] Result<std::int64_t> number(sqlite::Statement& s);

/// A row with its name as the store spells it; id 0: there is none.
struct Named {
  std::int64_t id{0};
  std::string name;
};
/// By the exact name, else by same_name().
/// Errors: bad_argument where several are meant: a store that was written when names were compared
/// letter by letter
[[nodiscard]] Result<Named> find_machine(sqlite::Database& database, const std::string& machine);
[[nodiscard]] Result<Named> find_point(sqlite::Database& database, std::int64_t machine,
                                       const std::string& point);
/// Of a machine and a point by their names; 0 if there is none.
[[nodiscard]] Result<std::int64_t> find_point(sqlite::Database& database, const PointKey& at);
/// Machine and point are made where they are not there.
[[nodiscard]] Result<std::int64_t> made_point(sqlite::Database& database, const PointKey& at);
/// The names of a point as the store spells them.
[[nodiscard]] Result<PointKey> key_of_point(sqlite::Database& database, std::int64_t point);

[[nodiscard]] Result<void> mark_point(sqlite::Database& database, std::int64_t point);
/// Every point of the machine, or, with a name, that one.
[[nodiscard]] Result<void> mark_machine(sqlite::Database& database, std::int64_t machine,
                                        const std::string& point = {});

[[nodiscard]] Result<void> write_journal(sqlite::Database& database, const JournalEntry& entry);

[[nodiscard]] Error unknown(const PointKey& at);
[[nodiscard]] Error empty_name();

}  // namespace bearingdsp::rows
