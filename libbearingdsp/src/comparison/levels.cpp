#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/history/growth.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp::comparing {
namespace {

// So many recordings' worth of the usual repeatability goes into an observed scatter.
constexpr double prior_recordings = 4;
// Neighbouring pieces of a recording are alike: so many count as one.
constexpr double pieces_alike = 4;
// Forces of unbalance and of impacts grow with the square of the speed.
constexpr double db_per_decade_of_speed = 40;

double in_db(double level) { return 20 * std::log10(level); }

using LevelOf = std::function<std::optional<double>(const ComparedRecording&)>;

// One side in twenty whose readings only scatter looks like a trend: that costs little, a trend
// taken for scatter hides what the work did.
constexpr DriftLimits side_drift{0.05, 3, 3};

/// dB of one level over a side, and how much it scatters within its recordings.
struct Sample {
  std::vector<double> db;
  std::vector<double> day;    ///< of each, since the first; all 0 where no time is known
  double pieces_variance{0};  ///< of the mean of the pieces, if there is one recording
  bool pieces{false};
  double drift_db{0};

  // What the side had come to: the mean, or the end of the line that it moved along.
  double level_db{0};
  double squares{0};  ///< sum, about the mean or the line
  double freedom{0};  ///< degrees of it
  double share{0};    ///< variance of level_db over that of one recording
};

void add(std::vector<double>& db, const std::optional<double>& level) {
  if (level && *level > 0) db.push_back(in_db(*level));
}

void settle(Sample& s) {
  const auto n = static_cast<double>(s.db.size());
  if (s.db.empty()) return;
  s.level_db = mean(s.db);
  s.squares = variance(s.db) * n;
  s.freedom = n - 1;
  s.share = 1 / n;
  const auto drift = drift_of(s.day, s.db, side_drift);
  if (!drift) return;
  const RobustLine& line = drift->line;
  const double last = s.day.back() - mean(s.day);
  s.drift_db = drift->gain;
  s.level_db = line.intercept + line.slope * s.day.back();
  s.squares = 0;
  for (std::size_t i = 0; i < s.db.size(); ++i)
    s.squares += std::pow(s.db[i] - line.intercept - line.slope * s.day[i], 2);
  s.freedom = n - 2;
  s.share = 1 / n + last * last / (variance(s.day) * n);
}

Sample sample_of(const Side& side, const LevelOf& level,
                 const std::optional<Indicator>& indicator) {
  Sample s;
  for (const ComparedRecording& r : side) {
    add(s.db, level(r));
    if (s.day.size() < s.db.size())
      s.day.push_back(days_between(side.front().reading.taken, r.reading.taken));
  }
  settle(s);
  if (side.size() != 1 || !indicator) return s;
  std::vector<double> pieces;
  for (const Levels& piece : side.front().pieces) add(pieces, piece.at(*indicator));
  if (pieces.size() < 2) return s;
  const auto n = static_cast<double>(pieces.size());
  s.pieces_variance = variance(pieces) * n / (n - 1) / std::max(1.0, n / pieces_alike);
  s.pieces = true;
  return s;
}

/// Variance of the difference of the two levels.
double variance_of_change(const Sample& b, const Sample& a, const CompareOptions& o) {
  const double usual = o.repeatability_db * o.repeatability_db;
  if (b.db.size() + a.db.size() < 3) return 2 * usual + b.pieces_variance + a.pieces_variance;
  const double pooled = (prior_recordings * usual + b.squares + a.squares) /
                        (prior_recordings + b.freedom + a.freedom);
  return pooled * (b.share + a.share) + o.refitting_db * o.refitting_db;
}

double speed_db(const BeforeAfter& r) {
  if (!r.before.speed || !r.after.speed) return 0;
  return db_per_decade_of_speed * std::abs(std::log10(*r.after.speed / *r.before.speed));
}

std::optional<SampleUnit> unit_of(const std::optional<Indicator>& indicator, SampleUnit samples) {
  if (!indicator) return samples == SampleUnit::acceleration ? SampleUnit::velocity : samples;
  if (!is_level(*indicator)) return std::nullopt;
  return *indicator == Indicator::velocity ? SampleUnit::velocity : samples;
}

/// Levels of the high band mean the same only where the band is the same.
bool needs_band(const std::optional<Indicator>& indicator) {
  return indicator == Indicator::high_band || indicator == Indicator::envelope ||
         indicator == Indicator::floor;
}

bool one_band(const Side& before, const Side& after) {
  const Band first = before.front().reading.levels.high_band;
  const auto same = [&](const ComparedRecording& r) {
    const Band& band = r.reading.levels.high_band;
    return std::abs(band.high / first.high - 1) < 0.02;
  };
  return std::all_of(before.begin(), before.end(), same) &&
         std::all_of(after.begin(), after.end(), same);
}

void compare_one(BeforeAfter& r, const Side& before, const Side& after, const CompareOptions& o,
                 LevelChange change, const LevelOf& level) {
  const Sample b = sample_of(before, level, change.indicator);
  const Sample a = sample_of(after, level, change.indicator);
  if (b.db.empty() || a.db.empty()) return;
  change.unit = unit_of(change.indicator, before.front().reading.levels.unit);
  change.before = std::pow(10, b.level_db / 20);
  change.after = std::pow(10, a.level_db / 20);
  change.change_db = a.level_db - b.level_db;
  change.before_drift_db = b.drift_db;
  change.after_drift_db = a.drift_db;
  const double by_speed = change.unit ? speed_db(r) : 0;
  change.scatter_db = std::sqrt(variance_of_change(b, a, o) + by_speed * by_speed);
  change.chance_db = std::max(o.min_db, o.sigmas * change.scatter_db);
  change.beyond = std::abs(change.change_db) > change.chance_db;
  change.alone_db = std::max(o.min_db, o.sigmas * std::hypot(change.scatter_db, o.rebuilding_db));
  if (b.db.size() + a.db.size() > 2)
    r.scatter = ScatterSource::recordings;
  else if (b.pieces && a.pieces && r.scatter == ScatterSource::assumed)
    r.scatter = ScatterSource::pieces;
  r.levels.push_back(std::move(change));
}

}  // namespace

