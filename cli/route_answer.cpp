#include "route_answer.hpp"

#include <algorithm>
#include <utility>

#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

Result<RouteAnswer> route_answer(const Route& route, const std::vector<Standing>& all,
                                 History& history) {
  RouteAnswer answer;
  for (const Standing& s : all) {
    const auto here = [&](const RoutePoint& p) {
      return same_point(s.at, {route.machine_of(p).name, route.point_of(p).name});
    };
    if (std::any_of(route.points.begin(), route.points.end(), here)) answer.standings.push_back(s);
  }
  auto ends = judge_ends(route, history);
  if (!ends) return ends.error();
  answer.ends = std::move(*ends);
  raise_by_ends(answer.standings, answer.ends);
  return answer;
}

Result<RouteAnswer> stored_answer(std::vector<Standing> all, History& history,
                                  const std::string& store, const std::string& machine) {
  RouteAnswer answer{std::move(all), {}};
  const auto plant = plant_here();
  if (!plant) return plant.error();
  if (!*plant || (*plant)->store != store) return answer;
  auto route = plant_route(**plant);
  if (!route) {
    print_note(route.error().message());
    return answer;
  }
  if (!machine.empty())
    std::erase_if(route->points,
                  [&](const RoutePoint& p) { return route->machine_of(p).name != machine; });
  auto ends = judge_ends(*route, history);
  if (!ends) return ends.error();
  answer.ends = std::move(*ends);
  raise_by_ends(answer.standings, answer.ends);
  return answer;
}

Result<RouteAnswer> machine_answer(History& history, const std::string& store,
                                   const std::string& machine) {
  const auto keys = history.points_of(machine, "");
  if (!keys) return keys.error();
  std::vector<Standing> all;
  for (const PointKey& key : *keys) {
    const auto point = history.point(key);
    if (!point) return point.error();
    all.push_back(find_standing(*point, with_limits({}, point->limits)));
  }
  return stored_answer(std::move(all), history, store, keys->front().machine);
}

PointAnswer standing_at(const RouteAnswer& answer, const PointKey& key) {
  PointAnswer here;
  for (const Standing& s : answer.standings)
    if (same_point(s.at, key)) here.standing = s;
  for (const EndStanding& end : answer.ends)
    if (std::any_of(end.recordings.begin(), end.recordings.end(), [&](const EndRecording& r) {
          return same_point(key, {end.machine, r.point});
        }))
      here.ends.push_back(end);
  return here;
}

Exit route_exit(const RouteAnswer& answer, const RouteRun& run) {
  if (!run.failures.empty()) return Exit::failed;
  if (answer.standings.empty()) return Exit::no_fault;
  return exit_of(answer.standings.front().assessment.urgency);
}

Report list_of(const RouteAnswer& answer, const std::string& title) {
  Report report = worst_first_report(answer.standings, title);
  if (ReportSection together = together_section(answer.ends); !together.items.empty())
    report.sections.push_back(std::move(together));
  return report;
}

Report list_of(const Route& route, const RouteAnswer& answer, const RouteRun& run) {
  Report report = list_of(answer, route.name.empty() ? route.path : route.name);
  report.sections.push_back(route_run_section(run));
  return report;
}

}  // namespace cli
