#include <fmt/format.h>

#include <array>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/report/history.hpp"

namespace bearingdsp {
namespace {
namespace reading_table {

using Number = std::optional<double>;

struct Row {
  const PointKey& at;
  const Reading& reading;
};

/// Velocity where the samples are acceleration or velocity, else in the unit of the samples.
template <std::size_t Harmonic>
ReadingCell shaft_line(const Row& row) {
  const Reading& r = row.reading;
  const bool velocity =
      r.levels.unit == SampleUnit::acceleration || r.levels.unit == SampleUnit::velocity;
  const auto& line = r.levels.shaft.at(Harmonic);
  return line ? Number{(velocity ? in_mm_per_s(1) : 1) * *line} : Number{};
}

template <Indicator Which>
ReadingCell level(const Row& row) {
  const Reading& r = row.reading;
  return r.levels.at(Which);
}

template <Part Which>
ReadingCell strength(const Row& row) {
  const Reading& r = row.reading;
  return Number{r.parts.at(static_cast<std::size_t>(Which)).strength};
}

template <Part Which>
ReadingCell depth(const Row& row) {
  const Reading& r = row.reading;
  return Number{r.parts.at(static_cast<std::size_t>(Which)).depth};
}

template <Part Which>
ReadingCell orders(const Row& row) {
  const Reading& r = row.reading;
  const auto& variants = r.bearing.variants;
  return variants.empty() ? Number{} : Number{variants.front().orders.of(Which).value()};
}

std::string set_words(const Reading& r) {
  std::string set;
  for (const Part part : r.place_set) add_part(set, token(part), "|");
  return set;
}

struct Column {
  ReadingColumn shown;
  ReadingCell (*cell)(const Row&);
};
constexpr bool number = true;
constexpr bool text = false;
constexpr std::string_view of_row = "in column unit";
constexpr std::string_view of_shaft = "mm/s rms; in column unit where that is neither m/s2 nor m/s";

// Those that came later are behind those that programs may count.
constexpr std::array columns{
    Column{{"machine", "", text}, [](const Row& row) -> ReadingCell { return row.at.machine; }},
    Column{{"point", "", text}, [](const Row& row) -> ReadingCell { return row.at.point; }},
    Column{{"taken_utc", "", text},
           [](const Row& row) -> ReadingCell { return format_time(row.reading.taken); }},
    Column{
        {"time_from", "", text},
        [](const Row& row) -> ReadingCell { return std::string{token(row.reading.time_source)}; }},
    Column{{"verdict", "", text},
           [](const Row& row) -> ReadingCell { return std::string{token(row.reading.verdict)}; }},
    Column{{"place", "", text},
           [](const Row& row) -> ReadingCell { return std::string{token(row.reading.place)}; }},
    Column{{"probability_of_damage", "1", number},
           [](const Row& row) -> ReadingCell { return Number{row.reading.probability_of_damage}; }},
    Column{{"stage", "", text},
           [](const Row& row) -> ReadingCell {
             return std::string{token(judge_stage(row.reading.stage).stage)};
           }},
    Column{{"speed_rpm", "rpm", number},
           [](const Row& row) -> ReadingCell {
             return row.reading.speed ? Number{row.reading.speed->value()} : Number{};
           }},
    Column{{"load_percent", "%", number},
           [](const Row& row) -> ReadingCell { return Number{row.reading.load_percent}; }},
    Column{{"velocity_rms_mm_s", "mm/s rms", number},
           [](const Row& row) -> ReadingCell {
             const auto velocity = row.reading.levels.at(Indicator::velocity);
             return velocity ? Number{in_mm_per_s(*velocity)} : Number{};
           }},
    Column{
        {"unit", "", text},
        [](const Row& row) -> ReadingCell { return std::string{symbol(row.reading.levels.unit)}; }},
    Column{{"overall_rms", of_row, number}, level<Indicator::overall>},
    Column{{"peak", of_row, number}, level<Indicator::peak>},
    Column{{"high_band_rms", of_row, number}, level<Indicator::high_band>},
    Column{{"envelope_rms", of_row, number}, level<Indicator::envelope>},
    Column{{"noise_floor_rms", of_row, number}, level<Indicator::floor>},
    Column{{"kurtosis", "1", number}, level<Indicator::kurtosis>},
    Column{{"crest_factor", "1", number}, level<Indicator::crest_factor>},
    Column{{"outer_ring_strength", "1", number}, strength<Part::outer_ring>},
    Column{{"inner_ring_strength", "1", number}, strength<Part::inner_ring>},
    Column{{"rolling_element_strength", "1", number}, strength<Part::rolling_element>},
    Column{{"cage_strength", "1", number}, strength<Part::cage>},
    Column{{"shaft_1x_rms", of_shaft, number}, shaft_line<0>},
    Column{{"shaft_2x_rms", of_shaft, number}, shaft_line<1>},
    Column{{"shaft_3x_rms", of_shaft, number}, shaft_line<2>},
    Column{{"duration_s", "s", number},
           [](const Row& row) -> ReadingCell { return Number{row.reading.duration.value()}; }},
    Column{{"rate_hz", "Hz", number},
           [](const Row& row) -> ReadingCell { return Number{row.reading.rate.value()}; }},
    Column{{"path", "", text}, [](const Row& row) -> ReadingCell { return row.reading.path; }},
    Column{{"sha256", "", text}, [](const Row& row) -> ReadingCell { return row.reading.hash; }},
    Column{{"settings", "", text},
           [](const Row& row) -> ReadingCell { return row.reading.settings; }},
    Column{{"entry", "", text},
           [](const Row& row) -> ReadingCell {
             return row.reading.id == 0 ? std::string{} : name(EntryId{false, row.reading.id});
           }},
    Column{{"date_in_doubt", "", text},
           [](const Row& row) -> ReadingCell {
             return row.reading.doubt == DateDoubt::none ? std::string{}
                                                         : std::string{token(row.reading.doubt)};
           }},
    Column{{"place_set", "", text},
           [](const Row& row) -> ReadingCell { return set_words(row.reading); }},
    Column{{"probability_of_place", "1", number},
           [](const Row& row) -> ReadingCell { return Number{row.reading.probability_of_place}; }},
    Column{{"high_band_low_hz", "Hz", number},
           [](const Row& row) -> ReadingCell {
             return Number{row.reading.levels.high_band.low.value()};
           }},
    Column{{"high_band_high_hz", "Hz", number},
           [](const Row& row) -> ReadingCell {
             return Number{row.reading.levels.high_band.high.value()};
           }},
    Column{{"outer_ring_depth", "1", number}, depth<Part::outer_ring>},
    Column{{"inner_ring_depth", "1", number}, depth<Part::inner_ring>},
    Column{{"rolling_element_depth", "1", number}, depth<Part::rolling_element>},
    Column{{"cage_depth", "1", number}, depth<Part::cage>},
    Column{{"bearing", "", text},
           [](const Row& row) -> ReadingCell { return row.reading.bearing.number; }},
    Column{{"bpfo_orders", "x shaft speed", number}, orders<Part::outer_ring>},
    Column{{"bpfi_orders", "x shaft speed", number}, orders<Part::inner_ring>},
    Column{{"bsf_orders", "x shaft speed", number}, orders<Part::rolling_element>},
    Column{{"ftf_orders", "x shaft speed", number}, orders<Part::cage>},
};

}  // namespace reading_table
}  // namespace

std::vector<ReadingColumn> reading_columns() {
  std::vector<ReadingColumn> all;
  for (const reading_table::Column& c : reading_table::columns) all.push_back(c.shown);
  return all;
}

std::vector<ReadingCell> reading_cells(const PointKey& at, const Reading& reading) {
  std::vector<ReadingCell> cells;
  cells.reserve(reading_table::columns.size());
  for (const reading_table::Column& c : reading_table::columns)
    cells.push_back(c.cell({at, reading}));
  return cells;
}

std::string reading_csv_header() {
  std::string row;
  for (const reading_table::Column& c : reading_table::columns) add_part(row, c.shown.name, ",");
  return row + "\r\n";
}

std::string reading_csv(const PointKey& at, const Reading& reading) {
  std::string row;
  for (std::size_t i = 0; i < reading_table::columns.size(); ++i) {
    const ReadingCell cell = reading_table::columns[i].cell({at, reading});
    if (i > 0) row += ',';
    if (const auto* word = std::get_if<std::string>(&cell))
      row += csv_cell(*word);
    else if (const reading_table::Number& value = std::get<reading_table::Number>(cell))
      row += fmt::format("{}", *value);
  }
  return row + "\r\n";
}

}  // namespace bearingdsp
