#include <fmt/format.h>

#include <string>

#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/report/history.hpp"

namespace bearingdsp {
namespace {

std::string cell(const std::optional<double>& value) {
  return value ? fmt::format("{}", *value) : std::string{};
}

/// Columns that came later, behind those that programs may count.
std::string further_features(const Reading& r) {
  std::string row = fmt::format(",{},{},{}", r.probability_of_place, r.levels.high_band.low.value(),
                                r.levels.high_band.high.value());
  for (const PartReading& p : r.parts) row += fmt::format(",{}", p.depth);
  row += "," + csv_cell(r.bearing.number);
  const auto& variants = r.bearing.variants;
  for (int i = 0; i < part_count; ++i)
    row += variants.empty()
               ? ","
               : fmt::format(",{}", variants.front().orders.of(static_cast<Part>(i)).value());
  return row;
}

}  // namespace

std::string reading_csv_header() {
  return "machine,point,taken_utc,time_from,verdict,place,probability_of_damage,stage,speed_rpm,"
         "load_percent,velocity_rms_mm_s,unit,overall_rms,peak,high_band_rms,envelope_rms,"
         "noise_floor_rms,kurtosis,crest_factor,outer_ring_strength,inner_ring_strength,"
         "rolling_element_strength,cage_strength,shaft_1x_rms,shaft_2x_rms,shaft_3x_rms,duration_s,"
         "rate_hz,path,sha256,settings,entry,date_in_doubt,place_set,probability_of_place,"
         "high_band_low_hz,high_band_high_hz,outer_ring_depth,inner_ring_depth,"
         "rolling_element_depth,cage_depth,bearing,bpfo_orders,bpfi_orders,bsf_orders,ftf_orders"
         "\r\n";
}

std::string reading_csv(const PointKey& at, const Reading& r) {
  const auto velocity = r.levels.at(Indicator::velocity);
  std::string row = fmt::format(
      "{},{},{},{},{},{},{},{},{},{},{},{}", csv_cell(at.machine), csv_cell(at.point),
      format_time(r.taken), name(r.time_source), name(r.verdict), name(r.place),
      r.probability_of_damage, name(judge_stage(r.stage).stage),
      cell(r.speed ? std::optional{r.speed->value()} : std::nullopt), cell(r.load_percent),
      cell(velocity ? std::optional{in_mm_per_s(*velocity)} : std::nullopt), symbol(r.levels.unit));
  for (const Indicator i :
       {Indicator::overall, Indicator::peak, Indicator::high_band, Indicator::envelope,
        Indicator::floor, Indicator::kurtosis, Indicator::crest_factor})
    row += fmt::format(",{}", cell(r.levels.at(i)));
  for (const PartReading& p : r.parts) row += fmt::format(",{}", p.strength);
  // Velocity where the samples are acceleration or velocity.
  const double shown =
      r.levels.unit == SampleUnit::acceleration || r.levels.unit == SampleUnit::velocity
          ? in_mm_per_s(1)
          : 1;
  for (const auto& line : r.levels.shaft)
    row += fmt::format(",{}", cell(line ? std::optional{shown * *line} : std::nullopt));
  std::string set;
  for (const Part part : r.place_set) set += (set.empty() ? "" : "|") + std::string{name(part)};
  row += fmt::format(",{},{},{},{},{},{},{},{}", r.duration.value(), r.rate.value(),
                     csv_cell(r.path), r.hash, csv_cell(r.settings),
                     r.id == 0 ? std::string{} : name(EntryId{false, r.id}),
                     r.doubt == DateDoubt::none ? std::string_view{} : name(r.doubt), set);
  return row + further_features(r) + "\r\n";
}

}  // namespace bearingdsp
