#pragma once
/// Levels of bearings that ran to failure, measured and made, as the trend sees them.
#include <string>
#include <vector>

#include "bearingdsp/history/trend.hpp"

namespace test {

/// Of the runs below.
inline constexpr double seconds_between_records = 10;

[[nodiscard]] bearingdsp::UtcTime after_seconds(double s);

struct Run {
  std::string name;
  std::vector<bearingdsp::TrendPoint> points;
};
/// The runs that the manifest labels "run to failure": a folder of CSV files each, in their order.
/// A file that cannot be read is named at stdout and left out; none without a manifest.
[[nodiscard]] std::vector<Run> read_runs(const std::string& manifest);

/// A made reading whose levels all lie `db` above 1 m/s2.
[[nodiscard]] bearingdsp::TrendPoint point_at(double day, double db);

}  // namespace test
