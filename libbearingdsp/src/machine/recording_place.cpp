#include "bearingdsp/machine/recording_place.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "bearingdsp/machine/toml_text.hpp"
#include "machine/recording_keys.hpp"
#include "machine/same_name.hpp"

namespace bearingdsp {
namespace {

namespace fs = std::filesystem;

struct Span {
  std::size_t begin{0}, end{0};  ///< bytes
};

/// The words of a text without its folders: "fan_DE.wav" has fan, DE and wav.
std::vector<Span> words_of(std::string_view text) {
  std::vector<Span> words;
  for (std::size_t i = 0; i < text.size();) {
    if (!in_word(text[i])) {
      ++i;
      continue;
    }
    const std::size_t begin = i;
    while (i < text.size() && in_word(text[i])) ++i;
    words.push_back({begin, i});
  }
  return words;
}

/// Where the name is in the text, from the beginning of a word to the end of one; nothing across a
/// '/'.
std::optional<Span> find_name(std::string_view text, std::string_view name) {
  const auto words = words_of(text);
  for (std::size_t a = 0; a < words.size(); ++a)
    for (std::size_t b = a; b < words.size(); ++b) {
      const std::string_view part = text.substr(words[a].begin, words[b].end - words[a].begin);
      if (part.find('/') != std::string_view::npos) break;
      if (same_name(part, name)) return Span{words[a].begin, words[b].end};
    }
  return std::nullopt;
}

/// Index of the longest name that is in the text; nothing if two that do not contain each other
/// are.
template <class T>
std::optional<std::pair<std::size_t, Span>> longest_name(const std::vector<T>& items,
                                                         std::string_view text) {
  std::optional<std::pair<std::size_t, Span>> best;
  std::vector<std::pair<std::size_t, Span>> found;
  for (std::size_t i = 0; i < items.size(); ++i) {
    const auto at = find_name(text, items[i].name);
    if (!at) continue;
    found.emplace_back(i, *at);
    if (!best || at->end - at->begin > best->second.end - best->second.begin) best = found.back();
  }
  for (const auto& [i, at] : found)
    if (at.begin < best->second.begin || at.end > best->second.end) return std::nullopt;
  return best;
}

/// The only point at the end, and in the direction, that words of the text name.
std::optional<std::size_t> point_by_end(const std::vector<MeasuringPoint>& points,
                                        std::string_view text) {
  std::optional<std::size_t> only;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool end = find_name(text, token(points[i].end)).has_value();
    const bool direction = points[i].direction == Direction::unknown ||
                           find_name(text, token(points[i].direction)).has_value();
    if (!end || !direction) continue;
    if (only) return std::nullopt;
    only = i;
  }
  return only;
}

/// The path below the folder, or nothing if it is elsewhere.
std::optional<std::string> below(const std::string& folder, const std::string& path) {
  std::error_code code;
  const fs::path base =
      fs::weakly_canonical(fs::absolute(folder.empty() ? "." : folder, code), code);
  const fs::path full = fs::weakly_canonical(fs::absolute(path, code), code);
  if (code) return std::nullopt;
  const fs::path relative = full.lexically_relative(base);
  if (relative.empty() || *relative.begin() == "..") return std::nullopt;
  return relative.generic_string();
}

Error unknown_name(const RecordingNotes& notes, const Error& error) {
  return {Errc::corrupt_file, notes.where, error.message(), "correct the name in that file"};
}

/// What the sidecar says of machine and point.
Result<void> take_notes(RecordingPlace& place, const RecordingNotes& notes,
                        const std::vector<Machine>& machines) {
  place.speed = notes.speed;
  place.sensor = notes.sensor;
  place.findings = notes.findings;
  if (notes.machine.empty()) return {};
  auto machine = find_machine(machines, notes.machine);
  if (!machine) return unknown_name(notes, machine.error());
  place.origin = PlaceOrigin::sidecar;
  if (!notes.point.empty()) {
    auto point = find_point(*machine, notes.point);
    if (!point) return unknown_name(notes, point.error());
    place.point = std::move(*point);
  } else if (machine->points.size() == 1) {
    place.point = machine->points.front();
  }
  place.machine = std::move(*machine);
  return {};
}

void take_stop(RecordingPlace& place, const Route& route, std::size_t stop, PlaceOrigin origin) {
  const RoutePoint& p = route.points.at(stop);
  place.origin = origin;
  place.machine = route.machine_of(p);
  place.point = route.point_of(p);
  if (!place.speed) place.speed = p.speed;
}

/// The list beside the recording, then the patterns. A recording of several points is of none here.
Result<void> look_in_route(RecordingPlace& place, const Plant& plant,
                           const std::string& recording) {
  std::error_code code;
  if (!fs::exists(plant.route, code)) return {};
  const auto route = plant_route(plant);
  if (!route) return route.error();
  const fs::path path{recording};
  const fs::path list = path.parent_path() / recording_list_name;
  if (fs::exists(list, code)) {
    const auto listed = read_recording_list(*route, list.string());
    if (!listed) return listed.error();
    for (const ListedRecording& e : *listed)
      if (fs::path{e.file}.lexically_normal() == path.filename()) {
        take_stop(place, *route, e.match.route_point, PlaceOrigin::list);
        return {};
      }
  }
  const auto relative = below(plant.recordings, recording);
  if (!relative) return {};
  const auto matches = match_recording(*route, *relative);
  if (matches.size() == 1)
    take_stop(place, *route, matches.front().route_point,
              route->points[matches.front().route_point].files.empty() ? PlaceOrigin::names
                                                                       : PlaceOrigin::pattern);
  return {};
}

void look_at_name(RecordingPlace& place, const std::vector<Machine>& machines, const Plant& plant,
                  const std::string& recording) {
  auto relative = below(plant.recordings, recording);
  if (!relative) relative = below(plant.folder, recording);
  if (!relative) relative = fs::path{recording}.filename().string();
  const auto found = find_names(machines, *relative);
  if (!found) return;
  place.origin = PlaceOrigin::names;
  place.machine = machines[found->machine];
  if (found->point) place.point = place.machine->points[*found->point];
}

}  // namespace

