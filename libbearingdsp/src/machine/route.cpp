#include "bearingdsp/machine/route.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

#include "bearingdsp/capture/together.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/recording_place.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "machine/same_name.hpp"
#include "machine/toml_reader.hpp"

namespace bearingdsp {
namespace {

template <class T>
std::optional<std::size_t> index_of(const std::vector<T>& all, const std::string& wanted) {
  const auto it = std::find_if(all.begin(), all.end(),
                               [&](const T& item) { return same_name(item.name, wanted); });
  if (it == all.end()) return std::nullopt;
  return static_cast<std::size_t>(it - all.begin());
}

template <class T>
std::string nearest(const std::vector<T>& all, const std::string& wanted) {
  std::vector<std::string> known;
  std::string list;
  for (const T& item : all) {
    known.push_back(item.name);
    add_part(list, item.name);
  }
  return did_you_mean(wanted, known, list.empty() ? "there is none" : "there is: " + list);
}

/// A brace that opens neither {date} nor {time} would wait for a file that has it in its name.
bool braces_known(std::string_view pattern) {
  for (std::size_t at = pattern.find('{'); at != std::string_view::npos;
       at = pattern.find('{', at + 1))
    if (pattern.substr(at, 6) != "{date}" && pattern.substr(at, 6) != "{time}") return false;
  return true;
}

void check_patterns(TomlReader& r, const std::vector<std::string>& files) {
  for (const std::string& pattern : files) {
    constexpr std::size_t longest = 1000;
    if (pattern.empty() || pattern.size() > longest || !braces_known(pattern))
      r.fail("files", fmt::format("'{}' is not a pattern", pattern.substr(0, 60)),
             "use *, **, ?, {date} and {time}");
    else if (pattern.front() == '/' || pattern.find('\\') != std::string::npos)
      r.fail("files", fmt::format("'{}' is not relative to the folder of the route", pattern),
             "write folder/name with / between, without a leading /");
  }
}

RoutePoint read_stop(TomlReader& r, const std::vector<Machine>& machines) {
  RoutePoint p;
  p.where = r.place();
  const std::string machine = r.required_text("machine");
  const std::string point = r.text("point");
  const auto m = index_of(machines, machine);
  if (!m) {
    if (!machine.empty())
      r.fail("machine", fmt::format("'{}' is not described", machine), nearest(machines, machine));
  } else {
    p.machine = *m;
    const auto& points = machines[*m].points;
    const auto i = point.empty() && points.size() == 1 ? std::optional<std::size_t>{0}
                                                       : index_of(points, point);
    if (!i)
      r.fail(point.empty() ? "machine" : "point",
             fmt::format("'{}' is not a point of {}", point, machines[*m].name),
             nearest(points, point));
    p.point = i.value_or(0);
  }
  p.files = r.texts("files");
  check_patterns(r, p.files);
  p.speed = r.quantity<Rpm>("speed_rpm", 1, 1e6);
  p.load_percent = r.number("load_percent", 0, 500);
  r.finish();
  return p;
}

/// What stands before the stops; empty machine_files where the machines are given.
struct Head {
  std::string name;
  std::vector<std::string> machine_files;
};

Head read_head(TomlReader& top) {
  Head head;
  head.name = top.text("name");
  head.machine_files = top.texts("machines");
  return head;
}

Result<Route> with_stops(TomlReader& top, std::string_view where, std::string name,
                         std::vector<Machine> machines, std::vector<Error>& errors) {
  Route route;
  route.name = std::move(name);
  route.path = where;
  if (!top.has("point")) top.fail({}, "the route has no stops", "begin each with a line [[point]]");
  for (const toml::table* t : top.tables("point")) {
    TomlReader r{*t, "a stop of the route", where, errors};
    route.points.push_back(read_stop(r, machines));
  }
  top.finish();
  if (!errors.empty()) return errors.front();
  route.machines = std::move(machines);
  return route;
}

/// Machines of all files; a name may be there only once over all of them.
Result<std::vector<Machine>> machines_of(const std::vector<std::string>& files,
                                         const std::string& route_path) {
  std::vector<Machine> all;
  for (const std::string& file : files) {
    const auto path = std::filesystem::path{route_path}.parent_path() / file;
    auto some = read_machines(path.string());
    if (!some) return some.error();
    for (Machine& m : *some) {
      if (const auto other = index_of(all, m.name))
        return Error{Errc::corrupt_file, m.where,
                     fmt::format("the machine '{}' is defined twice", m.name),
                     fmt::format("the other one is at {}", all[*other].where)};
      all.push_back(std::move(m));
    }
  }
  return all;
}

bool digits(std::string_view text) { return std::all_of(text.begin(), text.end(), is_digit); }
int number(std::string_view text) {
  int n = 0;
  for (const char c : text) n = 10 * n + (c - '0');
  return n;
}

bool day_exists(std::string_view year, std::string_view month, std::string_view day) {
  if (!digits(year) || !digits(month) || !digits(day)) return false;
  const int y = number(year);
  const int m = number(month);
  const int d = number(day);
  if (y < 1900 || m < 1 || m > 12 || d < 1) return false;
  constexpr int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  const bool leap = (y % 4 == 0 && y % 100 != 0) || y % 400 == 0;
  return d <= days[m - 1] + (m == 2 && leap ? 1 : 0);
}

/// Number of characters of `text` that are a date, with the date as 2026-03-02; 0 if none.
std::size_t take_date(std::string_view text, std::string& date) {
  if (text.size() < 8) return 0;
  const auto put = [&](std::string_view m, std::string_view d) {
    date = fmt::format("{}-{}-{}", text.substr(0, 4), m, d);
  };
  const char separator = text[4];
  if ((separator == '-' || separator == '_') && text.size() >= 10 && text[7] == separator) {
    if (!day_exists(text.substr(0, 4), text.substr(5, 2), text.substr(8, 2))) return 0;
    put(text.substr(5, 2), text.substr(8, 2));
    return 10;
  }
  if (!day_exists(text.substr(0, 4), text.substr(4, 2), text.substr(6, 2))) return 0;
  put(text.substr(4, 2), text.substr(6, 2));
  return 8;
}

/// The same for a time of day with or without seconds; separator '\0' for none.
std::size_t take_time(std::string_view text, char separator, bool seconds, std::string& time) {
  const std::size_t step = separator == '\0' ? 2 : 3;
  const std::size_t parts = seconds ? 3 : 2;
  const std::size_t length = step * parts - (step - 2);
  if (text.size() < length) return 0;
  constexpr int most[] = {23, 59, 59};
  time.clear();
  for (std::size_t i = 0; i < parts; ++i) {
    const std::string_view part = text.substr(i * step, 2);
    if (!digits(part) || number(part) > most[i]) return 0;
    if (i > 0 && step == 3 && text[i * step - 1] != separator) return 0;
    if (i > 0) time += ':';
    time += part;
  }
  return length;
}

/// Matches what is left of pattern and path; `seen` remembers dead ends, so that many stars cost
/// length times length and not more.
class Matcher {
 public:
  Matcher(std::string_view pattern, std::string_view path)
      : pattern_{pattern}, path_{path}, dead_((pattern.size() + 1) * (path.size() + 1), false) {}