void compare_levels(BeforeAfter& r, const Side& before, const Side& after,
                    const CompareOptions& o) {
  const bool band = one_band(before, after);
  const bool one_unit = std::none_of(r.differences.begin(), r.differences.end(),
                                     [](const Difference& d) { return d.bar == Bar::levels; });
  for (std::size_t i = 0; i < indicator_count; ++i) {
    const auto indicator = static_cast<Indicator>(i);
    if (needs_band(indicator) && !band) continue;
    if (is_level(indicator) && !one_unit) continue;
    LevelChange change;
    change.name = std::string{words(indicator)};
    change.indicator = indicator;
    compare_one(r, before, after, o, std::move(change),
                [=](const ComparedRecording& c) { return c.reading.levels.at(indicator); });
  }
  for (std::size_t k = 0; one_unit && k < shaft_orders; ++k) {
    LevelChange change;
    change.name = std::to_string(k + 1) + "x";
    compare_one(r, before, after, o, std::move(change),
                [=](const ComparedRecording& c) { return c.reading.levels.shaft.at(k); });
  }
  for (LevelChange& c : r.levels)
    c.counts = c.indicator == Indicator::envelope || c.indicator == Indicator::high_band ||
               c.indicator == Indicator::floor || c.indicator == whole_machine(r);
}

const LevelChange* find_level(const BeforeAfter& r, Indicator indicator) noexcept {
  const auto at = std::find_if(r.levels.begin(), r.levels.end(),
                               [&](const LevelChange& c) { return c.indicator == indicator; });
  return at == r.levels.end() ? nullptr : &*at;
}

bool rose(const BeforeAfter& r, Indicator indicator) noexcept {
  const LevelChange* c = find_level(r, indicator);
  return c != nullptr && c->rose();
}

bool fell(const BeforeAfter& r, Indicator indicator) noexcept {
  const LevelChange* c = find_level(r, indicator);
  return c != nullptr && c->fell();
}

bool rose_alone(const BeforeAfter& r, Indicator indicator) noexcept {
  const LevelChange* c = find_level(r, indicator);
  return c != nullptr && c->rose_alone();
}

bool impacts_rose_alone(const BeforeAfter& r) noexcept {
  return impacts_rose(r) &&
         (rose_alone(r, Indicator::envelope) || rose_alone(r, Indicator::high_band));
}

bool impacts_rose(const BeforeAfter& r) noexcept {
  const bool up = rose(r, Indicator::envelope) || rose(r, Indicator::high_band);
  return up && !fell(r, Indicator::envelope) && !fell(r, Indicator::high_band);
}

bool impacts_fell(const BeforeAfter& r) noexcept {
  const bool down = fell(r, Indicator::envelope) || fell(r, Indicator::high_band);
  return down && !rose(r, Indicator::envelope) && !rose(r, Indicator::high_band);
}

}  // namespace bearingdsp::comparing
