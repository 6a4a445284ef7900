#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/history/store.hpp"
#include "history/schema.hpp"
#include "history/store_rows.hpp"
#include "history/store_state.hpp"
#include "machine/same_name.hpp"

namespace bearingdsp {

using sqlite::Database;

namespace {

Result<std::size_t> count(Database& database, std::string_view sql) {
  auto s = database.prepare(sql);
  const std::int64_t n = s.step() ? s.integer() : 0;
  if (auto done = s.result(); !done) return done.error();
  return static_cast<std::size_t>(n);
}

Result<void> count_all(Database& database, HistoryCheck& check) {
  const std::array<std::pair<std::string_view, std::size_t*>, 5> tables = {
      {{"SELECT count(*) FROM machine", &check.machines},
       {"SELECT count(*) FROM point", &check.points},
       {"SELECT count(*) FROM capture", &check.captures},
       {"SELECT count(*) FROM verdict", &check.analyses},
       {"SELECT count(*) FROM event", &check.events}}};
  for (const auto& [sql, into] : tables) {
    const auto n = count(database, sql);
    if (!n) return n.error();
    *into = *n;
  }
  return {};
}

/// What SQLite itself says of the file.
Result<void> check_file(Database& database, HistoryCheck& check) {
  auto s = database.prepare("PRAGMA integrity_check(20)");
  constexpr std::string_view head = "*** in database main ***\n";
  while (s.step()) {
    std::string said = s.text();
    if (said.starts_with(head)) said.erase(0, head.size());
    if (said != "ok") check.wrong.push_back(std::move(said));
  }
  if (auto done = s.result(); !done) return done;
  auto f = database.prepare("PRAGMA foreign_key_check");
  while (f.step()) check.wrong.push_back("a row of " + f.text() + " belongs to nothing");
  return f.result();
}

/// What SQLite cannot know.
Result<void> check_meaning(Database& database, HistoryCheck& check) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 4> rules = {
      {{"SELECT count(*) FROM capture c LEFT JOIN verdict v ON v.id = c.verdict AND v.capture = "
        "c.id WHERE v.id IS NULL",
        "recordings without their analysis"},
       {"SELECT count(*) FROM verdict v LEFT JOIN indicator i ON i.verdict = v.id WHERE i.verdict "
        "IS NULL",
        "analyses without levels"},
       {"SELECT count(*) FROM verdict v WHERE (SELECT count(*) FROM part p WHERE p.verdict = v.id) "
        "<> 4",
        "analyses without all parts of the bearing"},
       {"SELECT count(*) FROM verdict WHERE NOT (json_valid(advice) AND json_valid(causes) AND "
        "json_valid(findings))",
        "analyses whose words cannot be read"}}};
  for (const auto& [sql, what] : rules) {
    const auto n = count(database, sql);
    if (!n) return n.error();
    if (*n > 0) check.wrong.push_back(fmt::format("{} {}", *n, what));
  }
  const auto times = count(
      database,
      fmt::format("SELECT (SELECT count(*) FROM capture WHERE taken_ms NOT BETWEEN {0} AND {1}) + "
                  "(SELECT count(*) FROM event WHERE when_ms NOT BETWEEN {0} AND {1})",
                  rows::to_ms(earliest_time), rows::to_ms(latest_time)));
  if (!times) return times.error();
  if (*times > 0)
    check.wrong.push_back(fmt::format("{} dates outside the years 0 to 9999", *times));
  return {};
}

/// What became of the file of a recording, in a sentence; empty where it is what it was.
std::string changed_file(const std::string& path, std::string_view hash, std::uint64_t size,
                         std::string_view beginnings) {
  const auto content = content_of_file(path);
  if (!content) return path + " cannot be read: " + content.error().what;
  if (content->hash == hash) return {};
  if (size == 0 || !begin_alike(content->beginnings, beginnings))
    return path + " holds something else than what was analysed";
  if (content->size_bytes == size)
    return path + " is damaged: it begins like the recording that was analysed, and then differs";
  return content->size_bytes < size
             ? fmt::format("{} is cut short: {} of {} bytes are left", path, content->size_bytes,
                           size)
             : fmt::format("{} has grown from {} to {} bytes since it was analysed", path, size,
                           content->size_bytes);
}

Result<void> check_recordings(Database& database, int schema, HistoryCheck& check) {
  auto s = database.prepare(
      schema < schema_version()
          ? "SELECT path, hash, 0, '' FROM capture ORDER BY path"
          : "SELECT path, hash, size_bytes, beginnings FROM capture WHERE removed = 0 "
            "ORDER BY path");
  while (s.step()) {
    std::string path = s.text();
    const std::string hash = s.text();
    const auto size = static_cast<std::uint64_t>(s.integer());
    const std::string beginnings = s.text();
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored)) {
      check.missing.push_back(std::move(path));
      continue;
    }
    std::string changed = changed_file(path, hash, size, beginnings);
    if (!changed.empty()) check.changed.push_back(std::move(changed));
  }
  return s.result();
}

