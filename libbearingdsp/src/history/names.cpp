#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/store.hpp"
#include "history/store_rows.hpp"
#include "history/store_state.hpp"
#include "machine/same_name.hpp"

namespace bearingdsp {

using rows::Named;
using sqlite::Database;
using sqlite::Transaction;

namespace {

std::string listed(const std::vector<std::string>& names) {
  constexpr std::size_t most = 12;
  std::string text;
  for (std::size_t i = 0; i < std::min(most, names.size()); ++i) add_part(text, names[i], "; ");
  return names.size() > most ? text + " ..." : text;
}

/// Runs one statement with one or two numbers.
Result<void> run(Database& database, std::string_view sql, std::int64_t a, std::int64_t b) {
  auto s = database.prepare(sql);
  return s.bind(a).bind(b).run();
}
Result<void> run(Database& database, std::string_view sql, std::int64_t a) {
  auto s = database.prepare(sql);
  return s.bind(a).run();
}

/// Of two rows of one recording one is kept: with the analyses of both, a date that a person gave,
/// and removed only where both are.
Result<void> join_captures(Database& database, std::int64_t from, std::int64_t to) {
  auto date = database.prepare(
      "UPDATE capture SET (taken_ms, time_source, date_confirmed) = "
      "(SELECT taken_ms, time_source, 1 FROM capture WHERE id = ?1) "
      "WHERE id = ?2 AND date_confirmed = 0 "
      "AND (SELECT date_confirmed FROM capture WHERE id = ?1) = 1");
  if (auto done = date.bind(from).bind(to).run(); !done) return done;
  for (const std::string_view sql :
       {"UPDATE capture SET removed = min(removed, (SELECT removed FROM capture WHERE id = ?1)) "
        "WHERE id = ?2",
        "UPDATE verdict SET capture = ?2 WHERE capture = ?1",
        "UPDATE moved SET capture = ?2 WHERE capture = ?1"})
    if (auto done = run(database, sql, from, to); !done) return done;
  return run(database, "DELETE FROM capture WHERE id = ?", from);
}

Result<void> join_points(Database& database, std::int64_t from, std::int64_t to) {
  std::vector<std::pair<std::int64_t, std::int64_t>> both;
  {
    auto s = database.prepare(
        "SELECT a.id, b.id FROM capture a JOIN capture b ON b.hash = a.hash "
        "WHERE a.point = ? AND b.point = ?");
    s.bind(from).bind(to);
    while (s.step()) {
      const std::int64_t a = s.integer();
      both.emplace_back(a, s.integer());
    }
    if (auto done = s.result(); !done) return done;
  }
  for (const auto& [a, b] : both)
    if (auto done = join_captures(database, a, b); !done) return done;
  for (const std::string_view sql :
       {"UPDATE capture SET point = ?2 WHERE point = ?1",
        "INSERT OR IGNORE INTO moved (point, hash, capture) "
        "SELECT ?2, hash, capture FROM moved WHERE point = ?1",
        "UPDATE point SET bearing = ifnull(bearing, (SELECT bearing FROM point WHERE id = ?1)) "
        "WHERE id = ?2",
        "UPDATE point SET changes = changes + 1 + (SELECT changes FROM point WHERE id = ?1) "
        "WHERE id = ?2"})
    if (auto done = run(database, sql, from, to); !done) return done;
  for (const std::string_view sql :
       {"DELETE FROM moved WHERE point = ?", "DELETE FROM standing WHERE point = ?",
        "DELETE FROM point WHERE id = ?"})
    if (auto done = run(database, sql, from); !done) return done;
  // A recording that is at the point again is not one that was moved away from it.
  return run(database,
             "DELETE FROM moved WHERE point = ?1 AND hash IN (SELECT hash FROM capture WHERE "
             "point = ?1)",
             to);
}

Result<void> rename_events(Database& database, std::int64_t machine, const std::string& from,
                           const std::string& to) {
  auto s = database.prepare("UPDATE event SET point = ?3 WHERE machine = ?1 AND point = ?2");
  return s.bind(machine).bind(from).bind(to).run();
}

Result<std::vector<Named>> points_in(Database& database, std::int64_t machine) {
  auto s = database.prepare("SELECT id, name FROM point WHERE machine = ? ORDER BY id");
  s.bind(machine);
  std::vector<Named> points;
  while (s.step()) {
    Named p;
    p.id = s.integer();
    p.name = s.text();
    points.push_back(std::move(p));
  }
  if (auto done = s.result(); !done) return done.error();
  return points;
}

Result<void> join_machines(Database& database, std::int64_t from, std::int64_t to) {
  const auto points = points_in(database, from);
  if (!points) return points.error();
  for (const Named& p : *points) {
    const auto there = rows::find_point(database, to, p.name);
    if (!there) return there.error();
    if (there->id == 0) {
      if (auto done = run(database, "UPDATE point SET machine = ?2 WHERE id = ?1", p.id, to); !done)
        return done;
      continue;
    }
    if (auto done = rename_events(database, from, p.name, there->name); !done) return done;
    if (auto done = join_points(database, p.id, there->id); !done) return done;
  }
  for (const std::string_view sql :
       {"UPDATE event SET machine = ?2 WHERE machine = ?1",
        "UPDATE machine SET limits = ifnull(limits, (SELECT limits FROM machine WHERE id = ?1)) "
        "WHERE id = ?2"})
    if (auto done = run(database, sql, from, to); !done) return done;
  if (auto done = run(database, "DELETE FROM machine WHERE id = ?", from); !done) return done;
  return rows::mark_machine(database, to);
}

Error taken(const std::string& name) {
  return {Errc::bad_argument, name, "is in the history already",
          "with --join both histories become one"};
}

/// Another row of that name, whatever its spelling. Where both are spelled alike already, as they
/// may be in an old store, the exact name decides.
Result<Named> other_of(Result<Named> found, std::int64_t self) {
  if (found && found->id == self) return Named{};
  return found;
}

Result<std::string> rename_one_machine(Database& database, const std::string& from,
                                       const std::string& to, bool join) {
  const auto machine = rows::find_machine(database, from);
  if (!machine) return machine.error();
  if (machine->id == 0) return rows::unknown({from, ""});
  const auto other = other_of(rows::find_machine(database, to), machine->id);
  if (!other) return other.error();
  if (other->id != 0) {
    if (!join) return taken(other->name);
    if (auto done = join_machines(database, machine->id, other->id); !done) return done.error();
    return machine->name;
  }
  auto s = database.prepare("UPDATE machine SET name = ? WHERE id = ?");
  if (auto done = s.bind(to).bind(machine->id).run(); !done) return done.error();
  if (auto done = rows::mark_machine(database, machine->id); !done) return done.error();
  return machine->name;
}

Result<std::string> rename_one_point(Database& database, const PointKey& from,
                                     const std::string& to, bool join) {
  const auto machine = rows::find_machine(database, from.machine);
  if (!machine) return machine.error();
  if (machine->id == 0) return rows::unknown({from.machine, ""});
  const auto point = rows::find_point(database, machine->id, from.point);
  if (!point) return point.error();
  if (point->id == 0) return rows::unknown(from);
  const auto other = other_of(rows::find_point(database, machine->id, to), point->id);
  if (!other) return other.error();
  if (other->id != 0 && !join) return taken(machine->name + ", " + other->name);
  const std::string name = other->id != 0 ? other->name : to;
  if (auto done = rename_events(database, machine->id, point->name, name); !done)
    return done.error();
  if (other->id != 0) {
    if (auto done = join_points(database, point->id, other->id); !done) return done.error();
    return point->name;
  }
  auto s = database.prepare("UPDATE point SET name = ? WHERE id = ?");
  if (auto done = s.bind(to).bind(point->id).run(); !done) return done.error();
  if (auto done = rows::mark_point(database, point->id); !done) return done.error();
  return point->name;
}

}  // namespace

Result<std::vector<PointKey>> History::points_of(const std::string& machine,
                                                 const std::string& point) {
  const auto found = rows::find_machine(*store_->database, machine);
  if (!found) return found.error();
  const auto all = points();
  if (!all) return all.error();
  std::vector<PointKey> chosen;
  std::vector<std::string> machines;
  std::vector<std::string> names;
  for (const PointKey& key : *all) {
    if (machines.empty() || machines.back() != key.machine) machines.push_back(key.machine);
    if (found->id == 0 || key.machine != found->name) continue;
    names.push_back(key.point);
    if (point.empty() || key.point == point) chosen.push_back(key);
  }
  // Only where no point is called exactly that.
  if (chosen.empty() && found->id != 0) {
    const auto alike = rows::find_point(*store_->database, found->id, point);
    if (!alike) return alike.error();
    if (alike->id != 0) chosen.push_back({found->name, alike->name});
  }
  if (names.empty())
    return Error{Errc::not_found, machine, "is no machine of this history",
                 machines.empty() ? "it is empty" : "it has: " + listed(machines)};
  if (chosen.empty())
    return Error{Errc::not_found, point, "is no point of " + machine, "it has: " + listed(names)};
  return chosen;
}

Result<void> History::rename(const PointKey& from, const std::string& to, bool join,
                             const std::string& why) {
  if (from.machine.empty() || to.empty()) return rows::empty_name();
  Database& database = *store_->database;
  Transaction transaction{database};
  if (!transaction.begun()) return transaction.begun();
  const bool machine = from.point.empty();
  const auto old = machine ? rename_one_machine(database, from.machine, to, join)
                           : rename_one_point(database, from, to, join);
  if (!old) return old.error();
  const PointKey was{machine ? *old : from.machine, machine ? "" : *old};
  if (auto done =
          rows::write_journal(database, {now(), join ? "join" : "rename", "", was, *old, to, why});
      !done)
    return done;
  return transaction.commit();
}

}  // namespace bearingdsp
