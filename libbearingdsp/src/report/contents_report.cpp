#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/report/recording_levels.hpp"
#include "sections.hpp"

namespace bearingdsp {

RecordingLevels recording_levels(const Capture& capture) {
  RecordingLevels r{capture.format,    capture.rate,        capture.size(), {},
                    capture.start_utc, capture.noted_speed, capture.trail};
  for (const Channel& c : capture.channels)
    r.channels.push_back({c.name, c.unit, c.full_scale, signal_levels(c.samples)});
  return r;
}

RecordingLevels recording_levels(const RecordingScan& scan) {
  RecordingLevels r{scan.format,    scan.rate,        scan.samples, {},
                    scan.start_utc, scan.noted_speed, scan.trail};
  for (const ChannelScan& c : scan.channels)
    r.channels.push_back({c.name, c.unit, c.full_scale, c.moments.levels()});
  return r;
}

namespace {

ReportSection listing(const Contents& contents) {
  ReportSection s;
  s.id = "listing";
  s.title = "Contents of the file";
  ReportTable t;
  t.columns = {{"No.", "", true},  {"Name", "", false}, {"Type", "", false},
               {"Size", "", true}, {"Unit", "", false}, {"Use", "", false}};
  for (const ContentItem& item : contents.items) {
    std::string size;
    for (const auto d : item.dims) add_part(size, std::to_string(d), " x ");
    if (item.value) size = "= " + significant(*item.value, 6);
    t.rows.push_back({fmt::format("{}", item.number), item.name, item.type, size, item.unit,
                      item.is_time     ? "time"
                      : item.is_signal ? "signal"
                                       : ""});
  }
  s.table = std::move(t);
  s.notes = contents.notes;
  return s;
}

ReportSection samples(const RecordingLevels& capture) {
  ReportSection s;
  s.id = "contents";
  s.title = "Read as";
  s.figures.push_back(
      {"Length",
       fmt::format("{} s, {} samples per channel",
                   significant(static_cast<double>(capture.samples) / capture.rate.value(), 4),
                   capture.samples)});
  s.figures.push_back({"Rate", fmt::format("{} samples/s: shows frequencies below {} Hz",
                                           significant(capture.rate.value(), 6),
                                           significant(capture.rate.value() / 2, 5))});
  if (capture.start_utc) s.figures.push_back({"Start (UTC)", *capture.start_utc});
  if (capture.noted_speed)
    s.figures.push_back(
        {"Speed in the file", fmt::format("{} rpm", significant(capture.noted_speed->value(), 5))});
  ReportTable t;
  t.columns = {{"Channel", "", false}, {"Unit", "", false}, {"Mean", "", true},
               {"Level", "rms", true}, {"Peak", "", true},  {"Crest", "", true}};
  for (const RecordingLevels::Row& c : capture.channels) {
    const SignalLevels& l = c.levels;
    const ReadingUnit unit = reading_unit(c.unit);
    const auto level = [&](double si) { return significant(si * unit.per_si); };
    t.rows.push_back({c.name, unit.name, level(l.mean), level(l.rms), level(l.peak),
                      significant(l.crest_factor)});
  }
  s.table = std::move(t);
  s.notes.emplace_back("Level and peak are without the mean, in the unit of the channel.");
  return s;
}

Report report_of(const Contents& contents, const RecordingLevels* capture,
                 const Findings& findings) {
  Report r;
  r.source = contents.source;
  r.title = capture != nullptr ? capture->format : contents.format;
  const auto any = [&](Weight weight) {
    return std::any_of(findings.begin(), findings.end(),
                       [weight](const Finding& f) { return f.weight == weight; });
  };
  if (capture == nullptr) {
    r.tone = Tone::doubt;
    r.headline = "The file format is known, but the signals to read must be selected.";
  } else if (any(Weight::blocking)) {
    r.tone = Tone::bad;
    r.headline = "Readable, but part of it cannot support a verdict.";
  } else if (any(Weight::caution)) {
    r.tone = Tone::doubt;
    r.headline = "Usable, with limitations.";
  } else {
    r.tone = Tone::good;
    r.headline = "Usable.";
  }
  if (capture != nullptr) r.sections.push_back(samples(*capture));
  if (!findings.empty()) r.sections.push_back(finding_section(findings));
  if (!contents.items.empty()) {
    r.sections.push_back(listing(contents));
    // One signal a channel is what the table above shows already.
    r.sections.back().detail =
        capture != nullptr && contents.items.size() == capture->channels.size();
  }
  return r;
}

}  // namespace

Report contents_report(const Contents& contents, const Capture* capture, const Findings& findings) {
  if (capture == nullptr) return report_of(contents, nullptr, findings);
  return contents_report(contents, recording_levels(*capture), findings);
}

Report contents_report(const Contents& contents, const RecordingLevels& recording,
                       const Findings& findings) {
  return report_of(contents, &recording, findings);
}

}  // namespace bearingdsp
