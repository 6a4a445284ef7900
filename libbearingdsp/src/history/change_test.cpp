#include "bearingdsp/history/change_test.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace bearingdsp {
namespace {

// Standard error of a median over that of a mean, many normal values: sqrt(pi / 2).
constexpr double median_error = 1.2533;
constexpr std::size_t readings_to_end = 3;

}  // namespace

std::vector<bool> lasting_rise(const TestedLevel& level, const ChangeTestOptions& o) {
  if (!(level.sigma_db > 0) || level.baseline_readings < 1)
    throw std::invalid_argument{"lasting_rise: no scatter or no baseline"};
  const double error = median_error / std::sqrt(static_cast<double>(level.baseline_readings));
  const double reference = o.reference + o.baseline_errors * error;
  const double sigma = std::max(level.sigma_db, o.min_sigma_db);
  std::vector<bool> active(level.level_db.size(), false);
  double sum = 0;
  std::size_t low = 0;
  bool now = false;
  for (std::size_t i = level.first; i < level.level_db.size(); ++i) {
    const double z = (level.level_db[i] - level.baseline_db) / sigma;
    low = z <= reference ? low + 1 : 0;
    sum = std::max(0.0, sum + std::min(z, o.max_step) - reference);
    now = now || sum >= o.threshold;
    if (now && low >= readings_to_end) {
      sum = 0;
      now = false;
    }
    active[i] = now;
  }
  return active;
}

}  // namespace bearingdsp
