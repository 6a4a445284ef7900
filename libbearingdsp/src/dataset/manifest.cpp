#include "bearingdsp/dataset/manifest.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <map>
#include <string>
#include <utility>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "core/plain_word.hpp"

namespace bearingdsp {
namespace {

using Rows = std::vector<std::vector<std::string>>;

/// A row takes some 200 bytes: room for 300 000 recordings.
constexpr std::size_t max_manifest = std::size_t{64} << 20U;

/// Columns of a table: those it cannot do without first.
struct Columns {
  std::vector<std::string> needed, optional;
  std::string rows;  ///< what a row is called in messages
};

const Columns& manifest_columns() {
  static const Columns columns{
      {"dataset", "file", "signal", "bearing", "fault"},
      {"unit", "rate_hz", "rpm", "tacho", "pulses_per_revolution", "split", "sha256"},
      "recording"};
  return columns;
}
const Columns& bearing_columns() {
  static const Columns columns{{"name", "rolling_elements", "element_diameter", "pitch_diameter"},
                               {"contact_angle_deg", "unit", "source"},
                               "bearing"};
  return columns;
}

/// What others call our columns. Ignored, such a column would go missing without a word.
constexpr std::pair<std::string_view, std::string_view> other_names[] = {
    {"speed", "rpm"},
    {"speed rpm", "rpm"},
    {"shaft speed", "rpm"},
    {"sample rate", "rate_hz"},
    {"sampling rate", "rate_hz"},
    {"fs", "rate_hz"},
    {"label", "fault"},
    {"channel", "signal"},
    {"checksum", "sha256"},
    {"pulses", "pulses_per_revolution"},
    {"ppr", "pulses_per_revolution"},
    {"contact angle", "contact_angle_deg"}};

/// Cells of one row by the names of the header.
class Table {
 public:
  static Result<Table> read(const std::string& path, const Columns& columns) {
    auto text = read_text_file(path, max_manifest);
    if (!text) return text.error();
    auto rows = parse_csv(*text, path);
    if (!rows) return rows.error();
    if (rows->empty())
      return Error{Errc::corrupt_file, path, "the file is empty", "give a CSV with a header row"};
    Table t;
    t.path_ = path;
    t.row_ = columns.rows;
    t.rows_ = std::move(*rows);
    if (const auto named = t.name_columns(columns); !named) return named.error();
    for (const std::string& name : columns.needed)
      if (t.column_.count(name) == 0)
        return Error{Errc::corrupt_file, path + ":1", "no column '" + name + "'",
                     "write the column names in the first row"};
    return t;
  }
  [[nodiscard]] std::size_t size() const { return rows_.size() - 1; }
  /// Text of a cell of row i; empty if the row is short or there is no such column.
  [[nodiscard]] std::string text(std::size_t i, const std::string& name) const {
    const auto found = column_.find(name);
    if (found == column_.end() || found->second >= rows_[i + 1].size()) return {};
    return rows_[i + 1][found->second];
  }
  /// A number, nothing for an empty cell, or an error that names row and column.
  [[nodiscard]] Result<std::optional<double>> number(std::size_t i, const std::string& name) const {
    const std::string cell = text(i, name);
    if (cell.empty()) return std::optional<double>{};
    double value = 0;
    const char* end = cell.data() + cell.size();
    const auto [stop, code] = std::from_chars(cell.data(), end, value);
    if (code != std::errc{} || stop != end || !std::isfinite(value))
      return Error{Errc::corrupt_file, where(i),
                   "'" + cell + "' in column '" + name + "' is not a number",
                   "write it like 1796.5"};
    return std::optional<double>{value};
  }
  /// The same, above 0.
  [[nodiscard]] Result<std::optional<double>> above_zero(std::size_t i,
                                                         const std::string& name) const {
    auto value = number(i, name);
    if (value && *value && !(**value > 0))
      return Error{Errc::corrupt_file, where(i), "'" + name + "' is not above 0",
                   "write it like 1, or clear the cell"};
    return value;
  }
  [[nodiscard]] std::string where(std::size_t i) const {
    return path_ + ", " + row_ + " " + std::to_string(i + 1);
  }

