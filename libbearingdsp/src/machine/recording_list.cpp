#include <fmt/format.h>

#include <utility>

#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "machine/same_name.hpp"
#include "machine/toml_reader.hpp"

namespace bearingdsp {
namespace {

/// The stop of that machine and point; of the machine alone where it has one stop.
std::optional<std::size_t> stop_of(const Route& route, const std::string& machine,
                                   const std::string& point) {
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < route.points.size(); ++i) {
    const RoutePoint& p = route.points[i];
    if (!same_name(route.machine_of(p).name, machine)) continue;
    if (!point.empty() && !same_name(route.point_of(p).name, point)) continue;
    if (found) return std::nullopt;
    found = i;
  }
  return found;
}

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

ListedRecording read_entry(TomlReader& r, const Route& route) {
  ListedRecording entry;
  entry.where = r.place();
  entry.file = r.required_text("file");
  const std::string machine = r.required_text("machine");
  const std::string point = r.text("point");
  if (const auto stop = stop_of(route, machine, point))
    entry.match.route_point = *stop;
  else if (!machine.empty())
    r.fail(point.empty() ? "machine" : "point",
           fmt::format("'{}{}{}' does not match exactly one stop of the route", machine,
                       point.empty() ? "" : ", ", point),
           "it has: " + stops_listed(route));
  entry.match.found.date = taken(r, "date", "{date}", &PatternMatch::date, "\"2026-03-02\"");
  entry.match.found.time = taken(r, "time", "{time}", &PatternMatch::time, "\"07-45\"");
  r.finish();
  return entry;
}

}  // namespace

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