std::string sidecar_of(std::string_view recording) { return std::string{recording} + ".toml"; }

Result<RecordingNotes> parse_sidecar(std::string_view text, std::string_view where) {
  const auto parsed = parse_toml(text, where);
  if (!parsed) return parsed.error();
  std::vector<Error> errors;
  TomlReader r{*parsed, "the description of a recording", where, errors};
  RecordingNotes notes = read_recording_keys(r);
  notes.where = where;
  r.finish();
  if (notes.machine.empty() && !notes.point.empty() && errors.empty())
    r.fail("point", "is given without its machine", "add machine = \"...\"");
  if (!errors.empty()) return errors.front();
  return notes;
}

std::string sidecar_text(const RecordingNotes& n) {
  TomlLines t{"# Describes the recording beside it: docs/plant-folder.md."};
  t.add("machine", n.machine);
  t.add("point", n.point);
  t.add("sensor", n.sensor);
  t.add("date", n.taken.date);
  std::string time = n.taken.time;
  std::replace(time.begin(), time.end(), ':', '-');  // as in names of files
  t.add("time", time);
  if (n.speed) t.add("speed_rpm", n.speed->value());
  t.add("load_percent", n.load_percent);
  t.add("input", n.input);
  t.add("gain", n.gain);
  std::vector<std::string> findings;
  for (const Finding& f : n.findings)
    findings.push_back(fmt::format("{}: {}", token(f.kind), f.what));
  t.add("findings", findings);
  t.add("note", n.note);
  return t.text();
}

Result<std::optional<RecordingNotes>> read_sidecar(std::string_view recording) {
  const std::string path = sidecar_of(recording);
  if (std::error_code code; !fs::exists(path, code)) return std::optional<RecordingNotes>{};
  const auto text = read_text_file(path);
  if (!text) return text.error();
  auto notes = parse_sidecar(*text, path);
  if (!notes) return notes.error();
  return std::optional<RecordingNotes>{std::move(*notes)};
}

std::optional<NamedPlace> find_names(const std::vector<Machine>& machines, std::string_view path) {
  const auto machine = longest_name(machines, path);
  if (!machine) return std::nullopt;
  NamedPlace place;
  place.machine = machine->first;
  const auto& points = machines[machine->first].points;
  const std::string_view rest = path.substr(machine->second.end);
  if (const auto point = longest_name(points, rest))
    place.point = point->first;
  else if (points.size() == 1)
    place.point = 0;
  else
    place.point = point_by_end(points, rest);
  return place;
}

PatternMatch date_in(std::string_view path) {
  for (const std::string_view pattern : {"**{date}?{time}**", "**{date}**"})
    if (auto found = match_pattern(pattern, path)) return *found;
  return {};
}

std::string_view token(PlaceOrigin origin) noexcept {
  switch (origin) {
    case PlaceOrigin::sidecar:
      return "the file beside it";
    case PlaceOrigin::list:
      return recording_list_name;
    case PlaceOrigin::pattern:
      return "the pattern of the route";
    case PlaceOrigin::names:
      return "its name";
    case PlaceOrigin::none:
      return "";
  }
  return "";
}

Result<RecordingPlace> place_of(const Plant& plant, const std::string& recording) {
  RecordingPlace place;
  const auto machines = plant_machines(plant);
  if (!machines) return machines.error();
  const auto notes = read_sidecar(recording);
  if (!notes) return notes.error();
  if (*notes) {
    if (auto done = take_notes(place, **notes, *machines); !done) return done.error();
    if (!place.sensor.empty() && find_sensor(plant.sensors, place.sensor) == nullptr)
      return Error{Errc::corrupt_file, (*notes)->where,
                   fmt::format("'{}' is not a sensor of the plant", place.sensor),
                   "correct the name, or add it with: bearingdsp sensor add"};
  }
  if (!place.machine)
    if (auto done = look_in_route(place, plant, recording); !done) return done.error();
  if (!place.machine) look_at_name(place, *machines, plant, recording);
  return place;
}

}  // namespace bearingdsp