 private:
  /// Finds the columns by name, whatever the case. A name that is nearly one of ours, or that
  /// others use for it, is a slip: the column would be missing without a word.
  Result<void> name_columns(const Columns& columns) {
    std::vector<std::string> known = columns.needed;
    known.insert(known.end(), columns.optional.begin(), columns.optional.end());
    for (std::size_t c = 0; c < rows_.front().size(); ++c) {
      const std::string& written = rows_.front()[c];
      const std::string plain = plain_word(written);
      const auto own = std::find_if(known.begin(), known.end(),
                                    [&](const std::string& k) { return plain_word(k) == plain; });
      if (own != known.end()) {
        if (!column_.emplace(*own, c).second)
          return Error{Errc::corrupt_file, path_ + ":1", "column '" + *own + "' is there twice",
                       "keep one of them"};
        continue;
      }
      const auto other = std::find_if(std::begin(other_names), std::end(other_names),
                                      [&](const auto& pair) { return pair.first == plain; });
      std::string meant =
          other != std::end(other_names) ? std::string{other->second} : std::string{};
      if (std::find(known.begin(), known.end(), meant) == known.end()) meant.clear();
      if (const auto near = near_misses(plain, known, 1); meant.empty() && !near.empty())
        meant = near.front();
      if (!meant.empty())
        return Error{Errc::corrupt_file, path_ + ":1", "unknown column '" + written + "'",
                     "did you mean '" + meant + "'? Rename it"};
    }
    return {};
  }

