#include "history/schema.hpp"

#include <fmt/format.h>

#include <array>
#include <string>

namespace bearingdsp {
namespace {

// "bdsp" in ASCII: marks the file as ours.
constexpr std::int64_t application = 0x62647370;

// Step k brings version k to k + 1. A step that has been released is never changed.
constexpr std::array<const char*, 10> steps = {
    R"sql(
CREATE TABLE machine (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
);
CREATE TABLE point (
  id INTEGER PRIMARY KEY,
  machine INTEGER NOT NULL REFERENCES machine (id),
  name TEXT NOT NULL,
  changes INTEGER NOT NULL DEFAULT 0,
  UNIQUE (machine, name)
);
CREATE TABLE capture (
  id INTEGER PRIMARY KEY,
  point INTEGER NOT NULL REFERENCES point (id),
  hash TEXT NOT NULL,
  path TEXT NOT NULL,
  taken_ms INTEGER NOT NULL,
  time_source TEXT NOT NULL,
  duration_s REAL NOT NULL,
  rate_hz REAL NOT NULL,
  load_percent REAL,
  verdict INTEGER,
  UNIQUE (point, hash)
);
CREATE INDEX capture_by_time ON capture (point, taken_ms);
CREATE TABLE verdict (
  id INTEGER PRIMARY KEY,
  capture INTEGER NOT NULL REFERENCES capture (id),
  settings TEXT NOT NULL,
  version TEXT NOT NULL,
  speed_rpm REAL,
  verdict TEXT NOT NULL,
  place TEXT NOT NULL,
  probability_of_damage REAL NOT NULL,
  probability_of_place REAL NOT NULL,
  parts_standing INTEGER NOT NULL,
  harmonics INTEGER NOT NULL,
  sidebands INTEGER NOT NULL,
  depth REAL NOT NULL,
  share REAL NOT NULL,
  band_low_hz REAL NOT NULL,
  band_high_hz REAL NOT NULL,
  headline TEXT NOT NULL,
  advice TEXT NOT NULL,
  causes TEXT NOT NULL,
  findings TEXT NOT NULL
);
CREATE INDEX verdict_by_capture ON verdict (capture);
CREATE TABLE indicator (
  verdict INTEGER PRIMARY KEY REFERENCES verdict (id),
  unit TEXT NOT NULL,
  high_band_low_hz REAL NOT NULL,
  high_band_high_hz REAL NOT NULL,
  velocity_m_s REAL,
  overall REAL,
  peak REAL,
  high_band REAL,
  envelope REAL,
  kurtosis REAL,
  crest_factor REAL
);
CREATE TABLE part (
  verdict INTEGER NOT NULL REFERENCES verdict (id),
  part TEXT NOT NULL,
  strength REAL NOT NULL,
  depth REAL NOT NULL,
  harmonics INTEGER NOT NULL,
  sidebands INTEGER NOT NULL,
  PRIMARY KEY (verdict, part)
) WITHOUT ROWID;
CREATE TABLE event (
  id INTEGER PRIMARY KEY,
  machine INTEGER NOT NULL REFERENCES machine (id),
  point TEXT NOT NULL,
  kind TEXT NOT NULL,
  when_ms INTEGER NOT NULL,
  note TEXT NOT NULL,
  temperature_celsius REAL
);
CREATE INDEX event_by_machine ON event (machine, when_ms);
)sql",
    // What is derived from a point's history, kept so that the list of a thousand points is quick.
    R"sql(
CREATE TABLE standing (
  point INTEGER PRIMARY KEY REFERENCES point (id),
  changes INTEGER NOT NULL,
  text TEXT NOT NULL
);
)sql",
    "ALTER TABLE indicator ADD COLUMN floor REAL;",
    // What the machine may vibrate, from its nameplate.
    "ALTER TABLE machine ADD COLUMN limits TEXT;",
    // Spectra for pictures, a byte a column.
    R"sql(
CREATE TABLE spectrum (
  verdict INTEGER NOT NULL REFERENCES verdict (id),
  kind TEXT NOT NULL,
  start REAL NOT NULL,
  step REAL NOT NULL,
  highest REAL NOT NULL,
  codes BLOB NOT NULL,
  bpfo REAL,
  bpfi REAL,
  bsf REAL,
  ftf REAL,
  PRIMARY KEY (verdict, kind)
) WITHOUT ROWID;
)sql",
    // What would have to be ordered, from the machine file; the shaft's lines, to compare them.
    R"sql(
ALTER TABLE point ADD COLUMN bearing TEXT;
ALTER TABLE indicator ADD COLUMN shaft_1x REAL;
ALTER TABLE indicator ADD COLUMN shaft_2x REAL;
ALTER TABLE indicator ADD COLUMN shaft_3x REAL;
)sql",
    // Dates that can be doubted and corrected, recordings that can be compared with their files,
    // the bearing of each analysis, and a journal. What is there was known by now at the latest.
    R"sql(
