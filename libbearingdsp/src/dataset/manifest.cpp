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
#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/machine/text_file.hpp"

namespace bearingdsp {
namespace {

using Rows = std::vector<std::vector<std::string>>;

/// A row takes some 200 bytes: room for 300 000 recordings.
constexpr std::size_t max_manifest = std::size_t{64} << 20U;

/// Cells of one row by the names of the header.
class Table {
 public:
  static Result<Table> read(const std::string& path, const std::vector<std::string>& needed) {
    auto text = read_text_file(path, max_manifest);
    if (!text) return text.error();
    auto rows = parse_csv(*text, path);
    if (!rows) return rows.error();
    if (rows->empty())
      return Error{Errc::corrupt_file, path, "the file is empty", "give a CSV with a header row"};
    Table t;
    t.path_ = path;
    t.rows_ = std::move(*rows);
    for (std::size_t c = 0; c < t.rows_.front().size(); ++c) t.column_[t.rows_.front()[c]] = c;
    for (const std::string& name : needed)
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
  [[nodiscard]] std::string where(std::size_t i) const {
    return path_ + ", recording " + std::to_string(i + 1);
  }

 private:
  std::string path_;
  Rows rows_;
  std::map<std::string, std::size_t> column_;
};

struct ListedBearing {
  BearingGeometry geometry;
  std::string source;
};

Result<std::map<std::string, ListedBearing>> read_bearings(const std::string& path) {
  auto table =
      Table::read(path, {"name", "rolling_elements", "element_diameter", "pitch_diameter"});
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
    bearings[table->text(i, "name")] = std::move(b);
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

std::optional<Place> place_of(std::string_view label) {
  for (const Place p :
       {Place::none, Place::outer_ring, Place::inner_ring, Place::rolling_element, Place::cage,
        Place::several, Place::unclear, Place::another_bearing, Place::cannot_tell})
    if (name(p) == label) return p;
  return std::nullopt;
}

std::vector<std::string> Manifest::files_read() const {
  std::vector<std::string> files{bearings};
  for (const LabelledRecord& r : records) files.push_back(r.path);
  return files;
}

Result<Manifest> read_manifest(const std::string& path) {
  auto table = Table::read(path, {"dataset", "file", "signal", "bearing", "fault"});
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
  for (std::size_t i = 0; i < table->size(); ++i) {
    LabelledRecord r;
    r.row = i + 1;
    r.dataset = table->text(i, "dataset");
    r.file = table->text(i, "file");
    r.path = (folder / r.file).string();
    r.signal = parse_signal(table->text(i, "signal"));
    r.unit = parse_unit(table->text(i, "unit"));
    r.bearing = table->text(i, "bearing");
    r.label = table->text(i, "fault");
    if (r.file.find_first_of("*?") != std::string::npos) {
      manifest.notes.push_back(r.file +
                               ": left out, a series of many recordings has no single label");
      continue;
    }
    if (!place_of(r.label)) {
      manifest.notes.push_back(r.file + ": left out, '" + r.label + "' is not a fault location");
      continue;
    }
    auto rate = table->number(i, "rate_hz");
    if (!rate) return rate.error();
    if (*rate) r.rate = Hz{**rate};
    r.tacho = table->text(i, "tacho");
    r.split = table->text(i, "split");
    r.sha256 = table->text(i, "sha256");
    auto pulses = table->number(i, "pulses_per_revolution");
    if (!pulses) return pulses.error();
    if (*pulses) {
      if (!(**pulses > 0))
        return Error{Errc::corrupt_file, table->where(i), "'pulses_per_revolution' is not above 0",
                     "write it like 1"};
      r.pulses_per_revolution = **pulses;
    }
    auto speed = table->number(i, "rpm");
    if (!speed) return speed.error();
    if (*speed) r.speed = Rpm{**speed};
    if (!r.bearing.empty()) {
      const auto listed = bearings->find(r.bearing);
      if (listed == bearings->end())
        return Error{Errc::not_found, table->where(i),
                     "bearing '" + r.bearing + "' is not in bearings.csv", "add a row for it"};
      auto orders = defect_orders(listed->second.geometry);
      if (!orders)
        return Error{orders.error().code, "bearing '" + r.bearing + "'", orders.error().what,
                     orders.error().advice};
      r.orders = std::move(*orders);
      r.orders->source = listed->second.source;
    }
    manifest.records.push_back(std::move(r));
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
    if (!r.split.empty() && known.find(quoted) == std::string::npos)
      known += (known.empty() ? "" : ", ") + quoted;
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