  std::string path_, row_;
  Rows rows_;
  std::map<std::string, std::size_t> column_;
};

struct ListedBearing {
  BearingGeometry geometry;
  std::string source;
  std::string where;
};

Result<std::map<std::string, ListedBearing>> read_bearings(const std::string& path) {
  auto table = Table::read(path, bearing_columns());
  if (!table) return table.error();
  std::map<std::string, ListedBearing> bearings;
  for (std::size_t i = 0; i < table->size(); ++i) {
    ListedBearing b;
    std::optional<double> cell[4];
    const char* names[4] = {"rolling_elements", "element_diameter", "pitch_diameter",
                            "contact_angle_deg"};
    for (int c = 0; c < 4; ++c) {
      auto number = table->number(i, names[c]);
      if (!number) return number.error();
      cell[c] = *number;
    }
    if (!cell[0] || !cell[1] || !cell[2])
      return Error{Errc::corrupt_file, table->where(i),
                   "number of elements or a diameter is missing", "give all three"};
    if (!(*cell[0] >= 1 && *cell[0] <= 10000) || *cell[0] != std::floor(*cell[0]))
      return Error{Errc::corrupt_file, table->where(i),
                   "the number of elements is not a whole number", "write it like 9"};
    b.geometry = {static_cast<int>(*cell[0]), *cell[1], *cell[2], Degrees{cell[3].value_or(0.0)}};
    b.source = table->text(i, "source");
    b.where = table->where(i);
    if (!bearings.emplace(table->text(i, "name"), std::move(b)).second)
      return Error{Errc::corrupt_file, table->where(i),
                   "'" + table->text(i, "name") + "' is listed twice", "keep one of the rows"};
  }
  return bearings;
}

bool digits_only(std::string_view text) {
  return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

/// Words of a cell, remarks in brackets left out, split at blanks, commas and the word "and".
std::vector<std::string> words_of(std::string_view cell) {
  std::vector<std::string> words(1);
  int depth = 0;
  for (const char c : cell) {
    if (c == '(') ++depth;
    if (depth == 0 && c != ' ' && c != ',') {
      words.back() += c;
    } else if (!words.back().empty()) {
      words.emplace_back();
    }
    if (c == ')' && depth > 0) --depth;
  }
  words.erase(std::remove_if(words.begin(), words.end(),
                             [](const std::string& w) { return w.empty() || w == "and"; }),
              words.end());
  return words;
}

}  // namespace

SignalChoice parse_signal(std::string_view cell) {
  SignalChoice choice;
  const auto head = cell.substr(0, cell.find(' '));
  if (head != "columns" && head != "column") {
    if (!cell.empty()) choice.select.emplace_back(cell);
    return choice;
  }
  // "columns 2-4 (x y z), column 1 is time": number words up to the next "column" or ";".
  const std::vector<std::string> words = words_of(cell.substr(0, cell.find(';')));
  std::size_t i = 1;
  for (; i < words.size() && words[i] != "column" && words[i] != "columns"; ++i) {
    const auto dash = words[i].find('-');
    if (digits_only(words[i]) ||
        (dash != std::string::npos && digits_only(words[i].substr(0, dash)) &&
         digits_only(words[i].substr(dash + 1))))
      choice.select.push_back(words[i]);
  }
  if (i + 3 < words.size() && words[i + 2] == "is" && words[i + 3] == "time" &&
      digits_only(words[i + 1]))
    choice.time_column = words[i + 1];
  return choice;
}

std::string parse_unit(std::string_view cell) {
  std::string unit{cell.substr(0, cell.find_first_of(" ("))};
  return unit == "unknown" ? std::string{} : unit;
}

std::vector<std::string> Manifest::files_read() const {
  std::vector<std::string> files{bearings};
  for (const LabelledRecord& r : records) files.push_back(r.path);
  return files;
}

namespace {

/// What others call the place of a fault.
constexpr std::pair<std::string_view, Place> other_labels[] = {
    {"outer race", Place::outer_ring},
    {"outer raceway", Place::outer_ring},
    {"inner race", Place::inner_ring},
    {"inner raceway", Place::inner_ring},
    {"ball", Place::rolling_element},
    {"roller", Place::rolling_element},
    {"rolling elements", Place::rolling_element},
    {"healthy", Place::none},
    {"normal", Place::none},
    {"good", Place::none},
    {"no fault", Place::none}};

/// The name of a Place that a `fault` cell means; empty for a word of another kind.
/// Errors: corrupt_file for an empty cell, or a word that is nearly a label
Result<std::string> label_of(const Table& table, std::size_t i) {
  const std::string cell = table.text(i, "fault");
  const std::string plain = plain_word(cell);
  if (plain.empty())
    return Error{Errc::corrupt_file, table.where(i), "the cell 'fault' is empty",
                 "write none for a healthy bearing"};
  if (const auto place = from_token<Place>(plain)) return std::string{token(*place)};
  std::vector<std::string> known;
  for (const auto& [word, place] : other_labels) {
    if (word == plain) return std::string{token(place)};
    known.emplace_back(word);
  }
  for (const Place p : {Place::none, Place::outer_ring, Place::inner_ring, Place::rolling_element,
                        Place::cage, Place::several})
    known.emplace_back(token(p));
  if (const auto near = near_misses(plain, known, 1); !near.empty())
    return Error{Errc::corrupt_file, table.where(i), "'" + cell + "' is not a fault location",
                 "did you mean '" + near.front() + "'?"};
  return std::string{};
}

using Bearings = std::map<std::string, ListedBearing>;

Result<std::optional<DefectOrders>> listed_orders(const Bearings& bearings,
                                                  const std::string& bearing,
                                                  const std::string& where) {
  if (bearing.empty()) return std::optional<DefectOrders>{};
  const auto listed = bearings.find(bearing);
  if (listed == bearings.end())
    return Error{Errc::not_found, where, "bearing '" + bearing + "' is not in bearings.csv",
                 "add a row for it"};
  auto orders = defect_orders(listed->second.geometry);
  if (!orders)
    return Error{orders.error().code, where,
                 listed->second.where + ", '" + bearing + "': " + orders.error().what,
                 orders.error().advice};
  orders->source = listed->second.source;
  return std::optional<DefectOrders>{std::move(*orders)};
}

/// The numbers of a row.
Result<void> read_numbers(const Table& table, std::size_t i, LabelledRecord& r) {
  auto rate = table.above_zero(i, "rate_hz");
  if (!rate) return rate.error();
  if (*rate) r.rate = Hz{**rate};
  auto pulses = table.above_zero(i, "pulses_per_revolution");
  if (!pulses) return pulses.error();
  if (*pulses) r.pulses_per_revolution = **pulses;
  auto speed = table.above_zero(i, "rpm");
  if (!speed) return speed.error();
  if (*speed) r.speed = Rpm{**speed};
  return {};
}

/// Which recordings were listed already, by file, signal and bearing and by checksum, signal and
/// bearing: one that is there twice would count twice. Under another bearing it is another
/// question.
class Listed {
 public:
  Result<void> add(const LabelledRecord& r, const std::string& where) {
    std::string signal = r.signal.time_column;
    for (const std::string& s : r.signal.select) signal += "\n" + s;
    signal += "\nbearing " + r.bearing;
    const auto path = std::filesystem::path{r.path}.lexically_normal().string();
    for (const std::string& key : {"file " + path, "sha256 " + r.sha256}) {
      if (key == "sha256 ") continue;
      const auto [at, is_new] = seen_.emplace(key + "\n" + signal, r.row);
      if (!is_new)
        return Error{Errc::corrupt_file, where,
                     "'" + r.file + "' is the same recording as recording " +
                         std::to_string(at->second) + " and would count twice",
                     "keep one of the rows"};
    }
    return {};
  }

