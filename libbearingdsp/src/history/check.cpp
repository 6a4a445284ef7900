#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <string>
#include <utility>

#include "bearingdsp/history/store.hpp"
#include "history/store_state.hpp"

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
  return {};
}

Result<void> check_recordings(Database& database, HistoryCheck& check) {
  auto s = database.prepare("SELECT path FROM capture ORDER BY path");
  while (s.step()) {
    std::string path = s.text();
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored)) check.missing.push_back(std::move(path));
  }
  return s.result();
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
  if (files)
    if (auto done = check_recordings(database, check); !done) return done.error();
  return check;
}

}  // namespace bearingdsp
