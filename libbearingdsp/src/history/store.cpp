#include "bearingdsp/history/store.hpp"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <limits>
#include <span>
#include <unordered_map>
#include <utility>

#include "bearingdsp/history/dates.hpp"
#include "bearingdsp/history/hash.hpp"
#include "history/analyse.hpp"
#include "history/lists.hpp"
#include "history/reading_columns.hpp"
#include "history/schema.hpp"
#include "history/sqlite.hpp"
#include "history/store_rows.hpp"
#include "history/store_state.hpp"

namespace bearingdsp {

using columns::finite;
using columns::or_zero;
using rows::from_ms;
using rows::number;
using rows::to_ms;
using sqlite::Database;
using sqlite::Statement;
using sqlite::Transaction;

namespace {

constexpr int schema_with_spectra = 5;

/// A file opened in place, for a medium that cannot be written: SQLite's log needs a writable
/// folder. Only right while nobody writes, so only without a log.
std::string immutable_name(const std::string& path) {
  std::string name = "file:";
  for (const char c : path)
    if (c == '%' || c == '?' || c == '#')
      name += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    else
      name += c;
  return name + "?immutable=1";
}

Result<std::unique_ptr<Database>> open_for_reading(const std::string& path) {
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored))
    return Error{Errc::not_found, path, "there is no such history",
                 "check the name; 'route run --store' makes one"};
  auto database = Database::open(path, path, SQLITE_OPEN_READONLY);
  if (!database) return database.error();
  if (read_schema_version(**database) || std::filesystem::exists(path + "-wal", ignored))
    return database;
  return Database::open(path, immutable_name(path), SQLITE_OPEN_READONLY | SQLITE_OPEN_URI);
}

Result<void> use_write_ahead_log(Database& database) {
  // The switch takes the file for itself and does not wait for others by itself.
  constexpr int tries = 200;
  constexpr int pause_ms = 25;
  Result<void> done;
  for (int i = 0; i < tries; ++i) {
    done = database.prepare("PRAGMA journal_mode = WAL").run();
    if (done || done.error().code != Errc::database) return done;
    sqlite3_sleep(pause_ms);
  }
  return done;
}

