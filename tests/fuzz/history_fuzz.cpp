// A store with changed cells, or with changed bytes, is refused in one line, or what is in it can be
// read, judged, shown and written again. The bytes: 0 for cells or 1 for bytes of the file, then
// changes, each as in change_cell() or change_file().
#include <sqlite3.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <span>
#include <string>
#include <string_view>
#include <tuple>
#include <utility>
#include <vector>

#include "bearingdsp/history/due.hpp"
#include "bearingdsp/history/forecast.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/report/history.hpp"
#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/text.hpp"
#include "input.hpp"
#include "invariants.hpp"
#include "support/made_reading.hpp"

namespace {

using namespace bearingdsp;
using fuzz::Bytes;

UtcTime in_the_year_after() { return test::day(400); }

/// What holds for a result that may be refused.
template <class T>
bool good(const Result<T>& result) {
  if (!result) fuzz::require_error_line(result.error());
  return result.has_value();
}

std::vector<char> bytes_of(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, std::istreambuf_iterator<char>{}};
}

/// A sound store with two machines, and its bytes.
class Folder {
 public:
  Folder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "bearingdsp-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) std::abort();
    path_ = pattern;
    fill();
    sound_ = bytes_of(store());
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  [[nodiscard]] std::string store() const { return (path_ / "history.db").string(); }
  /// Puts a store of these bytes there, alone.
  void put(std::span<const char> bytes) const {
    for (const char* beside : {"-wal", "-shm", "-journal"})
      std::filesystem::remove(store() + beside);
    std::ofstream{store(), std::ios::binary}.write(bytes.data(),
                                                   static_cast<std::streamsize>(bytes.size()));
  }
  [[nodiscard]] const std::vector<char>& sound() const { return sound_; }

 private:
  void fill() const {
    auto history = History::open(store(), Access::read_write, in_the_year_after).value();
    // A trend and a forecast need eight readings; more points need none.
    for (const auto& [machine, point, readings] :
         {std::tuple{"planer feed", "DE horizontal", 8},
          std::tuple{"planer feed", "NDE vertical", 2}, std::tuple{"dust fan", "DE horizontal", 2}})
      for (int n = 0; n < readings; ++n) {
        Reading r = test::made_reading(7 * n, point);
        for (auto& level : r.levels.value)
          if (level) *level *= 1 + 0.1 * n;
        r.spectra = VisitSpectra{{0, 0.05, std::vector<double>(40, 0.01 * (n + 1))},
                                 {10, 2.5, std::vector<double>(40, 1e-4 * (n + 1))},
                                 test::made_orders()};
        fuzz::require(history.add({machine, point}, r).has_value());
      }
    fuzz::require(history
                      .add("planer feed",
                           Event{EventKind::greased, test::day(10), "DE horizontal", "20 g", 41.5})
                      .has_value());
    fuzz::require(
        history.keep_bearing({"dust fan", "DE horizontal"}, "6205-2Z C3 (DE)").has_value());
    fuzz::require(
        history.rename({"dust fan", ""}, "dust extraction fan", false, "as on the nameplate")
            .has_value());
    fuzz::require(worst_first(history).has_value());
    fuzz::require(history.check(false).has_value());
  }
  std::filesystem::path path_;
  std::vector<char> sound_;
};