  bool match(std::size_t p, std::size_t i) {
    const std::size_t state = p * (path_.size() + 1) + i;
    if (dead_[state]) return false;
    const bool ok = step(p, i);
    if (!ok) dead_[state] = true;
    return ok;
  }
  PatternMatch found;

 private:
  bool step(std::size_t p, std::size_t i) {
    if (p == pattern_.size()) return i == path_.size();
    const std::string_view rest = pattern_.substr(p);
    if (rest.front() == '*') return star(p, i, rest.substr(0, 2) == "**");
    if (rest.substr(0, 6) == "{date}") return date(p + 6, i);
    if (rest.substr(0, 6) == "{time}") return time(p + 6, i);
    if (i == path_.size()) return false;
    if (rest.front() == '?' ? path_[i] == '/' : path_[i] != rest.front()) return false;
    return match(p + 1, i + 1);
  }
  bool star(std::size_t p, std::size_t i, bool across) {
    for (std::size_t end = i; end <= path_.size(); ++end) {
      if (match(p + (across ? 2 : 1), end)) return true;
      if (end < path_.size() && path_[end] == '/' && !across) return false;
    }
    return false;
  }
  bool date(std::size_t p, std::size_t i) {
    std::string text;
    const std::size_t n = take_date(path_.substr(i), text);
    if (n == 0 || !match(p, i + n)) return false;
    found.date = text;
    return true;
  }
  bool time(std::size_t p, std::size_t i) {
    for (const bool seconds : {true, false})
      for (const char separator : {'-', '_', '\0'}) {
        std::string text;
        const std::size_t n = take_time(path_.substr(i), separator, seconds, text);
        if (n == 0 || !match(p, i + n)) continue;
        found.time = text;
        return true;
      }
    return false;
  }