Result<std::unique_ptr<Database>> open_for_writing(const std::string& path) {
  auto database = Database::open(path, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
  if (!database) return database.error();
  // Nothing of a file that is not ours is touched.
  if (const auto version = read_schema_version(**database); !version) return version.error();
  if (auto done = use_write_ahead_log(**database); !done) return done.error();
  // With a write-ahead log NORMAL survives a killed process whole; a power cut may lose the last
  // transactions but not damage the file.
  if (auto done = (*database)->script("PRAGMA synchronous = NORMAL; PRAGMA foreign_keys = ON");
      !done)
    return done.error();
  if (auto done = migrate(**database); !done) return done.error();
  return database;
}

/// The capture and the settings of its shown analysis; id 0 if it is not there.
struct Held {
  std::int64_t capture{0};
  std::string settings;
  UtcTime taken{};
  bool removed{false};
};
Result<Held> find_held(Database& database, std::int64_t point, const std::string& hash,
                       int schema) {
  auto s = database.prepare(
      fmt::format("SELECT c.id, v.settings, c.taken_ms, {} FROM capture c "
                  "LEFT JOIN verdict v ON v.id = c.verdict WHERE c.point = ? AND c.hash = ?",
                  schema < schema_with_journal ? "0" : "c.removed"));
  s.bind(point).bind(hash);
  Held held;
  if (s.step()) {
    held.capture = s.integer();
    held.settings = s.text();
    held.taken = from_ms(s.integer());
    held.removed = s.integer() != 0;
  }
  if (auto done = s.result(); !done) return done.error();
  return held;
}

/// Where a person moved a recording of this point; 0 if nobody did.
Result<std::int64_t> find_moved(Database& database, std::int64_t point, const std::string& hash,
                                int schema) {
  if (schema < schema_with_journal) return 0;
  auto s = database.prepare(
      "SELECT c.point FROM moved m JOIN capture c ON c.id = m.capture "
      "WHERE m.point = ? AND m.hash = ?");
  s.bind(point).bind(hash);
  return number(s);
}

Result<void> insert_parts(Database& database, std::int64_t verdict, const Reading& r) {
  for (int i = 0; i < part_count; ++i) {
    const PartReading& p = r.parts.at(static_cast<std::size_t>(i));
    auto s = database.prepare(
        "INSERT INTO part (verdict, part, strength, depth, harmonics, sidebands) "
        "VALUES (?, ?, ?, ?, ?, ?)");
    s.bind(verdict).bind(token(static_cast<Part>(i))).bind(or_zero(p.strength));
    s.bind(or_zero(p.depth)).bind(p.harmonics).bind(p.sidebands);
    if (auto done = s.run(); !done) return done;
  }
  return {};
}

Result<void> insert_spectrum(Database& database, std::int64_t verdict, std::string_view kind,
                             const KeptSpectrum& spectrum,
                             const std::optional<DefectOrders>& orders) {
  if (spectrum.level.empty()) return {};
  const CodedSpectrum c = coded(spectrum);
  auto s = database.prepare(
      "INSERT INTO spectrum (verdict, kind, start, step, highest, codes, bpfo, bpfi, bsf, ftf) "
      "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  s.bind(verdict).bind(kind).bind(c.start).bind(c.step).bind(c.highest);
  s.bind(std::span<const std::uint8_t>{c.codes});
  for (const Order DefectOrders::*order :
       {&DefectOrders::bpfo, &DefectOrders::bpfi, &DefectOrders::bsf, &DefectOrders::ftf})
    s.bind(orders ? finite(((*orders).*order).value()) : std::nullopt);
  return s.run();
}

Result<void> insert_spectra(Database& database, std::int64_t verdict, const VisitSpectra& v) {
  if (auto done = insert_spectrum(database, verdict, "envelope", v.envelope, v.orders); !done)
    return done;
  return insert_spectrum(database, verdict, "velocity", v.velocity, v.orders);
}

/// An analysis with all that belongs to it, shown from now on.
Result<void> insert_analysis(Database& database, std::int64_t capture, const Reading& r) {
  const auto verdict = columns::insert_verdict(database, capture, r);
  if (!verdict) return verdict.error();
  if (auto done = insert_parts(database, *verdict, r); !done) return done;
  if (r.spectra)
    if (auto done = insert_spectra(database, *verdict, *r.spectra); !done) return done;
  auto s = database.prepare("UPDATE capture SET verdict = ? WHERE id = ?");
  return s.bind(*verdict).bind(capture).run();
}

Result<void> read_parts(Database& database, std::int64_t point, std::vector<Reading>& readings,
                        const std::unordered_map<std::int64_t, std::size_t>& by_verdict) {
  auto s = database.prepare(
      "SELECT p.verdict, p.part, p.strength, p.depth, p.harmonics, p.sidebands "
      "FROM capture c JOIN part p ON p.verdict = c.verdict WHERE c.point = ?");
  s.bind(point);
  while (s.step()) {
    const auto at = by_verdict.find(s.integer());
    const int part = static_cast<int>(from_token<Part>(s.text()).value_or(Part::outer_ring));
    if (at == by_verdict.end()) continue;
    PartReading& p = readings[at->second].parts.at(static_cast<std::size_t>(part));
    p.strength = s.real();
    p.depth = s.real();
    p.harmonics = static_cast<int>(s.integer());
    p.sidebands = static_cast<int>(s.integer());
  }
  return s.result();
}

Result<std::vector<Reading>> read_readings(Database& database, std::int64_t point, int schema) {
  std::vector<Reading> readings;
  std::unordered_map<std::int64_t, std::size_t> by_verdict;
  {
    auto s = database.prepare(columns::readings_sql(schema));
    s.bind(point);
    while (s.step()) {
      by_verdict.emplace(s.integer(), readings.size());
      readings.push_back(columns::read_row(s));
    }
    if (auto done = s.result(); !done) return done.error();
  }
  if (auto done = read_parts(database, point, readings, by_verdict); !done) return done.error();
  return readings;
}

void read_spectrum(Statement& s, VisitSpectra& v) {
  const std::string kind = s.text();
  CodedSpectrum c;
  c.start = s.real();
  c.step = s.real();
  c.highest = s.real();
  c.codes = s.bytes();
  DefectOrders orders;
  bool known = true;
  for (Order DefectOrders::*order :
       {&DefectOrders::bpfo, &DefectOrders::bpfi, &DefectOrders::bsf, &DefectOrders::ftf}) {
    const auto value = s.maybe_real();
    known = known && value.has_value();
    orders.*order = Order{value.value_or(0)};
  }
  if (known) v.orders = orders;
  (kind == "envelope" ? v.envelope : v.velocity) = decoded(c);
}

/// The limits came with schema 4.
Result<KnownLimits> read_machine_limits(Database& database, std::int64_t point, int schema) {
  if (schema < 4) return lists::read_limits("");
  auto s = database.prepare(
      "SELECT m.limits FROM point p JOIN machine m ON m.id = p.machine WHERE p.id = ?");
  s.bind(point);
  KnownLimits limits = lists::read_limits(s.step() ? s.text() : "");
  if (auto done = s.result(); !done) return done.error();
  return limits;
}

/// The bearing came with schema 6.
Result<std::string> read_bearing(Database& database, std::int64_t point, int schema) {
  if (schema < 6) return std::string{};
  auto s = database.prepare("SELECT bearing FROM point WHERE id = ?");
  s.bind(point);
  std::string bearing = s.step() ? s.text() : "";
  if (auto done = s.result(); !done) return done.error();
  return bearing;
}

/// Columns of event_columns().
Event read_event(Statement& s) {
  Event e;
  e.id = s.integer();
  e.kind = event_kind(s.text()).value_or(EventKind::note);
  e.when = from_ms(s.integer());
  e.point = s.text();
  e.note = s.text();
  e.temperature_celsius = s.maybe_real();
  if (const auto added = s.maybe_integer()) e.added = from_ms(*added);
  return e;
}

std::string event_columns(int schema) {
  return fmt::format("e.id, e.kind, e.when_ms, e.point, e.note, e.temperature_celsius, {}",
                     schema < schema_with_journal ? "NULL" : "e.added_ms");
}
std::string events_kept(int schema) { return schema < schema_with_journal ? "1" : "e.removed = 0"; }

Result<std::vector<Event>> read_events(Database& database, std::int64_t point, int schema) {
  auto s = database.prepare(
      fmt::format("SELECT {} FROM point p JOIN event e ON e.machine = p.machine "
                  "WHERE p.id = ? AND e.point IN ('', p.name) AND {} ORDER BY e.when_ms, e.id",
                  event_columns(schema), events_kept(schema)));
  s.bind(point);
  std::vector<Event> events;
  while (s.step()) events.push_back(read_event(s));
  if (auto done = s.result(); !done) return done.error();
  return events;
}

/// Recordings of the point that begin as this one does.
struct Kin {
  std::int64_t capture{0};
  std::uint64_t size_bytes{0};
  bool confirmed{false};
};
Result<std::vector<Kin>> find_kin(Database& database, std::int64_t point, const Reading& r) {
  std::vector<Kin> kin;
  if (r.beginnings.empty()) return kin;
  auto s = database.prepare(
      "SELECT id, size_bytes, date_confirmed, beginnings FROM capture "
      "WHERE point = ? AND removed = 0 AND beginnings <> ''");
  s.bind(point);
  while (s.step()) {
    Kin k;
    k.capture = s.integer();
    k.size_bytes = static_cast<std::uint64_t>(s.integer());
    k.confirmed = s.integer() != 0;
    if (begin_alike(s.text(), r.beginnings)) kin.push_back(k);
  }
  if (auto done = s.result(); !done) return done.error();
  return kin;
}

/// The whole recording counts from now on, with the date that a person gave its beginning.
Result<void> take_place(Database& database, const PointKey& at, std::int64_t whole, const Kin& kin,
                        UtcTime now) {
  if (kin.confirmed) {
    auto s = database.prepare(
        "UPDATE capture SET (taken_ms, time_source, date_confirmed, load_percent) = "
        "(SELECT taken_ms, time_source, date_confirmed, load_percent FROM capture WHERE id = ?1) "
        "WHERE id = ?2");
    if (auto done = s.bind(kin.capture).bind(whole).run(); !done) return done;
  }
  auto s = database.prepare("UPDATE capture SET removed = 1 WHERE id = ?");
  if (auto done = s.bind(kin.capture).run(); !done) return done;
  return rows::write_journal(database, {now, "grown", name(EntryId{false, kin.capture}), at,
                                        "the beginning of a recording",
                                        name(EntryId{false, whole}) + " is the whole of it", ""});
}

/// Of rows of a machine's name and a point's.
Result<std::vector<PointKey>> point_keys(Statement& s) {
  std::vector<PointKey> keys;
  while (s.step()) {
    PointKey key;
    key.machine = s.text();
    key.point = s.text();
    keys.push_back(std::move(key));
  }
  if (auto done = s.result(); !done) return done.error();
  return keys;
}

}  // namespace

History::History(std::unique_ptr<Store> store) : store_{std::move(store)} {}
History::History(History&&) noexcept = default;
History& History::operator=(History&&) noexcept = default;
History::~History() = default;

Result<void> check_store_name(const std::string& path) {
  constexpr std::string_view advice = "give the name of a file, such as history.db";
  const auto refused = [&](const std::string& why) {
    return Error{Errc::bad_argument, "history '" + path + "'", why, std::string{advice}};
  };
  if (path.empty()) return refused("has no name");
  if (path == ":memory:" || path.starts_with("file:"))
    return refused("is not the name of a file: nothing would be kept");
  std::error_code code;
  const auto kind = std::filesystem::status(path, code).type();
  if (kind == std::filesystem::file_type::directory) return refused("is a folder");
  if (std::filesystem::exists(std::filesystem::file_status{kind}) &&
      kind != std::filesystem::file_type::regular)
    return refused("is not a file: nothing would be kept");
  return {};
}

Result<History> History::open(const std::string& path, Access access, Clock clock) {
  if (auto named = check_store_name(path); !named) return named.error();
  auto database = access == Access::read_only ? open_for_reading(path) : open_for_writing(path);
  if (!database) return database.error();
  const auto version = read_schema_version(**database);
  if (!version) return version.error();
  if (*version == 0) return Error{Errc::corrupt_file, path, "is no history", "check the name"};
  return History{std::make_unique<Store>(Store{std::move(*database), *version, std::move(clock)})};
}

UtcTime History::now() const { return store_->clock(); }

Result<Known> History::known(const PointKey& at, const std::string& hash) {
  Known known;
  const auto point = rows::find_point(*store_->database, at);
  if (!point) return point.error();
  if (*point == 0) return known;
  const auto held = find_held(*store_->database, *point, hash, store_->schema);
  if (!held) return held.error();
  known.there = held->capture != 0;
  known.removed = held->removed;
  known.settings = held->settings;
  known.taken = held->taken;
  if (known.there) return known;
  const auto moved = find_moved(*store_->database, *point, hash, store_->schema);
  if (!moved) return moved.error();
  if (*moved == 0) return known;
  auto key = rows::key_of_point(*store_->database, *moved);
  if (!key) return key.error();
  known.moved_to = std::move(*key);
  return known;
}

Result<bool> History::holds(const PointKey& at, const std::string& hash,
                            const std::string& settings) {
  const auto found = known(at, hash);
  if (!found) return found.error();
  return found->there && found->settings == settings;
}

Result<Added> History::add(const PointKey& at, const Reading& given) {
  if (at.machine.empty() || at.point.empty() || given.hash.empty()) return rows::empty_name();
  Database& database = *store_->database;
  Transaction transaction{database};
  if (!transaction.begun()) return transaction.begun().error();
  Reading r = given;
  if (!r.added) r.added = now();
  const auto point = rows::made_point(database, at);
  if (!point) return point.error();
  const auto held = find_held(database, *point, r.hash, store_->schema);
  if (!held) return held.error();
  if (held->removed) return Added::removed;
  if (held->capture != 0 && held->settings == r.settings) return Added::was_there;
  const auto moved = find_moved(database, *point, r.hash, store_->schema);
  if (!moved) return moved.error();
  if (*moved != 0 && held->capture == 0) return Added::moved;
  Added outcome = Added::reanalysed;
  std::int64_t capture = held->capture;
  if (capture == 0) {
    const auto kin = find_kin(database, *point, r);
    if (!kin) return kin.error();
    for (const Kin& k : *kin)
      if (k.size_bytes > r.size_bytes) return Added::cut_short;
    const auto made = columns::insert_capture(database, *point, r);
    if (!made) return made.error();
    capture = *made;
    outcome = kin->empty() ? Added::stored : Added::grown;
    for (const Kin& k : *kin)
      if (auto done = take_place(database, at, capture, k, *r.added); !done) return done.error();
  }
  if (auto done = insert_analysis(database, capture, r); !done) return done.error();
  if (auto done = rows::mark_point(database, *point); !done) return done.error();
  if (auto done = transaction.commit(); !done) return done.error();
  return outcome;
}

Result<void> History::keep_limits(const std::string& machine, const KnownLimits& limits) {
  Database& database = *store_->database;
  Transaction transaction{database};
  if (!transaction.begun()) return transaction.begun();
  const auto found = rows::find_machine(database, machine);
  if (!found) return found.error();
  const std::string text = lists::write(limits);
  auto s = database.prepare(
      "UPDATE machine SET limits = ?1 WHERE id = ?2 AND (limits IS NULL OR limits <> ?1)");
  if (auto done = s.bind(text).bind(found->id).run(); !done) return done;
  if (database.rows_changed() == 0) return {};
  if (auto done = rows::mark_machine(database, found->id); !done) return done;
  return transaction.commit();
}

Result<void> History::keep_bearing(const PointKey& at, const std::string& bearing) {
  const auto point = rows::find_point(*store_->database, at);
  if (!point) return point.error();
  auto s = store_->database->prepare(
      "UPDATE point SET bearing = ?1, changes = changes + 1 WHERE id = ?2 "
      "AND ifnull(bearing, '') <> ?1");
  return s.bind(bearing).bind(*point).run();
}

Result<void> History::add(const std::string& machine, const Event& e) {
  const UtcTime time = now();
  if (auto possible = check_not_ahead(e.when, time, "the event"); !possible) return possible;
  Database& database = *store_->database;
  Transaction transaction{database};
  if (!transaction.begun()) return transaction.begun();
  const auto found = rows::find_machine(database, machine);
  if (!found) return found.error();
  if (found->id == 0) return rows::unknown({machine, ""});
  std::string at;
  if (!e.point.empty()) {
    const auto point = rows::find_point(database, found->id, e.point);
    if (!point) return point.error();
    if (point->id == 0) return rows::unknown({machine, e.point});
    at = point->name;
  }
  auto s = database.prepare(
      "INSERT INTO event (machine, point, kind, when_ms, note, temperature_celsius, added_ms) "
      "VALUES (?, ?, ?, ?, ?, ?, ?)");
  s.bind(found->id).bind(at).bind(token(e.kind)).bind(to_ms(e.when)).bind(e.note);
  if (auto done = s.bind(finite(e.temperature_celsius)).bind(to_ms(time)).run(); !done) return done;
  if (auto done = rows::mark_machine(database, found->id, at); !done) return done;
  return transaction.commit();
}

Result<std::vector<PointKey>> History::points() {
  auto s = store_->database->prepare(
      "SELECT m.name, p.name FROM point p JOIN machine m ON m.id = p.machine "
      "ORDER BY m.name, p.name");
  return point_keys(s);
}

Result<std::vector<PointKey>> History::holders(const std::string& hash) {
  auto s = store_->database->prepare(
      "SELECT m.name, p.name FROM capture c JOIN point p ON p.id = c.point "
      "JOIN machine m ON m.id = p.machine WHERE c.hash = ? ORDER BY m.name, p.name");
  s.bind(hash);
  return point_keys(s);
}

Result<PointHistory> History::point(const PointKey& at) {
  Database& database = *store_->database;
  // Readings, parts and events are of one instant even while another process writes.
  if (auto done = database.prepare("BEGIN").run(); !done) return done.error();
  auto read = [&]() -> Result<PointHistory> {
    const auto id = rows::find_point(database, at);
    if (!id) return id.error();
    if (*id == 0) return rows::unknown(at);
    PointHistory history;
    auto key = rows::key_of_point(database, *id);
    if (!key) return key.error();
    history.at = std::move(*key);
    auto changes = database.prepare("SELECT changes FROM point WHERE id = ?");
    const auto count = number(changes.bind(*id));
    if (!count) return count.error();
    history.changes = *count;
    auto limits = read_machine_limits(database, *id, store_->schema);
    if (!limits) return limits.error();
    history.limits = std::move(*limits);
    auto bearing = read_bearing(database, *id, store_->schema);
    if (!bearing) return bearing.error();
    history.bearing = std::move(*bearing);
    auto readings = read_readings(database, *id, store_->schema);
    if (!readings) return readings.error();
    history.readings = std::move(*readings);
    auto events = read_events(database, *id, store_->schema);
    if (!events) return events.error();
    history.events = std::move(*events);
    return history;
  }();
  if (auto done = database.prepare("COMMIT").run(); !done) return done.error();
  if (read) settle_dates(*read);
  return read;
}

Result<void> History::read_spectra(PointHistory& history) {
  Database& database = *store_->database;
  const auto id = rows::find_point(database, history.at);
  if (!id) return id.error();
  if (*id == 0) return rows::unknown(history.at);
  if (store_->schema < schema_with_spectra) return {};
  std::unordered_map<std::string, std::size_t> by_hash;
  for (std::size_t i = 0; i < history.readings.size(); ++i)
    by_hash.emplace(history.readings[i].hash, i);
  auto s = database.prepare(
      "SELECT c.hash, s.kind, s.start, s.step, s.highest, s.codes, s.bpfo, s.bpfi, s.bsf, s.ftf "
      "FROM capture c JOIN spectrum s ON s.verdict = c.verdict WHERE c.point = ?");
  s.bind(*id);
  while (s.step()) {
    const auto at = by_hash.find(s.text());
    if (at == by_hash.end()) continue;
    auto& spectra = history.readings[at->second].spectra;
    if (!spectra) spectra.emplace();
    read_spectrum(s, *spectra);
  }
  return s.result();
}

Result<void> History::each(const std::function<bool(const PointKey&, const Reading&)>& take) {
  const auto keys = points();
  if (!keys) return keys.error();
  for (const PointKey& key : *keys) {
    const auto history = point(key);
    if (!history) return history.error();
    for (const auto* readings : {&history->readings, &history->readings_ahead})
      for (const Reading& reading : *readings)
        if (!take(key, reading)) return {};
  }
  return {};
}

Result<std::vector<std::pair<std::string, Event>>> History::events() {
  auto s = store_->database->prepare(
      fmt::format("SELECT m.name, {} FROM event e JOIN machine m ON m.id = e.machine "
                  "WHERE {} ORDER BY e.when_ms, e.id",
                  event_columns(store_->schema), events_kept(store_->schema)));
  std::vector<std::pair<std::string, Event>> events;
  while (s.step()) {
    std::string machine = s.text();
    events.emplace_back(std::move(machine), read_event(s));
  }
  if (auto done = s.result(); !done) return done.error();
  return events;
}

Result<std::vector<std::pair<PointKey, std::string>>> History::kept_standings() {
  std::vector<std::pair<PointKey, std::string>> notes;
  if (store_->schema < 2) {
    const auto keys = points();
    if (!keys) return keys.error();
    for (const PointKey& key : *keys) notes.emplace_back(key, "");
    return notes;
  }
  auto s = store_->database->prepare(
      "SELECT m.name, p.name, s.text FROM point p JOIN machine m ON m.id = p.machine "
      "LEFT JOIN standing s ON s.point = p.id AND s.changes = p.changes "
      "ORDER BY m.name, p.name");
  while (s.step()) {
    PointKey key;
    key.machine = s.text();
    key.point = s.text();
    notes.emplace_back(std::move(key), s.text());
  }
  if (auto done = s.result(); !done) return done.error();
  return notes;
}

Result<std::optional<FittedBearing>> History::bearing_between(const PointKey& at,
                                                              std::optional<UtcTime> from,
                                                              UtcTime until) {
  if (store_->schema < schema_with_journal) return std::optional<FittedBearing>{};
  const auto point = rows::find_point(*store_->database, at);
  if (!point) return point.error();
  // Analyses before schema 7 carry no time: they count as made then, the latest of them last.
  auto s = store_->database->prepare(
      "SELECT v.bearing, v.settings, ifnull(v.analysed_ms, 0) < ?3 AS then_made "
      "FROM verdict v JOIN capture c ON c.id = v.capture "
      "WHERE c.point = ?1 AND c.removed = 0 AND c.taken_ms >= ?2 AND c.taken_ms < ?3 "
      "AND (v.bearing <> '' OR v.settings LIKE 'orders=%') "
      "ORDER BY then_made DESC, (NOT then_made AND v.id <> c.verdict), v.id DESC LIMIT 1");
  s.bind(*point).bind(from ? to_ms(*from) : std::numeric_limits<std::int64_t>::min());
  s.bind(to_ms(until));
  std::optional<FittedBearing> bearing;
  if (s.step()) {
    bearing = lists::read_bearing(s.text());
    if (bearing->variants.empty()) *bearing = bearing_of_settings(s.text());
  }
  if (auto done = s.result(); !done) return done.error();
  return bearing;
}

Result<void> History::keep_standing(const PointHistory& seen, const std::string& text) {
  Transaction transaction{*store_->database};
  if (!transaction.begun()) return transaction.begun();
  auto s = store_->database->prepare(
      "INSERT OR REPLACE INTO standing (point, changes, text) "
      "SELECT p.id, p.changes, ?1 FROM point p JOIN machine m ON m.id = p.machine "
      "WHERE m.name = ?2 AND p.name = ?3 AND p.changes = ?4");
  s.bind(text).bind(seen.at.machine).bind(seen.at.point).bind(seen.changes);
  if (auto done = s.run(); !done) return done;
  return transaction.commit();
}

}  // namespace bearingdsp