/// Every column but the keys that hold rows together; the first of a table names its rows.
struct Cell {
  const char* table;
  const char* key;
  const char* column;
};
constexpr std::array<Cell, 84> cells{{
    {"machine", "id", "name"},
    {"machine", "id", "limits"},
    {"point", "id", "name"},
    {"point", "id", "changes"},
    {"point", "id", "bearing"},
    {"point", "id", "machine"},
    {"capture", "id", "hash"},
    {"capture", "id", "path"},
    {"capture", "id", "taken_ms"},
    {"capture", "id", "time_source"},
    {"capture", "id", "duration_s"},
    {"capture", "id", "rate_hz"},
    {"capture", "id", "load_percent"},
    {"capture", "id", "verdict"},
    {"capture", "id", "added_ms"},
    {"capture", "id", "date_confirmed"},
    {"capture", "id", "removed"},
    {"capture", "id", "size_bytes"},
    {"capture", "id", "beginnings"},
    {"capture", "id", "point"},
    {"verdict", "id", "settings"},
    {"verdict", "id", "version"},
    {"verdict", "id", "speed_rpm"},
    {"verdict", "id", "verdict"},
    {"verdict", "id", "place"},
    {"verdict", "id", "probability_of_damage"},
    {"verdict", "id", "probability_of_place"},
    {"verdict", "id", "parts_standing"},
    {"verdict", "id", "harmonics"},
    {"verdict", "id", "sidebands"},
    {"verdict", "id", "depth"},
    {"verdict", "id", "share"},
    {"verdict", "id", "band_low_hz"},
    {"verdict", "id", "band_high_hz"},
    {"verdict", "id", "headline"},
    {"verdict", "id", "advice"},
    {"verdict", "id", "causes"},
    {"verdict", "id", "findings"},
    {"verdict", "id", "bearing"},
    {"verdict", "id", "place_set"},
    {"verdict", "id", "other_end"},
    {"verdict", "id", "excluded_depth"},
    {"verdict", "id", "analysed_ms"},
    {"indicator", "verdict", "unit"},
    {"indicator", "verdict", "high_band_low_hz"},
    {"indicator", "verdict", "high_band_high_hz"},
    {"indicator", "verdict", "velocity_m_s"},
    {"indicator", "verdict", "overall"},
    {"indicator", "verdict", "peak"},
    {"indicator", "verdict", "high_band"},
    {"indicator", "verdict", "envelope"},
    {"indicator", "verdict", "kurtosis"},
    {"indicator", "verdict", "crest_factor"},
    {"indicator", "verdict", "floor"},
    {"indicator", "verdict", "shaft_1x"},
    {"indicator", "verdict", "shaft_2x"},
    {"indicator", "verdict", "shaft_3x"},
    {"indicator", "verdict", "velocity_from_hz"},
    {"indicator", "verdict", "displacement_m"},
    {"part", "verdict", "part"},
    {"part", "verdict", "strength"},
    {"part", "verdict", "depth"},
    {"part", "verdict", "harmonics"},
    {"part", "verdict", "sidebands"},
    {"event", "id", "point"},
    {"event", "id", "kind"},
    {"event", "id", "when_ms"},
    {"event", "id", "note"},
    {"event", "id", "temperature_celsius"},
    {"event", "id", "added_ms"},
    {"event", "id", "removed"},
    {"standing", "point", "changes"},
    {"standing", "point", "text"},
    {"spectrum", "verdict", "start"},
    {"spectrum", "verdict", "step"},
    {"spectrum", "verdict", "highest"},
    {"spectrum", "verdict", "codes"},
    {"spectrum", "verdict", "kind"},
    {"spectrum", "verdict", "bpfo"},
    {"journal", "id", "when_ms"},
    {"journal", "id", "action"},
    {"journal", "id", "entry"},
    {"journal", "id", "before"},
    {"journal", "id", "after"},
}};

/// Puts a value where ?1 is: a whole number, a number, a text, nothing, bytes.
void bind(sqlite3_stmt* s, int kind, Bytes& bytes) {
  if (kind == 0) {
    sqlite3_bind_int64(s, 1, bytes.next<std::int64_t>());
  } else if (kind == 1) {
    sqlite3_bind_double(s, 1, bytes.next<double>());
  } else if (kind != 3) {
    const auto text = bytes.take(bytes.next<std::uint16_t>() % 4096);
    const auto size = static_cast<int>(text.size());
    if (kind == 4)
      sqlite3_bind_blob(s, 1, text.data(), size, SQLITE_TRANSIENT);
    else
      sqlite3_bind_text(s, 1, text.data(), size, SQLITE_TRANSIENT);
  }
}

/// Which cell (1 byte), in which row and how (1), for a text that replaces or joins what is there
/// where in 1/256 of it (1), then the value: 8 bytes, or a length (2) and so many.
void change_cell(sqlite3* db, Bytes& bytes) {
  const Cell& cell = cells.at(bytes.next<std::uint8_t>() % cells.size());
  const auto how = bytes.next<std::uint8_t>();
  const int kind = how % 7;
  const int row = how / 7;  // 35 and 36: all rows
  const std::string column{cell.column}, table{cell.table}, key{cell.key};
  std::string value = "?1";
  if (kind >= 5) {
    const std::string at =
        "(length(" + column + ") * " + std::to_string(bytes.next<std::uint8_t>()) + " / 256)";
    value = "substr(" + column + ", 1, " + at + ") || ?1 || substr(" + column + ", 1 + " + at +
            (kind == 5 ? " + length(?1))" : ")");
  }
  std::string sql = "UPDATE OR IGNORE " + table + " SET " + column + " = " + value;
  if (row < 35)
    sql += " WHERE " + key + " = (SELECT " + key + " FROM " + table + " ORDER BY " + key +
           " LIMIT 1 OFFSET " + std::to_string(row) + ")";
  sqlite3_stmt* s = nullptr;
  fuzz::require(sqlite3_prepare_v2(db, sql.c_str(), -1, &s, nullptr) == SQLITE_OK);
  bind(s, kind, bytes);
  sqlite3_step(s);  // what the schema refuses stays as it was
  sqlite3_finalize(s);
}

