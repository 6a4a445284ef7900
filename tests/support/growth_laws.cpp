#include "support/growth_laws.hpp"

#include <algorithm>
#include <cmath>
#include <span>
#include <string>

#include "bearingdsp/dsp/statistics.hpp"

namespace test {
using namespace bearingdsp;

std::string_view token(Law law) noexcept {
  switch (law) {
    case Law::steady:
      return "none";
    case Law::exponential:
      return "constant rate";
    case Law::accelerating:
      return "accelerating";
    case Law::wandering:
      return "changing rate";
    case Law::standstill:
      return "stands still";
    case Law::pieces:
      return "in steps";
    case Law::amplitude:
      return "even in amplitude";
    case Law::turning:
      return "turns four times as fast";
    case Law::falling_back:
      return "falls back in between";
    case Law::slowing:
      return "slows to a quarter";
    case Law::doubling:
      return "rate doubles each 4 dB";
  }
  return "none";
}

Growth::Growth(Law law, Random& random) : law_{law} {
  rate_ = 0.03 * std::exp(1.2 * random.uniform());
  life_ = 12 / rate_ * (1 + random.uniform());
  stop_ = 4 + 10 * random.uniform();
  turn_ = (2 + 6 * random.uniform()) / rate_;
  double rate = rate_;
  double sum = 0;
  for (double& v : walk_) {
    v = sum;
    rate = rate_ * std::exp(0.6 * random.normal());
    sum += rate * period_;
  }
  sum = 0;
  for (auto& [day, level] : steps_) {
    day = sum -= std::log(1 - random.uniform()) * 2 / rate_;
    level = 0.5 - std::log(1 - random.uniform()) * 1.5;
  }
}

double Growth::at(double day) const {
  if (day <= 0) return 0;
  const double even = rate_ * day;
  switch (law_) {
    case Law::exponential:
      return even;
    case Law::accelerating:
      return day < life_ ? std::min(60.0, -12 * std::log10(1 - day / life_)) : 60;
    case Law::wandering: {
      const auto i = std::min<std::size_t>(static_cast<std::size_t>(day / period_), 198);
      const double part = day / period_ - static_cast<double>(i);
      return walk_.at(i) + part * (walk_.at(i + 1) - walk_.at(i));
    }
    case Law::standstill:
      return std::min(even, stop_);
    case Law::pieces: {
      double level = 0;
      for (const auto& [at, step] : steps_) level += at <= day ? step : 0;
      return level;
    }
    case Law::amplitude:
      return 20 * std::log10(1 + even / 3);
    case Law::turning:
      return day < turn_ ? even : rate_ * (turn_ + 4 * (day - turn_));
    case Law::falling_back: {
      const double hill = std::max(0.0, 8 - rate_ * std::abs(day - 8 / rate_));
      return hill + (day > 16 / rate_ ? rate_ * (day - 16 / rate_) : 0);
    }
    case Law::slowing:
      return day < turn_ ? even : rate_ * (turn_ + 0.25 * (day - turn_));
    case Law::doubling: {
      // dL/dt = rate 2^(L/4)
      const double u = 1 - even * std::log(2.0) / 4;
      return u > 0 ? std::min(60.0, -4 * std::log2(u)) : 60;
    }
    case Law::steady:
      break;
  }
  return 0;
}

Series visits(const Growth& growth, double begin, std::size_t n, double sigma_db, Random& random) {
  Series s;
  double day = 0;
  double slow = 0;
  for (std::size_t i = 0; i < n; ++i) {
    slow = 0.8 * slow + 0.6 * 0.5 * sigma_db * random.normal();
    const double wild = random.uniform() < 0.03 ? 6 * random.normal() : 0;
    s.day.push_back(day);
    s.db.push_back(growth.at(day - begin) + slow + sigma_db * random.normal() + wild);
    day += 14 * (0.7 + 0.6 * random.uniform());
  }
  return s;
}

void Coverage::count(const Forecast& f, std::optional<double> actual, double gap) {
  ++asked;
  if (!f.reach) {
    says_nothing += f.why.find("would say nothing") != std::string::npos ? 1U : 0U;
    return;
  }
  ++given;
  const ReachRange& r = *f.reach;
  if (r.latest_days) {
    latest_gaps.push_back(*r.latest_days / gap);
  } else {
    ++open;
    earliest_gaps.push_back(r.earliest_days / gap);
  }
  const double reached = actual.value_or(INFINITY);
  if (reached < r.earliest_days)
    ++too_early;
  else if (r.latest_days && reached > *r.latest_days)
    ++too_late;
  else
    ++inside;
  if (!actual || !(*actual > 0)) return;
  likely_error.push_back(r.likely_days / *actual);
  earliest_error.push_back(r.earliest_days / *actual);
}

Coverage simulated_coverage(Law law, double sigma_db, std::size_t series, std::uint64_t stream) {
  Coverage coverage;
  const ForecastOptions options;
  for (std::size_t k = 0; k < series; ++k) {
    Random random{k, stream};
    const Growth growth{law, random};
    constexpr double begin = 200;
    const Series s = visits(growth, begin, 120, sigma_db, random);
    std::optional<double> reached;
    for (double day = begin; day < 6000 && !reached; day += 0.5)
      if (growth.at(day - begin) >= options.limit_db) reached = day;
    const double normal = median({s.db.data(), 8});
    std::vector<double> above;
    for (const double v : s.db) above.push_back(v - normal);
    for (std::size_t n = 10; n < s.day.size(); ++n) {
      const double now = s.day[n - 1];
      if (reached && now >= *reached) break;
      coverage.count(forecast(std::span{s.day}.first(n), std::span<const double>{above}.first(n),
                              sigma_db, options),
                     reached ? std::optional{*reached - now} : std::nullopt, 14);
    }
  }
  return coverage;
}

}  // namespace test
