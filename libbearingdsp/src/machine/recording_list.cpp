#include <fmt/format.h>

#include <optional>
#include <string_view>
#include <utility>

#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "machine/recording_keys.hpp"
#include "machine/same_name.hpp"
#include "machine/toml_reader.hpp"

namespace bearingdsp {
namespace {

std::string stops_listed(const Route& route) {
  constexpr std::size_t most = 8;
  std::string text;
  for (std::size_t i = 0; i < route.points.size() && i < most; ++i)
    text += fmt::format("{}{}, {}", i == 0 ? "" : "; ", route.machine_of(route.points[i]).name,
                        route.point_of(route.points[i]).name);
  return route.points.size() > most ? text + " ..." : text;
}

/// The text that `pattern` takes out of the value of a key, as PatternMatch has it.
std::string taken(TomlReader& r, std::string_view key, std::string_view pattern,
                  std::string PatternMatch::*part, std::string_view example) {
  const std::string value = r.text(key);
  if (value.empty()) return {};
  auto match = match_pattern(pattern, value);
  if (match) return std::move((*match).*part);
  r.fail(key, fmt::format("'{}' is not a {}", value, key),
         fmt::format("write it like {}", example));
  return {};
}

/// "gap: ...": what a recorder noticed, as sidecar_text() writes it.
std::optional<Finding> recorder_finding(std::string_view text) {
  const auto colon = text.find(": ");
  if (colon == std::string_view::npos) return std::nullopt;
  Finding f;
  f.weight = Weight::caution;
  f.what = text.substr(colon + 2);
  f.kind = text.starts_with("gap:") ? FindingKind::gap : FindingKind::truncated;
  if (text.substr(0, colon) != token(f.kind)) return std::nullopt;
  if (f.kind == FindingKind::gap) {
    f.consequence = "the phase jumps there: lines become wider, and the edge looks like an impact";
    f.advice = "close other programs, and record again";
  } else {
    f.weight = Weight::note;
    f.consequence = "the existing samples were used";
  }
  return f;
}

ListedRecording read_entry(TomlReader& r, const Route& route) {
  ListedRecording entry;
  entry.where = r.place();
  entry.file = r.required_text("file");
  const RecordingNotes notes = read_recording_keys(r);
  if (notes.machine.empty()) (void)r.required_text("machine");
  if (!notes.sensor.empty() && find_sensor(route.sensors, notes.sensor) == nullptr)
    r.fail("sensor", fmt::format("'{}' is not a sensor of the plant", notes.sensor),
           "correct the name, or add it with: bearingdsp sensor add");
  if (const auto stop = find_stop(route, notes.machine, notes.point))
    entry.match.route_point = *stop;
  else if (!notes.machine.empty())
    r.fail(notes.point.empty() ? "machine" : "point",
           fmt::format("'{}{}{}' does not match exactly one stop of the route", notes.machine,
                       notes.point.empty() ? "" : ", ", notes.point),
           "it has: " + stops_listed(route));
  entry.match.found = notes.taken;
  entry.match.speed = notes.speed;
  entry.match.load_percent = notes.load_percent;
  entry.match.sensor = notes.sensor;
  r.finish();
  return entry;
}

}  // namespace

RecordingNotes read_recording_keys(TomlReader& r) {
  RecordingNotes n;
  n.machine = r.text("machine");
  n.point = r.text("point");
  n.sensor = r.text("sensor");
  n.taken.date = taken(r, "date", "{date}", &PatternMatch::date, "\"2026-03-02\"");
  n.taken.time = taken(r, "time", "{time}", &PatternMatch::time, "\"07-45\"");
  n.speed = r.quantity<Rpm>("speed_rpm", 1, 1e6);
  n.load_percent = r.number("load_percent", 0, 500);
  n.note = r.text("note");
  n.input = r.text("input");
  n.gain = r.text("gain");
  for (const std::string& text : r.texts("findings"))
    if (auto finding = recorder_finding(text))
      n.findings.push_back(std::move(*finding));
    else
      r.fail("findings", fmt::format("'{}' is not a finding of a recorder", text),
             "write \"gap: ...\" or \"truncated: ...\"");
  return n;
}

Result<std::vector<RecordingMatch>> with_notes(const Route& route, const RecordingNotes& notes,
                                               std::vector<RecordingMatch> matches) {
  if (!notes.machine.empty()) {
    const auto stop = find_stop(route, notes.machine, notes.point);
    if (!stop)
      return Error{Errc::corrupt_file, notes.where,
                   fmt::format("'{}{}{}' does not match exactly one stop of the route",
                               notes.machine, notes.point.empty() ? "" : ", ", notes.point),
                   "it has: " + stops_listed(route)};
    const PatternMatch found = matches.empty() ? PatternMatch{} : matches.front().found;
    matches = {{*stop, found}};
  }
  if (!notes.sensor.empty() && find_sensor(route.sensors, notes.sensor) == nullptr)
    return Error{Errc::corrupt_file, notes.where,
                 fmt::format("'{}' is not a sensor of the plant", notes.sensor),
                 "correct the name, or add it with: bearingdsp sensor add"};
  for (RecordingMatch& m : matches) {
    if (!notes.taken.date.empty()) m.found = notes.taken;
    if (notes.speed) m.speed = notes.speed;
    if (notes.load_percent) m.load_percent = notes.load_percent;
    if (!notes.sensor.empty()) m.sensor = notes.sensor;
  }
  return matches;
}

Result<std::vector<ListedRecording>> parse_recording_list(const Route& route, std::string_view text,
                                                          std::string_view where) {
  const auto parsed = parse_toml(text, where);
  if (!parsed) return parsed.error();
  std::vector<Error> errors;
  std::vector<ListedRecording> entries;
  TomlReader top{*parsed, "a list of recordings", where, errors};
  for (const toml::table* t : top.tables("recording")) {
    TomlReader r{*t, "a recording", where, errors};
    entries.push_back(read_entry(r, route));
  }
  top.finish();
  if (!errors.empty()) return errors.front();
  return entries;
}

Result<std::vector<ListedRecording>> read_recording_list(const Route& route,
                                                         const std::string& path) {
  const auto text = read_text_file(path);
  if (!text) return text.error();
  return parse_recording_list(route, *text, path);
}

}  // namespace bearingdsp