void change_cells(const Folder& folder, Bytes bytes) {
  folder.put(folder.sound());
  sqlite3* db = nullptr;
  fuzz::require(sqlite3_open(folder.store().c_str(), &db) == SQLITE_OK);
  sqlite3_exec(db, "PRAGMA synchronous = OFF; PRAGMA journal_mode = MEMORY", nullptr, nullptr,
               nullptr);
  for (int changes = 0; changes < 40 && !bytes.empty(); ++changes) change_cell(db, bytes);
  sqlite3_close(db);
}

/// Where (4 bytes), how many (1), and these; the last bit of the place: the file ends there.
void change_file(const Folder& folder, Bytes bytes) {
  std::vector<char> file = folder.sound();
  while (!bytes.empty() && !file.empty()) {
    const auto place = bytes.next<std::uint32_t>();
    const std::size_t at = place % file.size();
    if (place >> 31U != 0) file.resize(at);
    const auto change = bytes.take(bytes.next<std::uint8_t>());
    std::copy_n(change.begin(), std::min(change.size(), file.size() - at),
                file.begin() + static_cast<std::ptrdiff_t>(at));
  }
  folder.put(file);
}

void show_point(History& history, const PointKey& at, const Standing& standing) {
  auto point = history.point(at);
  if (!good(point)) return;
  (void)good(history.read_spectra(*point));
  const TrendOptions options = with_limits({}, point->limits);
  const Trend trend = find_trend(trend_points(*point), baseline_start(*point), options);
  const LevelTrend* level = trend.find(Followed::high_band);
  const Forecast ahead = level != nullptr ? forecast_of(*level, options) : Forecast{};
  fuzz::require(!to_text(trend_report(*point, standing, trend, ahead)).empty());
  fuzz::require(!trend_json(*point, standing, trend, ahead).empty());
  const Report chapter = trend_chapter(*point, standing);
  fuzz::require(!to_html(chapter, {}, {.interactive = false}).empty());
  const auto entries = history.entries(at);
  if (good(entries)) {
    fuzz::require(!to_text(history_entries_report(*entries, at.machine)).empty());
    for (const HistoryEntry& entry : *entries) (void)entry_json(entry);
  }
}

void read_all(const std::string& path, Access access) {
  auto opened = History::open(path, access, in_the_year_after);
  if (!good(opened)) return;
  History history = std::move(opened).value();
  if (const auto check = history.check(false); good(check))
    fuzz::require(!to_text(history_check_report(*check, path)).empty());
  const auto standings = worst_first(history);
  if (good(standings)) {
    fuzz::require(!to_text(worst_first_report(*standings, path)).empty());
    fuzz::require(!standings_json(*standings, nullptr).empty());
    (void)machines_due(*standings);
    for (const Standing& s : *standings) show_point(history, s.at, s);
  }
  (void)good(history.each([](const PointKey& at, const Reading& r) {
    fuzz::require(!reading_csv(at, r).empty() && !reading_json(at, r).empty());
    return true;
  }));
  if (const auto events = history.events(); good(events))
    for (const auto& [machine, event] : *events) (void)event_json(machine, event);
  if (const auto journal = history.journal(); good(journal)) {
    fuzz::require(!to_text(journal_report(*journal, path)).empty());
    for (const JournalEntry& entry : *journal) (void)change_json(entry);
  }
}

void change_by_hand(const std::string& path) {
  auto opened = History::open(path, Access::read_write, in_the_year_after);
  if (!good(opened)) return;
  History history = std::move(opened).value();
  const std::array readings{EntryId{false, 1}, EntryId{false, 2}};
  Correction later;
  later.shift = std::chrono::hours{25};
  (void)good(history.correct(readings, later, "clock"));
  (void)good(history.remove(readings, "test"));
  (void)good(history.restore(readings, "test"));
  (void)good(history.rename({"dust extraction fan", ""}, "planer feed", true, "one machine"));
  (void)good(history.add({"planer feed", "DE horizontal"}, test::made_reading(70, "late")));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const Folder folder;
  if (size == 0) return 0;
  const Bytes changes{std::span{data, size}.subspan(1)};
  if (data[0] % 2 == 0)
    change_cells(folder, changes);
  else
    change_file(folder, changes);
  read_all(folder.store(), Access::read_only);
  change_by_hand(folder.store());
  read_all(folder.store(), Access::read_write);
  return 0;
}
