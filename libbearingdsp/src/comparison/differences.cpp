#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "comparison/parts.hpp"

namespace bearingdsp::comparing {
namespace {

constexpr double same_rate = 0.01;
constexpr double same_range = 0.1;
constexpr double same_reach = 0.8;

using Differences = std::vector<Difference>;

void speed(Differences& out, const Side& before, const Side& after, const CompareOptions& o) {
  const SideSummary b = summary_of(before);
  const SideSummary a = summary_of(after);
  if (!b.speed || !a.speed) {
    out.push_back({DifferenceKind::speed, Bar::noted,
                   fmt::format("The speed {} could not be found, so that it is not known to be "
                               "the same.",
                               b.speed   ? "after"
                               : a.speed ? "before"
                                         : "of neither side")});
    return;
  }
  const double change = *a.speed / *b.speed - 1;
  if (std::abs(change) <= o.speed_tolerance) return;
  const std::string both = fmt::format("{:.0f} rpm before, {:.0f} rpm after ({:+.1f} %)",
                                       b.speed->value(), a.speed->value(), 100 * change);
  if (std::abs(change) > o.speed_correctable)
    out.push_back({DifferenceKind::speed, Bar::blocks,
                   both + ": levels at speeds so far apart cannot be compared."});
  else
    out.push_back({DifferenceKind::speed, Bar::allowed,
                   both + ": forces grow with the square of the speed, so that a change of level "
                          "has to be larger to count."});
}

std::optional<double> mean_load(const Side& side) {
  double sum = 0;
  for (const ComparedRecording& r : side) {
    if (!r.facts.load_percent) return std::nullopt;
    sum += *r.facts.load_percent / static_cast<double>(side.size());
  }
  return sum;
}

void load(Differences& out, const Side& before, const Side& after, const CompareOptions& o) {
  const auto b = mean_load(before);
  const auto a = mean_load(after);
  if (!b || !a) {
    if (b.has_value() != a.has_value())
      out.push_back({DifferenceKind::load, Bar::noted,
                     fmt::format("The load is known only of the side {}: whether it was the same "
                                 "is for you to say.",
                                 b ? "before" : "after")});
    return;
  }
  if (std::abs(*a - *b) > o.load_tolerance)
    out.push_back({DifferenceKind::load, Bar::blocks,
                   fmt::format("{:.0f} % of the rated load before, {:.0f} % after: a load so "
                               "different changes the levels by itself.",
                               *b, *a)});
}

std::string in_unit(SampleUnit unit) {
  return unit == SampleUnit::uncalibrated ? "without a unit" : fmt::format("in {}", symbol(unit));
}

void unit(Differences& out, const Side& before, const Side& after) {
  const SampleUnit b = before.front().reading.levels.unit;
  for (const Side* side : {&before, &after})
    for (const ComparedRecording& r : *side)
      if (r.reading.levels.unit != b) {
        out.push_back({DifferenceKind::unit, Bar::levels,
                       fmt::format("The samples are {} in one recording and {} in another: levels "
                                   "cannot be compared, the lines of the bearing can.",
                                   in_unit(b), in_unit(r.reading.levels.unit))});
        return;
      }
  if (b == SampleUnit::uncalibrated)
    out.push_back({DifferenceKind::unit, Bar::levels,
                   "The samples have no unit: whether a level changed, or only the scale of the "
                   "file, is not known. The lines of the bearing can be compared."});
  if (b == SampleUnit::volt)
    out.push_back({DifferenceKind::unit, Bar::noted,
                   "The samples are in volts: changes in dB hold only if sensor and gain were the "
                   "same."});
}

/// One recording on both sides says nothing about the work between them.
void recording(Differences& out, const Side& before, const Side& after) {
  const auto say = [&](const std::string& b, const std::string& a) {
    out.push_back({DifferenceKind::recording, Bar::blocks,
                   fmt::format("{} before and {} after hold the same samples: give a recording "
                               "that was made after the work.",
                               b, a)});
  };
  for (const ComparedRecording& b : before) {
    if (!b.same_as.empty()) return say(b.reading.path, b.same_as);
    for (const ComparedRecording& a : after)
      if (!b.reading.hash.empty() && b.reading.hash == a.reading.hash)
        return say(b.reading.path, a.reading.path);
  }
}

void words(Differences& out, DifferenceKind kind, const std::string& b, const std::string& a,
           Bar bar, std::string_view meaning) {
  if (b.empty() || a.empty() || b == a) return;
  out.push_back({kind, bar, fmt::format("{} before, {} after: {}", b, a, meaning)});
}

/// Whether the recorder's own steps or noise are a good part of what it recorded.
bool at_the_recorders_noise(const Side& side) {
  return std::any_of(side.begin(), side.end(), [](const ComparedRecording& r) {
    return std::any_of(r.reading.findings.begin(), r.reading.findings.end(), [](const Finding& f) {
      return f.kind == FindingKind::coarse_resolution || f.kind == FindingKind::below_noise;
    });
  });
}

void range(Differences& out, const Side& before, const Side& after) {
  const ComparedRecording& b = before.front();
  const ComparedRecording& a = after.front();
  if (!b.range || !a.range || std::abs(*a.range / *b.range - 1) <= same_range) return;
  const bool wide_before = *b.range > *a.range;
  const std::string both = fmt::format(
      "The recorder's range was {:.3g} before and {:.3g} after (in the samples' unit): ", *b.range,
      *a.range);
  if (at_the_recorders_noise(wide_before ? before : after))
    out.push_back({DifferenceKind::range, Bar::blocks,
                   both + fmt::format("{} its own steps or noise are a good part of what was "
                                      "recorded, and the other side would be compared with them.",
                                      wide_before ? "before," : "after,")});
  else
    out.push_back({DifferenceKind::range, Bar::noted,
                   both + "the noise of the wider one may hide what is small."});
}

/// Lowest of a side.
Hz lowest(const Side& side, Hz ComparedRecording::*value) {
  Hz low = side.front().*value;
  for (const ComparedRecording& r : side) low = std::min(low, r.*value);
  return low;
}

/// Whether the levels above 1 kHz were measured in one band on both sides.
bool band_in_common(const Side& before, const Side& after) {
  const Band& b = before.front().reading.levels.high_band;
  const Band& a = after.front().reading.levels.high_band;
  return b.low < b.high && std::abs(a.high / b.high - 1) < 0.02;
}

void rate(Differences& out, const Side& before, const Side& after) {
  const Hz b = lowest(before, &ComparedRecording::recorded_rate);
  const Hz a = lowest(after, &ComparedRecording::recorded_rate);
  const Hz b_reach = lowest(before, &ComparedRecording::reach);
  const Hz a_reach = lowest(after, &ComparedRecording::reach);
  const bool rates = std::abs(a / b - 1) > same_rate;
  const bool reaches = std::min(a_reach, b_reach) < same_reach * std::max(a_reach, b_reach);
  if (!rates && !reaches) return;
  const DifferenceKind kind = rates ? DifferenceKind::rate : DifferenceKind::bandwidth;
  const std::string both =
      rates ? fmt::format("{:.0f} samples/s before, {:.0f} after", b.value(), a.value())
            : fmt::format(
                  "The recordings hold frequencies up to {:.0f} Hz before and up to "
                  "{:.0f} Hz after",
                  b_reach.value(), a_reach.value());
  if (band_in_common(before, after))
    out.push_back({kind, Bar::allowed,
                   fmt::format("{}: both sides were analysed in the band that they share, up to "
                               "{:.0f} Hz.",
                               both, before.front().reading.levels.high_band.high.value())});
  else
    out.push_back({kind, Bar::blocks,
                   both + ": they share too little of the range in which bearings ring (above 1 "
                          "kHz)."});
}

}  // namespace

std::vector<Difference> differences_of(const Side& before, const Side& after,
                                       const CompareOptions& options) {
  Differences out;
  recording(out, before, after);
  speed(out, before, after, options);
  load(out, before, after, options);
  unit(out, before, after);
  const ComparedRecording& b = before.front();
  const ComparedRecording& a = after.front();
  words(out, DifferenceKind::sensor, b.facts.sensor, a.facts.sensor, Bar::blocks,
        "another sensor reads other levels above a few kilohertz.");
  words(out, DifferenceKind::fixing, b.facts.fixing, a.facts.fixing, Bar::blocks,
        "how the sensor is fixed decides what it passes above 1 kHz.");
  range(out, before, after);
  rate(out, before, after);
  std::stable_sort(out.begin(), out.end(),
                   [](const Difference& x, const Difference& y) { return x.bar > y.bar; });
  return out;
}

std::vector<DifferenceKind> taken_alike(const Side& before, const Side& after) {
  std::vector<DifferenceKind> out;
  if (!mean_load(before) || !mean_load(after)) out.push_back(DifferenceKind::load);
  const RecordingFacts& b = before.front().facts;
  const RecordingFacts& a = after.front().facts;
  if (b.sensor.empty() || a.sensor.empty()) out.push_back(DifferenceKind::sensor);
  if (b.fixing.empty() || a.fixing.empty()) out.push_back(DifferenceKind::fixing);
  return out;
}

bool levels_compared(const BeforeAfter& r) noexcept {
  return std::any_of(r.levels.begin(), r.levels.end(),
                     [](const LevelChange& c) { return c.counts; });
}

bool blocked(const BeforeAfter& r) noexcept {
  return std::any_of(r.differences.begin(), r.differences.end(),
                     [](const Difference& d) { return d.bar == Bar::blocks; });
}

}  // namespace bearingdsp::comparing
