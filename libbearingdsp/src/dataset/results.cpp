#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <limits>
#include <string>
#include <string_view>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dataset/outcome.hpp"
#include "dataset/cells.hpp"

namespace bearingdsp {
namespace {

constexpr std::array<std::string_view, 12> columns{"dataset",
                                                   "file",
                                                   "label",
                                                   "named",
                                                   "probability_damage",
                                                   "probability_place",
                                                   "other_causes",
                                                   "speed_rpm",
                                                   "speed_method",
                                                   "seconds",
                                                   "reason",
                                                   "place_set"};

std::string milliseconds(double seconds) {
  return std::isfinite(seconds) ? fmt::format("{:.3f}", seconds) : "";
}

}  // namespace

std::string results_csv(const std::vector<Outcome>& outcomes) {
  std::string out = fmt::format("{}", fmt::join(columns, ","));
  out += "\n";
  for (const Outcome& o : outcomes)
    out += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{}\n", csv_cell(o.dataset),
                       csv_cell(o.file), csv_cell(o.label), csv_cell(o.named),
                       number_cell(o.probability_damage), number_cell(o.probability_place),
                       csv_cell(o.other_causes), number_cell(o.speed_rpm), csv_cell(o.speed_method),
                       milliseconds(o.seconds), csv_cell(o.reason), csv_cell(o.place_set));
  return out;
}

Result<std::vector<Outcome>> parse_results(std::string_view csv, const std::string& name) {
  auto rows = parse_csv(csv, name);
  if (!rows) return rows.error();
  if (rows->empty() ||
      !std::equal(columns.begin(), columns.end(), rows->front().begin(), rows->front().end()))
    return Error{Errc::corrupt_file, name + ":1", "not a table of results",
                 "give a file written by 'validate --out'"};
  std::vector<Outcome> outcomes;
  for (std::size_t i = 1; i < rows->size(); ++i) {
    auto& r = (*rows)[i];
    for (std::string& cell : r) cell = std::string{csv_content(cell)};
    const std::string where = name + ", recording " + std::to_string(i);
    if (r.size() != columns.size())
      return Error{Errc::corrupt_file, where,
                   fmt::format("{} cells instead of {}", r.size(), columns.size()), ""};
    Outcome o{r[0], r[1], r[2], r[3], 0, 0, r[6], 0, r[8], 0, r[10], r[11]};
    const std::array<std::pair<std::size_t, double*>, 4> numbers{{{4, &o.probability_damage},
                                                                  {5, &o.probability_place},
                                                                  {7, &o.speed_rpm},
                                                                  {9, &o.seconds}}};
    for (const auto& [c, value] : numbers) {
      *value = std::numeric_limits<double>::quiet_NaN();
      if (r[c].empty()) continue;
      const char* end = r[c].data() + r[c].size();
      const auto [stop, code] = std::from_chars(r[c].data(), end, *value);
      if (code != std::errc{} || stop != end)
        return Error{
            Errc::corrupt_file, where,
            "'" + r[c] + "' in column '" + std::string{columns.at(c)} + "' is not a number", ""};
    }
    outcomes.push_back(std::move(o));
  }
  return outcomes;
}

}  // namespace bearingdsp
