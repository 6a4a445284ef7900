#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/store.hpp"
#include "history/schema.hpp"
#include "history/store_rows.hpp"
#include "history/store_state.hpp"

namespace bearingdsp {

using rows::from_ms;
using rows::to_ms;
using sqlite::Database;
using sqlite::Transaction;

namespace {

Error no_entry(EntryId id) {
  return {Errc::not_found, name(id), "is not in this history",
          "'history entries MACHINE' lists what is"};
}

/// A reading or an event as it is now.
struct Row {
  EntryId id;
  std::int64_t machine{0};
  PointKey at;
  std::int64_t point{0};  ///< of a reading
  std::string hash;       ///< of a reading
  UtcTime when{};
  bool removed{false};
  std::optional<double> load_percent;
  std::string kind, note;
  std::optional<double> temperature_celsius;
};

Result<Row> reading_row(Database& database, EntryId id) {
  auto s = database.prepare(
      "SELECT m.id, m.name, p.name, p.id, c.hash, c.taken_ms, c.removed, c.load_percent "
      "FROM capture c JOIN point p ON p.id = c.point JOIN machine m ON m.id = p.machine "
      "WHERE c.id = ?");
  s.bind(id.id);
  Row row;
  row.id = id;
  if (s.step()) {
    row.machine = s.integer();
    row.at.machine = s.text();
    row.at.point = s.text();
    row.point = s.integer();
    row.hash = s.text();
    row.when = from_ms(s.integer());
    row.removed = s.integer() != 0;
    row.load_percent = s.maybe_real();
  }
  if (auto done = s.result(); !done) return done.error();
  if (row.machine == 0) return no_entry(id);
  return row;
}

Result<Row> event_row(Database& database, EntryId id) {
  auto s = database.prepare(
      "SELECT m.id, m.name, e.point, e.when_ms, e.removed, e.kind, e.note, e.temperature_celsius "
      "FROM event e JOIN machine m ON m.id = e.machine WHERE e.id = ?");
  s.bind(id.id);
  Row row;
  row.id = id;
  if (s.step()) {
    row.machine = s.integer();
    row.at.machine = s.text();
    row.at.point = s.text();
    row.when = from_ms(s.integer());
    row.removed = s.integer() != 0;
    row.kind = s.text();
    row.note = s.text();
    row.temperature_celsius = s.maybe_real();
  }
  if (auto done = s.result(); !done) return done.error();
  if (row.machine == 0) return no_entry(id);
  return row;
}

Result<Row> row_of(Database& database, EntryId id) {
  return id.event ? event_row(database, id) : reading_row(database, id);
}

std::string number_text(const std::optional<double>& value) {
  return value ? fmt::format("{}", *value) : "none";
}

/// What the journal says of a row.
std::string row_text(const Row& r) {
  std::string text =
      fmt::format("{}, {}, {}", r.at.machine, r.at.point.empty() ? "all points" : r.at.point,
                  format_time(r.when));
  if (r.id.event) {
    text += ", " + r.kind;
    if (!r.note.empty()) text += ": " + r.note;
    if (r.temperature_celsius) text += fmt::format(", {} °C", *r.temperature_celsius);
  } else if (r.load_percent) {
    text += fmt::format(", load {} %", number_text(r.load_percent));
  }
  return text;
}

/// Whatever shows the row has to be found again.
Result<void> mark(Database& database, const Row& r) {
  return r.id.event ? rows::mark_machine(database, r.machine, r.at.point)
                    : rows::mark_point(database, r.point);
}

Error does_not_fit(const Row& r, std::string_view option) {
  return {Errc::bad_argument, name(r.id),
          fmt::format("is {}: it has no {}", r.id.event ? "an event" : "a reading", option),
          "leave that option out"};
}

Result<void> check_fits(const Row& r, const Correction& c) {
  if (r.removed)
    return Error{Errc::bad_argument, name(r.id), "was removed",
                 "bring it back first: bearingdsp history restore " + name(r.id)};
  if (r.id.event && c.confirm_date) return does_not_fit(r, "date of a recorder to confirm");
  if (r.id.event && c.load_percent) return does_not_fit(r, "load");
  if (!r.id.event && c.kind) return does_not_fit(r, "kind");
  if (!r.id.event && c.note) return does_not_fit(r, "note");
  if (!r.id.event && c.temperature_celsius) return does_not_fit(r, "temperature");
  if (!r.id.event && c.at && c.at->machine.empty() && c.at->point.empty())
    return does_not_fit(r, "whole machine to belong to");
  if (r.id.event && c.at && !c.at->machine.empty()) return does_not_fit(r, "machine to change");
  return {};
}

/// The point that a reading is moved to; made where that is allowed.
Result<std::int64_t> target_point(Database& database, const Row& r, const Correction& c) {
  const PointKey wanted{c.at->machine.empty() ? r.at.machine : c.at->machine,
                        c.at->point.empty() ? r.at.point : c.at->point};
  const auto machine = rows::find_machine(database, wanted.machine);
  if (!machine) return machine.error();
  if (machine->id == 0) return rows::unknown({wanted.machine, ""});
  const auto point = rows::find_point(database, machine->id, wanted.point);
  if (!point) return point.error();
  if (point->id != 0) return point->id;
  if (!c.new_point)
    return Error{Errc::not_found, wanted.point, "is not a point of " + machine->name,
                 "'history list' shows what is; --new-point makes it"};
  return rows::made_point(database, wanted);
}

/// The recording is not added again where it was.
Result<void> move_reading(Database& database, Row& r, const Correction& c) {
  const auto target = target_point(database, r, c);
  if (!target) return target.error();
  if (*target == r.point) return {};
  auto there = database.prepare("SELECT id FROM capture WHERE point = ? AND hash = ?");
  const auto other = rows::number(there.bind(*target).bind(r.hash));
  if (!other) return other.error();
  if (*other != 0)
    return Error{Errc::bad_argument, name(r.id),
                 "is a recording that this point holds already, as " + name(EntryId{false, *other}),
                 "remove one of them: bearingdsp history remove"};
  auto from =
      database.prepare("INSERT OR REPLACE INTO moved (point, hash, capture) VALUES (?, ?, ?)");
  if (auto done = from.bind(r.point).bind(r.hash).bind(r.id.id).run(); !done) return done;
  auto to = database.prepare("DELETE FROM moved WHERE point = ? AND hash = ?");
  if (auto done = to.bind(*target).bind(r.hash).run(); !done) return done;
  auto s = database.prepare("UPDATE capture SET point = ? WHERE id = ?");
  if (auto done = s.bind(*target).bind(r.id.id).run(); !done) return done;
  if (auto done = mark(database, r); !done) return done;
  r.point = *target;
  return {};
}

Result<void> write_reading(Database& database, Row& r, const Correction& c) {
  if (c.at)
    if (auto done = move_reading(database, r, c); !done) return done;
  if (c.time || c.shift) {
    auto s = database.prepare(
        "UPDATE capture SET taken_ms = ?, time_source = ?, date_confirmed = 1 WHERE id = ?");
    s.bind(to_ms(r.when)).bind(token(TimeSource::given)).bind(r.id.id);
    if (auto done = s.run(); !done) return done;
  }
  if (c.confirm_date) {
    auto s = database.prepare("UPDATE capture SET date_confirmed = 1 WHERE id = ?");
    if (auto done = s.bind(r.id.id).run(); !done) return done;
  }
  if (c.load_percent) {
    auto s = database.prepare("UPDATE capture SET load_percent = ? WHERE id = ?");
    if (auto done = s.bind(*c.load_percent).bind(r.id.id).run(); !done) return done;
  }
  return {};
}

/// A corrected event counts as noted now.
Result<void> write_event(Database& database, Row& r, const Correction& c, UtcTime now) {
  if (auto done = mark(database, r); !done) return done;
  if (c.at) {
    r.at.point.clear();
    if (!c.at->point.empty()) {
      const auto point = rows::find_point(database, r.machine, c.at->point);
      if (!point) return point.error();
      if (point->id == 0) return rows::unknown({r.at.machine, c.at->point});
      r.at.point = point->name;
    }
  }
  auto s = database.prepare(
      "UPDATE event SET kind = ?, when_ms = ?, point = ?, note = ?, temperature_celsius = ?, "
      "added_ms = ? WHERE id = ?");
  s.bind(c.kind ? token(*c.kind) : std::string_view{r.kind}).bind(to_ms(r.when)).bind(r.at.point);
  s.bind(c.note ? *c.note : r.note);
  s.bind(c.temperature_celsius ? c.temperature_celsius : r.temperature_celsius);
  return s.bind(to_ms(now)).bind(r.id.id).run();
}

Result<void> correct_one(Database& database, EntryId id, const Correction& c,
                         const std::string& why, UtcTime now) {
  auto row = row_of(database, id);
  if (!row) return row.error();
  if (auto fits = check_fits(*row, c); !fits) return fits;
  const PointKey was = row->at;
  const std::string before = row_text(*row);
  if (c.time) row->when = *c.time;
  if (c.shift) row->when += *c.shift;
  if (c.time || c.shift)
    if (auto possible = check_not_ahead(row->when, now, name(id)); !possible) return possible;
  auto done = id.event ? write_event(database, *row, c, now) : write_reading(database, *row, c);
  if (!done) return done;
  auto after = row_of(database, id);
  if (!after) return after.error();
  if (done = mark(database, *after); !done) return done;
  std::string now_text = row_text(*after);
  if (c.confirm_date) now_text += ", date confirmed";
  return rows::write_journal(database, {now, "edit", name(id), was, before, now_text, why});
}

Result<void> set_removed(Database& database, EntryId id, bool removed, const std::string& why,
                         UtcTime now) {
  const auto row = row_of(database, id);
  if (!row) return row.error();
  if (row->removed == removed)
    return Error{Errc::bad_argument, name(id), removed ? "is removed already" : "is not removed",
                 "'history entries " + row->at.machine + "' shows it"};
  auto s = database.prepare(id.event ? "UPDATE event SET removed = ? WHERE id = ?"
                                     : "UPDATE capture SET removed = ? WHERE id = ?");
  if (auto done = s.bind(removed ? 1 : 0).bind(id.id).run(); !done) return done;
  if (auto done = mark(database, *row); !done) return done;
  const std::string text = row_text(*row);
  return rows::write_journal(database, {now, removed ? "remove" : "restore", name(id), row->at,
                                        removed ? text : "", removed ? "" : text, why});
}

Result<void> add_readings(Database& database, std::int64_t point, const PointKey& at,
                          std::vector<HistoryEntry>& entries) {
  auto s = database.prepare(
      "SELECT c.id, c.taken_ms, c.removed, v.verdict, v.place, c.path FROM capture c "
      "JOIN verdict v ON v.id = c.verdict WHERE c.point = ?");
  s.bind(point);
  while (s.step()) {
    HistoryEntry e;
    e.id = {false, s.integer()};
    e.at = at;
    e.when = from_ms(s.integer());
    e.removed = s.integer() != 0;
    e.what = s.text();
    const std::string component = s.text();
    if (e.what == token(Verdict::fault)) e.what += ": " + component;
    e.detail = s.text();
    entries.push_back(std::move(e));
  }
  return s.result();
}

Result<void> add_events(Database& database, std::int64_t point, const PointKey& at,
                        std::vector<HistoryEntry>& entries) {
  auto s = database.prepare(
      "SELECT e.id, e.when_ms, e.removed, e.point, e.kind, e.note, e.temperature_celsius "
      "FROM point p JOIN event e ON e.machine = p.machine "
      "WHERE p.id = ? AND e.point IN ('', p.name)");
  s.bind(point);
  while (s.step()) {
    HistoryEntry e;
    e.id = {true, s.integer()};
    e.when = from_ms(s.integer());
    e.removed = s.integer() != 0;
    e.at = {at.machine, s.text()};
    e.what = s.text();
    e.detail = s.text();
    if (const auto t = s.maybe_real()) add_part(e.detail, fmt::format("{} °C", *t));
    entries.push_back(std::move(e));
  }
  return s.result();
}

}  // namespace

std::string name(EntryId id) { return fmt::format("{}{}", id.event ? 'e' : 'r', id.id); }

Result<EntryId> parse_entry(std::string_view text) {
  EntryId id;
  id.event = text.starts_with('e') || text.starts_with('E');
  const bool known = id.event || text.starts_with('r') || text.starts_with('R');
  const char* end = text.data() + text.size();
  const auto read = known ? std::from_chars(text.data() + 1, end, id.id)
                          : std::from_chars_result{nullptr, std::errc::invalid_argument};
  if (read.ec != std::errc{} || read.ptr != end || id.id < 1)
    return Error{Errc::bad_argument, "'" + std::string{text} + "'",
                 "is not the number of a reading or event",
                 "write it like r12 or e3; 'history entries MACHINE' lists them"};
  return id;
}

Result<void> History::correct(std::span<const EntryId> ids, const Correction& correction,
                              const std::string& why) {
  Transaction transaction{*store_->database};
  if (!transaction.begun()) return transaction.begun();
  for (const EntryId id : ids)
    if (auto done = correct_one(*store_->database, id, correction, why, now()); !done) return done;
  return transaction.commit();
}

Result<void> History::remove(std::span<const EntryId> ids, const std::string& why) {
  Transaction transaction{*store_->database};
  if (!transaction.begun()) return transaction.begun();
  for (const EntryId id : ids)
    if (auto done = set_removed(*store_->database, id, true, why, now()); !done) return done;
  return transaction.commit();
}

Result<void> History::restore(std::span<const EntryId> ids, const std::string& why) {
  Transaction transaction{*store_->database};
  if (!transaction.begun()) return transaction.begun();
  for (const EntryId id : ids)
    if (auto done = set_removed(*store_->database, id, false, why, now()); !done) return done;
  return transaction.commit();
}

Result<std::vector<HistoryEntry>> History::entries(const PointKey& at) {
  const auto seen = point(at);
  if (!seen) return seen.error();
  std::vector<HistoryEntry> entries;
  if (store_->schema < schema_with_journal)
    return Error{Errc::database, store_->database->path(), "was written by an older version",
                 "any command that writes brings it up to date, as 'history list' does"};
  Database& database = *store_->database;
  const auto id = rows::find_point(database, at);
  if (!id) return id.error();
  if (auto done = add_readings(database, *id, seen->at, entries); !done) return done.error();
  if (auto done = add_events(database, *id, seen->at, entries); !done) return done.error();
  for (HistoryEntry& e : entries) {
    for (const auto* all : {&seen->readings, &seen->readings_ahead})
      for (const Reading& r : *all)
        if (!e.id.event && r.id == e.id.id) e.doubt = r.doubt;
    for (const Event& ahead : seen->events_ahead)
      if (e.id.event && ahead.id == e.id.id) e.doubt = DateDoubt::ahead;
  }
  std::stable_sort(entries.begin(), entries.end(),
                   [](const HistoryEntry& a, const HistoryEntry& b) { return a.when < b.when; });
  return entries;
}

Result<std::vector<JournalEntry>> History::journal() {
  std::vector<JournalEntry> journal;
  if (store_->schema < schema_with_journal) return journal;
  auto s = store_->database->prepare(
      "SELECT when_ms, action, entry, machine, point, before, after, why FROM journal ORDER BY id");
  while (s.step()) {
    JournalEntry e;
    e.when = from_ms(s.integer());
    for (std::string* text :
         {&e.action, &e.entry, &e.at.machine, &e.at.point, &e.before, &e.after, &e.why})
      *text = s.text();
    journal.push_back(std::move(e));
  }
  if (auto done = s.result(); !done) return done.error();
  return journal;
}

}  // namespace bearingdsp