/// Machines, and points of one machine, that are one by same_name(): a store of a version that
/// compared letter by letter may hold them.
void check_names(const std::vector<PointKey>& points, HistoryCheck& check) {
  for (std::size_t i = 0; i < points.size(); ++i)
    for (std::size_t k = 0; k < i; ++k) {
      const PointKey& a = points[k];
      const PointKey& b = points[i];
      const bool machines = a.machine != b.machine && same_name(a.machine, b.machine);
      const bool twice = a.machine == b.machine && same_name(a.point, b.point);
      if (!machines && !twice) continue;
      std::string remark =
          machines ? fmt::format(
                         "'{}' and '{}' are one machine by name: bearingdsp history rename "
                         "'{}' '{}' --join",
                         a.machine, b.machine, b.machine, a.machine)
                   : fmt::format(
                         "'{}' and '{}' of {} are one point by name: bearingdsp history "
                         "rename '{}' '{}' --point '{}' --join",
                         a.point, b.point, a.machine, a.machine, a.point, b.point);
      if (std::find(check.remarks.begin(), check.remarks.end(), remark) == check.remarks.end())
        check.remarks.push_back(std::move(remark));
    }
}

Result<void> check_dates(History& history, const std::vector<PointKey>& points,
                         HistoryCheck& check) {
  for (const PointKey& at : points) {
    const auto point = history.point(at);
    if (!point) return point.error();
    std::string doubtful;
    const auto add = [&](EntryId id, UtcTime when) {
      add_part(doubtful, fmt::format("{} ({})", name(id), format_date(when)));
    };
    for (const auto* all : {&point->readings, &point->readings_ahead})
      for (const Reading& r : *all)
        if (r.doubt != DateDoubt::none) add({false, r.id}, r.taken);
    for (const Event& e : point->events_ahead) add({true, e.id}, e.when);
    if (!doubtful.empty())
      check.remarks.push_back(
          fmt::format("{}, {}: dates in doubt: {}", at.machine, at.point, doubtful));
  }
  return {};
}

}  // namespace

Result<HistoryCheck> History::check(bool files) {
  Database& database = *store_->database;
  HistoryCheck check;
  check.schema = store_->schema;
  if (auto done = check_file(database, check); !done) return done.error();
  if (!check.sound()) return check;
  if (auto done = count_all(database, check); !done) return done.error();
  if (auto done = check_meaning(database, check); !done) return done.error();
  if (!check.sound()) return check;
  const auto all = points();
  if (!all) return all.error();
  check_names(*all, check);
  if (auto done = check_dates(*this, *all, check); !done) return done.error();
  if (files)
    if (auto done = check_recordings(database, store_->schema, check); !done) return done.error();
  return check;
}

}  // namespace bearingdsp