  std::string_view pattern_, path_;
  std::vector<bool> dead_;
};

/// A date with separators that the pattern's own text names.
std::string date_within(std::string_view pattern) {
  std::string date;
  for (std::size_t i = 0; i + 10 <= pattern.size(); ++i) {
    const bool inside_number = i > 0 && digits(pattern.substr(i - 1, 1));
    if (!inside_number && take_date(pattern.substr(i), date) == 10) return date;
  }
  return {};
}

}  // namespace

Result<Route> parse_route(std::string_view text, std::string_view where,
                          std::vector<Machine> machines) {
  const auto parsed = parse_toml(text, where);
  if (!parsed) return parsed.error();
  std::vector<Error> errors;
  TomlReader top{*parsed, "a route file", where, errors};
  Head head = read_head(top);
  return with_stops(top, where, std::move(head.name), std::move(machines), errors);
}

Result<Route> read_route(const std::string& path) {
  const auto text = read_text_file(path);
  if (!text) return text.error();
  const auto parsed = parse_toml(*text, path);
  if (!parsed) return parsed.error();
  std::vector<Error> errors;
  TomlReader top{*parsed, "a route file", path, errors};
  Head head = read_head(top);
  if (head.machine_files.empty() && errors.empty())
    top.fail({}, "names no machine file", "add machines = \"machines.toml\"");
  if (!errors.empty()) return errors.front();
  auto machines = machines_of(head.machine_files, path);
  if (!machines) return machines.error();
  return with_stops(top, path, std::move(head.name), std::move(*machines), errors);
}

std::optional<std::size_t> find_stop(const Route& route, std::string_view machine,
                                     std::string_view point) {
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

std::optional<PatternMatch> match_pattern(std::string_view pattern, std::string_view path) {
  Matcher m{pattern, path};
  if (!m.match(0, 0)) return std::nullopt;
  if (m.found.date.empty()) m.found.date = date_within(pattern);
  return m.found;
}

std::vector<RecordingMatch> match_recording(const Route& route, std::string_view relative_path) {
  std::vector<RecordingMatch> matches;
  for (std::size_t i = 0; i < route.points.size(); ++i)
    for (const std::string& pattern : route.points[i].files)
      if (auto found = match_pattern(pattern, relative_path)) {
        matches.push_back({i, std::move(*found)});
        break;
      }
  if (!matches.empty() || !looks_like_recording(std::string{relative_path})) return matches;
  const auto named = find_names(route.machines, relative_path);
  if (!named || !named->point) return matches;
  for (std::size_t i = 0; i < route.points.size(); ++i) {
    const RoutePoint& p = route.points[i];
    if (p.files.empty() && p.machine == named->machine && p.point == *named->point)
      matches.push_back({i, date_in(relative_path)});
  }
  return matches;
}

}  // namespace bearingdsp
