#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "bearingdsp/report/model.hpp"
#include "sections.hpp"

namespace bearingdsp {

ChannelLevels channel_levels(const Channel& channel) {
  ChannelLevels levels;
  if (channel.samples.empty()) return levels;
  const double n = static_cast<double>(channel.samples.size());
  double sum = 0;
  for (const double x : channel.samples) sum += x;
  levels.mean = sum / n;
  double square = 0;
  for (const double x : channel.samples) {
    const double ac = x - levels.mean;
    square += ac * ac;
    levels.peak = std::max(levels.peak, std::abs(ac));
  }
  levels.rms = std::sqrt(square / n);
  levels.crest_factor = levels.rms > 0 ? levels.peak / levels.rms : 0.0;
  return levels;
}

Report contents_report(const Capture& capture, const Findings& findings) {
  Report r;
  r.title = "CONTENTS";
  r.source = capture.source;
  ReportSection s;
  s.id = "contents";
  s.figures.push_back({"Format", capture.format});
  s.figures.push_back(
      {"Length", fmt::format("{} s, {} samples a channel",
                             significant(capture.duration().value(), 4), capture.size())});
  s.figures.push_back(
      {"Rate", fmt::format("{} samples/s; shows up to {} Hz", significant(capture.rate.value(), 6),
                           significant(capture.rate.value() / 2, 6))});
  if (capture.start_utc) s.figures.push_back({"Start (UTC)", *capture.start_utc});
  if (capture.noted_speed)
    s.figures.push_back(
        {"Speed noted", fmt::format("{} rpm", significant(capture.noted_speed->value(), 5))});
  ReportTable t;
  t.columns = {{"Channel", "", false}, {"Unit", "", false}, {"Mean", "", true},
               {"Level", "rms", true}, {"Peak", "", true},  {"Crest", "", true}};
  for (const Channel& c : capture.channels) {
    const ChannelLevels l = channel_levels(c);
    t.rows.push_back({c.name, shown_unit(c.unit), significant(l.mean), significant(l.rms),
                      significant(l.peak), significant(l.crest_factor)});
  }
  s.table = std::move(t);
  s.notes.emplace_back("Level and peak are without the mean, in the unit of the channel.");
  r.sections.push_back(std::move(s));
  if (!findings.empty()) r.sections.push_back(finding_section(findings));
  const bool blocked = std::any_of(findings.begin(), findings.end(),
                                   [](const Finding& f) { return f.weight == Weight::blocking; });
  const bool caution = std::any_of(findings.begin(), findings.end(),
                                   [](const Finding& f) { return f.weight == Weight::caution; });
  r.tone = blocked ? Tone::bad : caution ? Tone::doubt : Tone::good;
  r.headline = blocked   ? "Readable, but some of it cannot support a verdict."
               : caution ? "Usable, with reservations."
                         : "Usable.";
  return r;
}

}  // namespace bearingdsp
