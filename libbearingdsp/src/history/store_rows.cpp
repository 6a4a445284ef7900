#include "history/store_rows.hpp"

#include "machine/same_name.hpp"

namespace bearingdsp::rows {

using sqlite::Database;
using sqlite::Statement;

namespace {

/// Of rows (id, name) the one that is meant.
Result<Named> meant(Statement& s, const std::string& wanted) {
  std::vector<Named> alike;
  while (s.step()) {
    Named row;
    row.id = s.integer();
    row.name = s.text();
    if (row.name == wanted) return row;
    if (same_name(row.name, wanted)) alike.push_back(std::move(row));
  }
  if (auto done = s.result(); !done) return done.error();
  if (alike.empty()) return Named{};
  if (alike.size() == 1) return alike.front();
  return Error{Errc::bad_argument, wanted,
               "could be '" + alike[0].name + "' or '" + alike[1].name + "'",
               "write it exactly, or join them: bearingdsp history rename --join"};
}

}  // namespace

Result<std::int64_t> number(Statement& s) {
  const std::int64_t value = s.step() ? s.integer() : 0;
  if (auto done = s.result(); !done) return done.error();
  return value;
}

Result<Named> find_machine(Database& database, const std::string& machine) {
  auto exact = database.prepare("SELECT id FROM machine WHERE name = ?");
  exact.bind(machine);
  const auto id = number(exact);
  if (!id) return id.error();
  if (*id != 0) return Named{*id, machine};
  auto s = database.prepare("SELECT id, name FROM machine");
  return meant(s, machine);
}

Result<Named> find_point(Database& database, std::int64_t machine, const std::string& point) {
  auto s = database.prepare("SELECT id, name FROM point WHERE machine = ?");
  s.bind(machine);
  return meant(s, point);
}

Result<std::int64_t> find_point(Database& database, const PointKey& at) {
  const auto machine = find_machine(database, at.machine);
  if (!machine) return machine.error();
  if (machine->id == 0) return 0;
  const auto point = find_point(database, machine->id, at.point);
  if (!point) return point.error();
  return point->id;
}

Result<std::int64_t> made_point(Database& database, const PointKey& at) {
  auto machine = find_machine(database, at.machine);
  if (!machine) return machine.error();
  if (machine->id == 0) {
    auto s = database.prepare("INSERT INTO machine (name) VALUES (?)");
    if (auto done = s.bind(at.machine).run(); !done) return done.error();
    machine->id = database.last_row();
  }
  const auto point = find_point(database, machine->id, at.point);
  if (!point) return point.error();
  if (point->id != 0) return point->id;
  auto p = database.prepare("INSERT INTO point (machine, name) VALUES (?, ?)");
  if (auto done = p.bind(machine->id).bind(at.point).run(); !done) return done.error();
  return database.last_row();
}

Result<PointKey> key_of_point(Database& database, std::int64_t point) {
  auto s = database.prepare(
      "SELECT m.name, p.name FROM point p JOIN machine m ON m.id = p.machine WHERE p.id = ?");
  s.bind(point);
  PointKey key;
  if (s.step()) {
    key.machine = s.text();
    key.point = s.text();
  }
  if (auto done = s.result(); !done) return done.error();
  return key;
}

Result<void> mark_point(Database& database, std::int64_t point) {
  auto s = database.prepare("UPDATE point SET changes = changes + 1 WHERE id = ?");
  return s.bind(point).run();
}

Result<void> mark_machine(Database& database, std::int64_t machine, const std::string& point) {
  auto s = database.prepare(
      "UPDATE point SET changes = changes + 1 WHERE machine = ?1 AND (?2 = '' OR name = ?2)");
  return s.bind(machine).bind(point).run();
}

Result<void> write_journal(Database& database, const JournalEntry& e) {
  auto s = database.prepare(
      "INSERT INTO journal (when_ms, action, entry, machine, point, before, after, why) "
      "VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
  s.bind(to_ms(e.when)).bind(e.action).bind(e.entry).bind(e.at.machine).bind(e.at.point);
  return s.bind(e.before).bind(e.after).bind(e.why).run();
}

Error unknown(const PointKey& at) {
  return {Errc::not_found, at.machine + (at.point.empty() ? "" : ", " + at.point),
          "is not in the history", "'history list' shows what is"};
}

Error empty_name() {
  return {Errc::bad_argument, "history", "a machine or point without a name", "give both names"};
}

}  // namespace bearingdsp::rows