ALTER TABLE capture ADD COLUMN added_ms INTEGER;
ALTER TABLE capture ADD COLUMN date_confirmed INTEGER NOT NULL DEFAULT 0;
ALTER TABLE capture ADD COLUMN removed INTEGER NOT NULL DEFAULT 0;
ALTER TABLE capture ADD COLUMN size_bytes INTEGER NOT NULL DEFAULT 0;
ALTER TABLE capture ADD COLUMN beginnings TEXT NOT NULL DEFAULT '';
ALTER TABLE verdict ADD COLUMN analysed_ms INTEGER;
ALTER TABLE verdict ADD COLUMN bearing TEXT NOT NULL DEFAULT '';
ALTER TABLE event ADD COLUMN added_ms INTEGER;
ALTER TABLE event ADD COLUMN removed INTEGER NOT NULL DEFAULT 0;
CREATE INDEX capture_by_hash ON capture (hash);
CREATE TABLE moved (
  point INTEGER NOT NULL REFERENCES point (id),
  hash TEXT NOT NULL,
  capture INTEGER NOT NULL REFERENCES capture (id),
  PRIMARY KEY (point, hash)
) WITHOUT ROWID;
CREATE TABLE journal (
  id INTEGER PRIMARY KEY,
  when_ms INTEGER NOT NULL,
  action TEXT NOT NULL,
  entry TEXT NOT NULL,
  machine TEXT NOT NULL,
  point TEXT NOT NULL,
  before TEXT NOT NULL,
  after TEXT NOT NULL,
  why TEXT NOT NULL
);
UPDATE capture SET added_ms = CAST(strftime('%s', 'now') AS INTEGER) * 1000;
UPDATE event SET added_ms = CAST(strftime('%s', 'now') AS INTEGER) * 1000;
UPDATE point SET changes = changes + 1;
)sql",
    // Two components one of which is damaged: their names, a JSON list.
    "ALTER TABLE verdict ADD COLUMN place_set TEXT NOT NULL DEFAULT '[]';",
    // What the recording says of the bearing at the other end: a JSON object, or empty.
    "ALTER TABLE verdict ADD COLUMN other_end TEXT NOT NULL DEFAULT '';",
    // The smallest damage that a recording without a finding would have shown. Slow machines: where
    // the band of the velocity begins, and the displacement in it.
    "ALTER TABLE verdict ADD COLUMN excluded_depth REAL;\n"
    "ALTER TABLE indicator ADD COLUMN velocity_from_hz REAL NOT NULL DEFAULT 10;\n"
    "ALTER TABLE indicator ADD COLUMN displacement_m REAL;"};

Result<void> step_from(sqlite::Database& database, int version) {
  const auto script =
      fmt::format("{}\nPRAGMA application_id = {};\nPRAGMA user_version = {};",
                  steps.at(static_cast<std::size_t>(version)), application, version + 1);
  return database.script(script.c_str());
}

}  // namespace

int schema_version() noexcept { return static_cast<int>(steps.size()); }

Result<int> read_schema_version(sqlite::Database& database) {
  // One statement, so that all three are of one instant while another process makes the schema.
  auto s = database.prepare(
      "SELECT (SELECT count(*) FROM sqlite_schema), i.application_id, v.user_version "
      "FROM pragma_application_id i, pragma_user_version v");
  const bool row = s.step();
  if (auto done = s.result(); !done) return done.error();
  const std::int64_t tables = row ? s.integer() : 0;
  const std::int64_t id = row ? s.integer() : 0;
  const std::int64_t version = row ? s.integer() : 0;
  if (tables == 0) return 0;
  if (id != application)
    return Error{Errc::corrupt_file, database.path(), "is another program's database",
                 "give the store another name"};
  if (version > schema_version())
    return Error{Errc::corrupt_file, database.path(),
                 fmt::format("was written by a newer version (schema {}, this one knows {})",
                             version, schema_version()),
                 "use the newer program"};
  if (version < 1)
    return Error{Errc::corrupt_file, database.path(), "says no schema version",
                 "restore a copy of the store"};
  return static_cast<int>(version);
}

Result<void> migrate(sqlite::Database& database) {
  while (true) {
    const auto before = read_schema_version(database);
    if (!before) return before.error();
    if (*before == schema_version()) return {};
    sqlite::Transaction transaction{database};
    if (!transaction.begun()) return transaction.begun();
    // Another process may have taken the step while this one waited.
    const auto version = read_schema_version(database);
    if (!version) return version.error();
    if (*version == schema_version()) return {};
    if (auto done = step_from(database, *version); !done) return done;
    if (auto done = transaction.commit(); !done) return done;
  }
}

}  // namespace bearingdsp
