#include "history/reading_columns.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string_view>

#include "history/analyse.hpp"
#include "history/lists.hpp"
#include "history/schema.hpp"
#include "history/store_rows.hpp"

namespace bearingdsp::columns {
namespace {

using rows::from_ms;
using rows::to_ms;
using sqlite::Database;
using sqlite::Statement;

SampleUnit unit_of(std::string_view text) {
  for (int i = 0; i < enumerator_count<SampleUnit>(); ++i)
    if (symbol(static_cast<SampleUnit>(i)) == text) return static_cast<SampleUnit>(i);
  return SampleUnit::uncalibrated;
}

enum class Table : std::uint8_t { capture, verdict, indicator };

struct Column {
  Table table;
  std::string_view name;
  void (*write)(Statement&, const Reading&);
  void (*read)(Statement&, Reading&);
  int since{1};
  std::string_view before{"NULL"};  ///< what a store of an earlier schema has in its place
};

/// A column of an indicator.
template <Indicator I>
constexpr Column level(std::string_view name, int since = 1) {
  constexpr auto i = static_cast<std::size_t>(I);
  return {Table::indicator, name,
          [](Statement& s, const Reading& r) { s.bind(finite(r.levels.value.at(i))); },
          [](Statement& s, Reading& r) { r.levels.value.at(i) = s.maybe_real(); }, since};
}

/// A column of one of the shaft's lines.
template <std::size_t I>
constexpr Column shaft_line(std::string_view name) {
  return {Table::indicator, name,
          [](Statement& s, const Reading& r) { s.bind(finite(r.levels.shaft.at(I))); },
          [](Statement& s, Reading& r) { r.levels.shaft.at(I) = s.maybe_real(); }, 6};
}

/// A number that is always there.
template <auto Member>
constexpr Column plain(Table table, std::string_view name) {
  return {table, name, [](Statement& s, const Reading& r) { s.bind(or_zero(r.*Member)); },
          [](Statement& s, Reading& r) { r.*Member = s.real(); }};
}

template <auto Member>
constexpr Column text(Table table, std::string_view name, int since = 1) {
  return {table,
          name,
          [](Statement& s, const Reading& r) { s.bind(r.*Member); },
          [](Statement& s, Reading& r) { r.*Member = s.text(); },
          since,
          "''"};
}

template <auto Member>
constexpr Column stage_count(std::string_view name) {
  return {Table::verdict, name, [](Statement& s, const Reading& r) { s.bind(r.stage.*Member); },
          [](Statement& s, Reading& r) { r.stage.*Member = static_cast<int>(s.integer()); }};
}

template <auto Member>
constexpr Column stage_number(std::string_view name) {
  return {Table::verdict, name,
          [](Statement& s, const Reading& r) { s.bind(or_zero(r.stage.*Member)); },
          [](Statement& s, Reading& r) { r.stage.*Member = s.real(); }};
}

/// One of the ends of a band.
template <Hz Band::*End>
constexpr Column stage_band(std::string_view name) {
  return {Table::verdict, name,
          [](Statement& s, const Reading& r) { s.bind(or_zero((r.stage.band.*End).value())); },
          [](Statement& s, Reading& r) { r.stage.band.*End = Hz{s.real()}; }};
}

template <Hz Band::*End>
constexpr Column high_band(std::string_view name) {
  return {Table::indicator, name,
          [](Statement& s, const Reading& r) { s.bind((r.levels.high_band.*End).value()); },
          [](Statement& s, Reading& r) { r.levels.high_band.*End = Hz{s.real()}; }};
}

/// In the order in which a row is read: the verdict before what is derived from it.
constexpr std::array all_columns{
    text<&Reading::hash>(Table::capture, "hash"),
    text<&Reading::path>(Table::capture, "path"),
    Column{Table::capture, "taken_ms",
           [](Statement& s, const Reading& r) { s.bind(to_ms(r.taken)); },
           [](Statement& s, Reading& r) { r.taken = from_ms(s.integer()); }},
    Column{Table::capture, "time_source",
           [](Statement& s, const Reading& r) { s.bind(token(r.time_source)); },
           [](Statement& s, Reading& r) {
             r.time_source = from_token<TimeSource>(s.text()).value_or(TimeSource::file);
           }},
    Column{Table::capture, "duration_s",
           [](Statement& s, const Reading& r) { s.bind(or_zero(r.duration.value())); },
           [](Statement& s, Reading& r) { r.duration = Seconds{s.real()}; }},
    Column{Table::capture, "rate_hz",
           [](Statement& s, const Reading& r) { s.bind(or_zero(r.rate.value())); },
           [](Statement& s, Reading& r) { r.rate = Hz{s.real()}; }},
    Column{Table::capture, "load_percent",
           [](Statement& s, const Reading& r) { s.bind(finite(r.load_percent)); },
           [](Statement& s, Reading& r) { r.load_percent = s.maybe_real(); }},
    Column{Table::capture, "added_ms",
           [](Statement& s, const Reading& r) { s.bind(to_ms(*r.added)); },
           [](Statement& s, Reading& r) {
             if (const auto added = s.maybe_integer()) r.added = from_ms(*added);
           },
           schema_with_journal},
    Column{Table::capture, "date_confirmed",
           [](Statement& s, const Reading& r) { s.bind(r.date_confirmed ? 1 : 0); },
           [](Statement& s, Reading& r) { r.date_confirmed = s.integer() != 0; },
           schema_with_journal, "0"},
    Column{Table::capture, "size_bytes",
           [](Statement& s, const Reading& r) { s.bind(static_cast<std::int64_t>(r.size_bytes)); },
           [](Statement& s, Reading& r) { r.size_bytes = static_cast<std::uint64_t>(s.integer()); },
           schema_with_journal, "0"},
    text<&Reading::beginnings>(Table::capture, "beginnings", schema_with_journal),

    text<&Reading::settings>(Table::verdict, "settings"),
    text<&Reading::version>(Table::verdict, "version"),
    Column{Table::verdict, "speed_rpm",
           [](Statement& s, const Reading& r) {
             s.bind(r.speed ? finite(r.speed->value()) : std::nullopt);
           },
           [](Statement& s, Reading& r) {
             if (const auto rpm = s.maybe_real()) r.speed = Rpm{*rpm};
           }},
    Column{Table::verdict, "verdict",
           [](Statement& s, const Reading& r) { s.bind(token(r.verdict)); },
           [](Statement& s, Reading& r) {
             r.verdict = from_token<Verdict>(s.text()).value_or(Verdict::indeterminate);
             r.stage.verdict = r.verdict;
           }},
    Column{Table::verdict, "place", [](Statement& s, const Reading& r) { s.bind(token(r.place)); },
           [](Statement& s, Reading& r) {
             r.place = from_token<Place>(s.text()).value_or(Place::cannot_tell);
           }},
    plain<&Reading::probability_of_damage>(Table::verdict, "probability_of_damage"),
    plain<&Reading::probability_of_place>(Table::verdict, "probability_of_place"),
    stage_count<&StageEvidence::parts>("parts_standing"),
    stage_count<&StageEvidence::harmonics>("harmonics"),
    stage_count<&StageEvidence::sidebands>("sidebands"),
    stage_number<&StageEvidence::depth>("depth"),
    stage_number<&StageEvidence::share>("share"),
    stage_band<&Band::low>("band_low_hz"),
    stage_band<&Band::high>("band_high_hz"),
    text<&Reading::headline>(Table::verdict, "headline"),
    Column{Table::verdict, "advice",
           [](Statement& s, const Reading& r) { s.bind(lists::write(r.advice)); },
           [](Statement& s, Reading& r) { r.advice = lists::read_texts(s.text()); }},
    Column{Table::verdict, "causes",
           [](Statement& s, const Reading& r) { s.bind(lists::write(r.causes)); },
           [](Statement& s, Reading& r) { r.causes = lists::read_causes(s.text()); }},
    Column{Table::verdict, "findings",
           [](Statement& s, const Reading& r) { s.bind(lists::write(r.findings)); },
           [](Statement& s, Reading& r) { r.findings = lists::read_findings(s.text()); }},
    Column{Table::verdict, "bearing",
           [](Statement& s, const Reading& r) { s.bind(lists::write(r.bearing)); },
           [](Statement& s, Reading& r) {
             r.bearing = lists::read_bearing(s.text());
             if (r.bearing.variants.empty()) r.bearing = bearing_of_settings(r.settings);
           },
           schema_with_journal, "''"},
    Column{Table::verdict, "place_set",
           [](Statement& s, const Reading& r) { s.bind(lists::write(r.place_set)); },
           [](Statement& s, Reading& r) { r.place_set = lists::read_parts(s.text()); },
           schema_with_sets, "'[]'"},
    Column{Table::verdict, "other_end",
           [](Statement& s, const Reading& r) { s.bind(lists::write(r.other_end)); },
           [](Statement& s, Reading& r) { r.other_end = lists::read_other_end(s.text()); },
           schema_with_other_end, "''"},
    Column{Table::verdict, "excluded_depth",
           [](Statement& s, const Reading& r) { s.bind(finite(r.excluded_depth)); },
           [](Statement& s, Reading& r) { r.excluded_depth = s.maybe_real(); },
           schema_with_excluded_depth},

    Column{Table::indicator, "unit",
           [](Statement& s, const Reading& r) { s.bind(symbol(r.levels.unit)); },
           [](Statement& s, Reading& r) { r.levels.unit = unit_of(s.text()); }},
    high_band<&Band::low>("high_band_low_hz"),
    high_band<&Band::high>("high_band_high_hz"),
    level<Indicator::velocity>("velocity_m_s"),
    level<Indicator::overall>("overall"),
    level<Indicator::peak>("peak"),
    level<Indicator::high_band>("high_band"),
    level<Indicator::envelope>("envelope"),
    level<Indicator::kurtosis>("kurtosis"),
    level<Indicator::crest_factor>("crest_factor"),
    level<Indicator::floor>("floor", 3),
    shaft_line<0>("shaft_1x"),
    shaft_line<1>("shaft_2x"),
    shaft_line<2>("shaft_3x"),
    Column{Table::indicator, "velocity_from_hz",
           [](Statement& s, const Reading& r) { s.bind(r.levels.velocity_from.value()); },
           [](Statement& s, Reading& r) { r.levels.velocity_from = Hz{s.real()}; },
           schema_with_slow_machines, "10"},
    Column{Table::indicator, "displacement_m",
           [](Statement& s, const Reading& r) { s.bind(finite(r.levels.displacement)); },
           [](Statement& s, Reading& r) { r.levels.displacement = s.maybe_real(); },
           schema_with_slow_machines},
};

constexpr std::string_view name_of(Table table) {
  constexpr std::array<std::string_view, 3> names{"capture", "verdict", "indicator"};
  return names.at(static_cast<std::size_t>(table));
}

/// `first` is the column of what the row belongs to; `more` is a further column, set to ?2.
std::string insert_sql(Table table, std::string_view first, std::string_view more = {}) {
  std::string names{first}, places{"?"};
  if (!more.empty()) {
    names += fmt::format(", {}", more);
    places += ", ?";
  }
  for (const Column& c : all_columns) {
    if (c.table != table) continue;
    names += fmt::format(", {}", c.name);
    places += ", ?";
  }
  return fmt::format("INSERT INTO {} ({}) VALUES ({})", name_of(table), names, places);
}

void bind_columns(Statement& s, Table table, const Reading& r) {
  for (const Column& c : all_columns)
    if (c.table == table) c.write(s, r);
}

}  // namespace

double or_zero(double value) { return std::isfinite(value) ? value : 0.0; }

std::optional<double> finite(std::optional<double> value) {
  return value && std::isfinite(*value) ? value : std::nullopt;
}

Result<std::int64_t> insert_capture(Database& database, std::int64_t point, const Reading& r) {
  static const std::string sql = insert_sql(Table::capture, "point");
  auto s = database.prepare(sql);
  s.bind(point);
  bind_columns(s, Table::capture, r);
  if (auto done = s.run(); !done) return done.error();
  return database.last_row();
}

Result<std::int64_t> insert_verdict(Database& database, std::int64_t capture, const Reading& r) {
  static const std::string sql = insert_sql(Table::verdict, "capture", "analysed_ms");
  std::int64_t verdict = 0;
  {
    auto s = database.prepare(sql);
    s.bind(capture).bind(to_ms(*r.added));
    bind_columns(s, Table::verdict, r);
    if (auto done = s.run(); !done) return done.error();
    verdict = database.last_row();
  }
  static const std::string levels = insert_sql(Table::indicator, "verdict");
  auto s = database.prepare(levels);
  s.bind(verdict);
  bind_columns(s, Table::indicator, r);
  if (auto done = s.run(); !done) return done.error();
  return verdict;
}

std::string readings_sql(int schema) {
  std::string list;
  for (const Column& c : all_columns)
    list += schema < c.since ? fmt::format(", {}", c.before)
                             : fmt::format(", {}.{}", name_of(c.table), c.name);
  return fmt::format(
      "SELECT verdict.id, capture.id{} FROM capture JOIN verdict ON verdict.id = capture.verdict "
      "JOIN indicator ON indicator.verdict = verdict.id WHERE capture.point = ? {} "
      "ORDER BY capture.taken_ms, capture.id",
      list, schema < schema_with_journal ? "" : "AND capture.removed = 0");
}

Reading read_row(Statement& s) {
  Reading r;
  r.id = s.integer();
  for (const Column& c : all_columns) c.read(s, r);
  return r;
}

}  // namespace bearingdsp::columns
