#include "support/measured_runs.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <utility>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/dataset/manifest.hpp"

namespace test {
using namespace bearingdsp;
namespace fs = std::filesystem;

UtcTime after_seconds(double s) {
  return UtcTime{std::chrono::milliseconds{static_cast<std::int64_t>(1000 * s)}};
}

std::vector<Run> read_runs(const std::string& manifest) {
  std::vector<Run> runs;
  std::ifstream in{manifest, std::ios::binary};
  const std::string text{std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
  const auto rows = parse_csv(text, manifest);
  if (!rows) return runs;
  FftPlans plans;
  for (const auto& row : *rows) {
    if (row.size() < 8 || row[7] != "run to failure") continue;
    const fs::path folder = (fs::path{manifest}.parent_path() / row[1]).parent_path();
    std::vector<std::string> files;
    std::error_code code;
    for (auto at = fs::directory_iterator{folder, code}; !code && at != fs::directory_iterator{};
         ++at)
      if (at->path().extension() == ".csv") files.push_back(at->path().string());
    std::sort(files.begin(), files.end());
    Run run{folder.filename().string(), {}};
    for (const std::string& file : files) {
      ReadOptions options;
      options.rate = Hz{25600};
      options.units = {"g"};
      options.select = {"5", "6"};
      options.time_column = "none";
      const auto capture = read_capture(file, options);
      if (!capture) {
        fmt::print("{}\n", capture.error().message());
        continue;
      }
      TrendPoint p;
      p.time = after_seconds(seconds_between_records * static_cast<double>(run.points.size()));
      p.levels = measure_levels(std::vector<SignalView>{capture->view(0), capture->view(1)}, plans);
      run.points.push_back(p);
    }
    if (!run.points.empty()) runs.push_back(std::move(run));
  }
  return runs;
}

TrendPoint point_at(double day, double db) {
  TrendPoint p;
  p.time = after_seconds(86400 * day);
  p.levels.unit = SampleUnit::acceleration;
  p.levels.high_band = {Hz{1000}, Hz{10000}};
  for (const Indicator i : {Indicator::overall, Indicator::high_band, Indicator::floor})
    p.levels.at(i) = std::pow(10.0, db / 20);
  return p;
}

}  // namespace test