 private:
  std::map<std::string, std::size_t> seen_;
};

/// One row; nothing, with a note, for a row that is left out.
Result<std::optional<LabelledRecord>> read_row(const Table& table, std::size_t i,
                                               const std::filesystem::path& folder,
                                               const Bearings& bearings, Manifest& manifest) {
  LabelledRecord r;
  r.row = i + 1;
  r.dataset = table.text(i, "dataset");
  r.file = table.text(i, "file");
  if (r.file.empty())
    return Error{Errc::corrupt_file, table.where(i), "the cell 'file' is empty",
                 "write the name of the recording, or delete the row"};
  r.path = (folder / r.file).string();
  r.signal = parse_signal(table.text(i, "signal"));
  r.unit = parse_unit(table.text(i, "unit"));
  r.bearing = table.text(i, "bearing");
  r.tacho = table.text(i, "tacho");
  r.split = table.text(i, "split");
  r.sha256 = table.text(i, "sha256");
  if (r.file.find_first_of("*?") != std::string::npos) {
    manifest.notes.push_back(r.file +
                             ": left out, a series of many recordings has no single label");
    return std::optional<LabelledRecord>{};
  }
  auto label = label_of(table, i);
  if (!label) return label.error();
  if (label->empty()) {
    manifest.notes.push_back(r.file + ": left out, '" + table.text(i, "fault") +
                             "' is not a fault location");
    return std::optional<LabelledRecord>{};
  }
  r.label = std::move(*label);
  if (const auto good = read_numbers(table, i, r); !good) return good.error();
  auto orders = listed_orders(bearings, r.bearing, table.where(i));
  if (!orders) return orders.error();
  r.orders = std::move(*orders);
  return std::optional{std::move(r)};
}

}  // namespace

Result<Manifest> read_manifest(const std::string& path) {
  auto table = Table::read(path, manifest_columns());
  if (!table) return table.error();
  const auto folder = std::filesystem::path{path}.parent_path();
  auto bearings = read_bearings((folder / "bearings.csv").string());
  if (!bearings) {
    Error error = bearings.error();
    if (error.code == Errc::io) error.advice = "the manifest needs this file beside it";
    return error;
  }
  Manifest manifest;
  manifest.bearings = (folder / "bearings.csv").string();
  Listed listed;
  for (std::size_t i = 0; i < table->size(); ++i) {
    auto record = read_row(*table, i, folder, *bearings, manifest);
    if (!record) return record.error();
    if (!*record) continue;
    if (const auto once = listed.add(**record, table->where(i)); !once) return once.error();
    manifest.records.push_back(std::move(**record));
  }
  return manifest;
}

Result<Manifest> of_split(const Manifest& manifest, const std::string& split) {
  Manifest some;
  some.notes = manifest.notes;
  std::string known;
  for (const LabelledRecord& r : manifest.records) {
    if (r.split == split) some.records.push_back(r);
    const std::string quoted = "'" + r.split + "'";
    if (!r.split.empty() && known.find(quoted) == std::string::npos) add_part(known, quoted);
  }
  if (some.records.empty())
    return Error{Errc::not_found, "split '" + split + "'", "no recording belongs to it",
                 known.empty() ? "add a column 'split' to the manifest" : "there are: " + known};
  return some;
}

ReadOptions record_options(const LabelledRecord& record) {
  ReadOptions read;
  read.rate = record.rate;
  read.select = record.signal.select;
  if (!record.tacho.empty() && !read.select.empty()) read.select.push_back(record.tacho);
  read.time_column = record.signal.time_column;
  if (!record.unit.empty()) read.units = {record.unit};
  return read;
}

Result<void> check_record(const LabelledRecord& record) {
  // A pipe in the list would hold up all that come after it.
  if (const auto regular = check_regular_file(record.path); !regular) return regular;
  if (record.sha256.empty()) return {};
  auto hash = sha256_of_file(record.path);
  if (!hash) return hash.error();
  if (*hash == record.sha256) return {};
  return Error{Errc::corrupt_file, record.path, "does not match the checksum in the manifest",
               "download it again, or clear the cell in column 'sha256' to use this file"};
}

Result<Capture> read_record(const LabelledRecord& record) {
  if (const auto good = check_record(record); !good) return good.error();
  return read_capture(record.path, record_options(record));
}

}  // namespace bearingdsp
