#include "bearingdsp/history/store.hpp"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <span>
#include <unordered_map>
#include <utility>

#include "history/lists.hpp"
#include "history/schema.hpp"
#include "history/sqlite.hpp"
#include "history/store_state.hpp"

namespace bearingdsp {

using sqlite::Database;
using sqlite::Statement;
using sqlite::Transaction;

namespace {

constexpr int verdict_count = static_cast<int>(Verdict::indeterminate) + 1;
constexpr int place_count = static_cast<int>(Place::cannot_tell) + 1;
constexpr int unit_count = static_cast<int>(SampleUnit::uncalibrated) + 1;
constexpr int source_count = static_cast<int>(TimeSource::file) + 1;
constexpr int schema_with_spectra = 5;

std::int64_t to_ms(UtcTime time) { return time.time_since_epoch().count(); }
UtcTime from_ms(std::int64_t ms) { return UtcTime{std::chrono::milliseconds{ms}}; }
/// A column that must hold a number holds 0 where there is none.
double or_zero(double value) { return std::isfinite(value) ? value : 0.0; }
std::optional<double> finite(std::optional<double> value) {
  return value && std::isfinite(*value) ? value : std::nullopt;
}

SampleUnit unit_of(std::string_view text) {
  for (int i = 0; i < unit_count; ++i)
    if (symbol(static_cast<SampleUnit>(i)) == text) return static_cast<SampleUnit>(i);
  return SampleUnit::uncalibrated;
}

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

/// First column of the first row; 0 if there is none.
Result<std::int64_t> number(Statement& s) {
  const std::int64_t value = s.step() ? s.integer() : 0;
  if (auto done = s.result(); !done) return done.error();
  return value;
}

Result<std::int64_t> find_machine_id(Database& database, const std::string& machine) {
  auto s = database.prepare("SELECT id FROM machine WHERE name = ?");
  s.bind(machine);
  return number(s);
}

Result<std::int64_t> find_point_id(Database& database, const PointKey& at) {
  auto s = database.prepare(
      "SELECT p.id FROM point p JOIN machine m ON m.id = p.machine WHERE m.name = ? AND p.name = "
      "?");
  s.bind(at.machine).bind(at.point);
  return number(s);
}

Result<std::int64_t> point_id(Database& database, const PointKey& at) {
  auto s = database.prepare("INSERT OR IGNORE INTO machine (name) VALUES (?)");
  if (auto done = s.bind(at.machine).run(); !done) return done.error();
  const auto machine = find_machine_id(database, at.machine);
  if (!machine) return machine.error();
  auto p = database.prepare("INSERT OR IGNORE INTO point (machine, name) VALUES (?, ?)");
  if (auto done = p.bind(*machine).bind(at.point).run(); !done) return done.error();
  return find_point_id(database, at);
}

/// The capture and the settings of its shown analysis; id 0 if it is not there.
struct Held {
  std::int64_t capture{0};
  std::string settings;
};
Result<Held> find_held(Database& database, std::int64_t point, const std::string& hash) {
  auto s = database.prepare(
      "SELECT c.id, v.settings FROM capture c LEFT JOIN verdict v ON v.id = c.verdict "
      "WHERE c.point = ? AND c.hash = ?");
  s.bind(point).bind(hash);
  Held held;
  if (s.step()) {
    held.capture = s.integer();
    held.settings = s.text();
  }
  if (auto done = s.result(); !done) return done.error();
  return held;
}

Result<std::int64_t> insert_capture(Database& database, std::int64_t point, const Reading& r) {
  auto s = database.prepare(
      "INSERT INTO capture (point, hash, path, taken_ms, time_source, duration_s, rate_hz, "
      "load_percent) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
  s.bind(point).bind(r.hash).bind(r.path).bind(to_ms(r.taken)).bind(name(r.time_source));
  s.bind(or_zero(r.duration.value())).bind(or_zero(r.rate.value())).bind(finite(r.load_percent));
  if (auto done = s.run(); !done) return done.error();
  return database.last_row();
}

Result<std::int64_t> insert_verdict(Database& database, std::int64_t capture, const Reading& r) {
  auto s = database.prepare(
      "INSERT INTO verdict (capture, settings, version, speed_rpm, verdict, place, "
      "probability_of_damage, probability_of_place, parts_standing, harmonics, sidebands, depth, "
      "share, band_low_hz, band_high_hz, headline, advice, causes, findings) "
      "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  s.bind(capture).bind(r.settings).bind(r.version);
  s.bind(r.speed ? finite(r.speed->value()) : std::nullopt);
  s.bind(name(r.verdict)).bind(name(r.place));
  s.bind(or_zero(r.probability_of_damage)).bind(or_zero(r.probability_of_place));
  s.bind(r.stage.parts).bind(r.stage.harmonics).bind(r.stage.sidebands);
  s.bind(or_zero(r.stage.depth)).bind(or_zero(r.stage.share));
  s.bind(or_zero(r.stage.band.low.value())).bind(or_zero(r.stage.band.high.value()));
  s.bind(r.headline).bind(lists::write(r.advice)).bind(lists::write(r.causes));
  s.bind(lists::write(r.findings));
  if (auto done = s.run(); !done) return done.error();
  return database.last_row();
}

Result<void> insert_indicators(Database& database, std::int64_t verdict, const Levels& l) {
  auto s = database.prepare(
      "INSERT INTO indicator (verdict, unit, high_band_low_hz, high_band_high_hz, velocity_m_s, "
      "overall, peak, high_band, envelope, kurtosis, crest_factor, floor, shaft_1x, shaft_2x, "
      "shaft_3x) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  s.bind(verdict).bind(symbol(l.unit)).bind(l.high_band.low.value()).bind(l.high_band.high.value());
  for (std::size_t i = 0; i < indicator_count; ++i) s.bind(finite(l.value.at(i)));
  for (const auto& line : l.shaft) s.bind(finite(line));
  return s.run();
}

Result<void> insert_parts(Database& database, std::int64_t verdict, const Reading& r) {
  for (int i = 0; i < part_count; ++i) {
    const PartReading& p = r.parts.at(static_cast<std::size_t>(i));
    auto s = database.prepare(
        "INSERT INTO part (verdict, part, strength, depth, harmonics, sidebands) "
        "VALUES (?, ?, ?, ?, ?, ?)");
    s.bind(verdict).bind(name(static_cast<Part>(i))).bind(or_zero(p.strength));
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
  const auto verdict = insert_verdict(database, capture, r);
  if (!verdict) return verdict.error();
  if (auto done = insert_indicators(database, *verdict, r.levels); !done) return done;
  if (auto done = insert_parts(database, *verdict, r); !done) return done;
  if (r.spectra)
    if (auto done = insert_spectra(database, *verdict, *r.spectra); !done) return done;
  auto s = database.prepare("UPDATE capture SET verdict = ? WHERE id = ?");
  return s.bind(*verdict).bind(capture).run();
}

Result<void> mark_changed(Database& database, std::int64_t point) {
  auto s = database.prepare("UPDATE point SET changes = changes + 1 WHERE id = ?");
  return s.bind(point).run();
}

/// Columns in the order of the statement in read_readings.
Reading read_row(Statement& s) {
  Reading r;
  r.hash = s.text();
  r.path = s.text();
  r.taken = from_ms(s.integer());
  r.time_source = lists::named(s.text(), source_count, TimeSource::file);
  r.duration = Seconds{s.real()};
  r.rate = Hz{s.real()};
  r.load_percent = s.maybe_real();
  r.settings = s.text();
  r.version = s.text();
  if (const auto rpm = s.maybe_real()) r.speed = Rpm{*rpm};
  r.verdict = lists::named(s.text(), verdict_count, Verdict::indeterminate);
  r.place = lists::named(s.text(), place_count, Place::cannot_tell);
  r.probability_of_damage = s.real();
  r.probability_of_place = s.real();
  r.stage.verdict = r.verdict;
  r.stage.parts = static_cast<int>(s.integer());
  r.stage.harmonics = static_cast<int>(s.integer());
  r.stage.sidebands = static_cast<int>(s.integer());
  r.stage.depth = s.real();
  r.stage.share = s.real();
  r.stage.band.low = Hz{s.real()};
  r.stage.band.high = Hz{s.real()};
  r.headline = s.text();
  r.advice = lists::read_texts(s.text());
  r.causes = lists::read_causes(s.text());
  r.findings = lists::read_findings(s.text());
  r.levels.unit = unit_of(s.text());
  r.levels.high_band.low = Hz{s.real()};
  r.levels.high_band.high = Hz{s.real()};
  for (std::size_t i = 0; i < indicator_count; ++i) r.levels.value.at(i) = s.maybe_real();
  for (auto& line : r.levels.shaft) line = s.maybe_real();
  return r;
}

Result<void> read_parts(Database& database, std::int64_t point, std::vector<Reading>& readings,
                        const std::unordered_map<std::int64_t, std::size_t>& by_verdict) {
  auto s = database.prepare(
      "SELECT p.verdict, p.part, p.strength, p.depth, p.harmonics, p.sidebands "
      "FROM capture c JOIN part p ON p.verdict = c.verdict WHERE c.point = ?");
  s.bind(point);
  while (s.step()) {
    const auto at = by_verdict.find(s.integer());
    const int part = static_cast<int>(lists::named(s.text(), part_count, Part::outer_ring));
    if (at == by_verdict.end()) continue;
    PartReading& p = readings[at->second].parts.at(static_cast<std::size_t>(part));
    p.strength = s.real();
    p.depth = s.real();
    p.harmonics = static_cast<int>(s.integer());
    p.sidebands = static_cast<int>(s.integer());
  }
  return s.result();
}

/// The floor came with schema 3, the shaft's lines with 6; a store that may only be read is not
/// brought up to date.
std::string readings_sql(int schema) {
  return fmt::format(
      "SELECT v.id, c.hash, c.path, c.taken_ms, c.time_source, c.duration_s, c.rate_hz, "
      "c.load_percent, v.settings, v.version, v.speed_rpm, v.verdict, v.place, "
      "v.probability_of_damage, v.probability_of_place, v.parts_standing, v.harmonics, "
      "v.sidebands, v.depth, v.share, v.band_low_hz, v.band_high_hz, v.headline, v.advice, "
      "v.causes, v.findings, i.unit, i.high_band_low_hz, i.high_band_high_hz, i.velocity_m_s, "
      "i.overall, i.peak, i.high_band, i.envelope, i.kurtosis, i.crest_factor, {}, {} "
      "FROM capture c JOIN verdict v ON v.id = c.verdict JOIN indicator i ON i.verdict = v.id "
      "WHERE c.point = ? ORDER BY c.taken_ms, c.id",
      schema < 3 ? "NULL" : "i.floor",
      schema < 6 ? "NULL, NULL, NULL" : "i.shaft_1x, i.shaft_2x, i.shaft_3x");
}

Result<std::vector<Reading>> read_readings(Database& database, std::int64_t point, int schema) {
  std::vector<Reading> readings;
  std::unordered_map<std::int64_t, std::size_t> by_verdict;
  {
    auto s = database.prepare(readings_sql(schema));
    s.bind(point);
    while (s.step()) {
      by_verdict.emplace(s.integer(), readings.size());
      readings.push_back(read_row(s));
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
Result<KnownLimits> read_machine_limits(Database& database, const std::string& machine,
                                        int schema) {
  if (schema < 4) return lists::read_limits("");
  auto s = database.prepare("SELECT limits FROM machine WHERE name = ?");
  s.bind(machine);
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

Event read_event(Statement& s) {
  Event e;
  e.kind = event_kind(s.text()).value_or(EventKind::note);
  e.when = from_ms(s.integer());
  e.point = s.text();
  e.note = s.text();
  e.temperature_celsius = s.maybe_real();
  return e;
}

Error empty_name() {
  return {Errc::bad_argument, "history", "a machine or point without a name", "give both names"};
}

Error unknown(const PointKey& at) {
  return {Errc::not_found, at.machine + (at.point.empty() ? "" : ", " + at.point),
          "is not in the history", "'history check' lists what is"};
}

}  // namespace

History::History(std::unique_ptr<Store> store) : store_{std::move(store)} {}
History::History(History&&) noexcept = default;
History& History::operator=(History&&) noexcept = default;
History::~History() = default;

Result<History> History::open(const std::string& path, Access access) {
  auto database = access == Access::read_only ? open_for_reading(path) : open_for_writing(path);
  if (!database) return database.error();
  const auto version = read_schema_version(**database);
  if (!version) return version.error();
  if (*version == 0) return Error{Errc::corrupt_file, path, "is no history", "check the name"};
  return History{std::make_unique<Store>(Store{std::move(*database), *version})};
}

Result<bool> History::holds(const PointKey& at, const std::string& hash,
                            const std::string& settings) {
  const auto point = find_point_id(*store_->database, at);
  if (!point) return point.error();
  if (*point == 0) return false;
  const auto held = find_held(*store_->database, *point, hash);
  if (!held) return held.error();
  return held->capture != 0 && held->settings == settings;
}

Result<Added> History::add(const PointKey& at, const Reading& r) {
  if (at.machine.empty() || at.point.empty() || r.hash.empty()) return empty_name();
  Database& database = *store_->database;
  Transaction transaction{database};
  if (!transaction.begun()) return transaction.begun().error();
  const auto point = point_id(database, at);
  if (!point) return point.error();
  const auto held = find_held(database, *point, r.hash);
  if (!held) return held.error();
  if (held->capture != 0 && held->settings == r.settings) return Added::was_there;
  const auto capture = held->capture != 0 ? Result<std::int64_t>{held->capture}
                                          : insert_capture(database, *point, r);
  if (!capture) return capture.error();
  if (auto done = insert_analysis(database, *capture, r); !done) return done.error();
  if (auto done = mark_changed(database, *point); !done) return done.error();
  if (auto done = transaction.commit(); !done) return done.error();
  return held->capture != 0 ? Added::analysed_anew : Added::stored;
}

Result<void> History::keep_limits(const std::string& machine, const KnownLimits& limits) {
  Database& database = *store_->database;
  Transaction transaction{database};
  if (!transaction.begun()) return transaction.begun();
  const std::string text = lists::write(limits);
  auto s = database.prepare(
      "UPDATE machine SET limits = ?1 WHERE name = ?2 AND (limits IS NULL OR limits <> ?1)");
  if (auto done = s.bind(text).bind(machine).run(); !done) return done;
  if (database.rows_changed() == 0) return {};
  auto changed = database.prepare(
      "UPDATE point SET changes = changes + 1 "
      "WHERE machine = (SELECT id FROM machine WHERE name = ?)");
  if (auto done = changed.bind(machine).run(); !done) return done;
  return transaction.commit();
}

Result<void> History::keep_bearing(const PointKey& at, const std::string& bearing) {
  auto s = store_->database->prepare(
      "UPDATE point SET bearing = ?1, changes = changes + 1 WHERE name = ?2 "
      "AND machine = (SELECT id FROM machine WHERE name = ?3) "
      "AND ifnull(bearing, '') <> ?1");
  return s.bind(bearing).bind(at.point).bind(at.machine).run();
}

Result<void> History::add(const std::string& machine, const Event& e) {
  Database& database = *store_->database;
  Transaction transaction{database};
  if (!transaction.begun()) return transaction.begun();
  const auto id = find_machine_id(database, machine);
  if (!id) return id.error();
  if (*id == 0) return unknown({machine, ""});
  if (!e.point.empty()) {
    const auto point = find_point_id(database, {machine, e.point});
    if (!point) return point.error();
    if (*point == 0) return unknown({machine, e.point});
  }
  auto s = database.prepare(
      "INSERT INTO event (machine, point, kind, when_ms, note, temperature_celsius) "
      "VALUES (?, ?, ?, ?, ?, ?)");
  s.bind(*id).bind(e.point).bind(name(e.kind)).bind(to_ms(e.when)).bind(e.note);
  if (auto done = s.bind(finite(e.temperature_celsius)).run(); !done) return done;
  auto changed = database.prepare(
      "UPDATE point SET changes = changes + 1 WHERE machine = ?1 AND (?2 = '' OR name = ?2)");
  if (auto done = changed.bind(*id).bind(e.point).run(); !done) return done;
  return transaction.commit();
}

Result<std::vector<PointKey>> History::points() {
  auto s = store_->database->prepare(
      "SELECT m.name, p.name FROM point p JOIN machine m ON m.id = p.machine "
      "ORDER BY m.name, p.name");
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

Result<PointHistory> History::point(const PointKey& at) {
  Database& database = *store_->database;
  // Readings, parts and events are of one instant even while another process writes.
  if (auto done = database.prepare("BEGIN").run(); !done) return done.error();
  auto read = [&]() -> Result<PointHistory> {
    const auto id = find_point_id(database, at);
    if (!id) return id.error();
    if (*id == 0) return unknown(at);
    PointHistory history;
    history.at = at;
    auto changes = database.prepare("SELECT changes FROM point WHERE id = ?");
    const auto count = number(changes.bind(*id));
    if (!count) return count.error();
    history.changes = *count;
    auto limits = read_machine_limits(database, at.machine, store_->schema);
    if (!limits) return limits.error();
    history.limits = std::move(*limits);
    auto bearing = read_bearing(database, *id, store_->schema);
    if (!bearing) return bearing.error();
    history.bearing = std::move(*bearing);
    auto readings = read_readings(database, *id, store_->schema);
    if (!readings) return readings.error();
    history.readings = std::move(*readings);
    auto s = database.prepare(
        "SELECT e.kind, e.when_ms, e.point, e.note, e.temperature_celsius FROM event e "
        "JOIN machine m ON m.id = e.machine WHERE m.name = ? AND e.point IN ('', ?) "
        "ORDER BY e.when_ms, e.id");
    s.bind(at.machine).bind(at.point);
    while (s.step()) history.events.push_back(read_event(s));
    if (auto done = s.result(); !done) return done.error();
    return history;
  }();
  if (auto done = database.prepare("COMMIT").run(); !done) return done.error();
  return read;
}

Result<void> History::read_spectra(PointHistory& history) {
  Database& database = *store_->database;
  const auto id = find_point_id(database, history.at);
  if (!id) return id.error();
  if (*id == 0) return unknown(history.at);
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
    for (const Reading& reading : history->readings)
      if (!take(key, reading)) return {};
  }
  return {};
}

Result<std::vector<std::pair<std::string, Event>>> History::events() {
  auto s = store_->database->prepare(
      "SELECT m.name, e.kind, e.when_ms, e.point, e.note, e.temperature_celsius FROM event e "
      "JOIN machine m ON m.id = e.machine ORDER BY e.when_ms, e.id");
  std::vector<std::pair<std::string, Event>> events;
  while (s.step()) {
    std::string machine = s.text();
    events.emplace_back(std::move(machine), read_event(s));
  }
  if (auto done = s.result(); !done) return done.error();
  return events;
}

Result<std::vector<std::pair<PointKey, std::string>>> History::notes() {
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

Result<void> History::keep_note(const PointHistory& seen, const std::string& text) {
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
