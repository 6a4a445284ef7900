#include "route_answer.hpp"

#include <algorithm>
#include <utility>

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

Exit route_exit(const RouteAnswer& answer, const RouteRun& run) {
  if (!run.failures.empty()) return Exit::failed;
  if (answer.standings.empty()) return Exit::no_fault;
  return exit_of(answer.standings.front().assessment.urgency);
}

Report list_of(const Route& route, const RouteAnswer& answer, const RouteRun& run) {
  Report report =
      worst_first_report(answer.standings, route.name.empty() ? route.path : route.name);
  if (ReportSection together = together_section(answer.ends); !together.items.empty())
    report.sections.push_back(std::move(together));
  report.sections.push_back(route_run_section(run));
  return report;
}

}  // namespace cli
