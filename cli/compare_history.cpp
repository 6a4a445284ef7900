#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "bearingdsp/history/store.hpp"
#include "bearingdsp/history/time.hpp"
#include "compare_options.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// A point without a recording on one side of its work cannot be judged; one on which no work was
/// done has nothing to compare, unless it is the only one.
Exit compare_points(History& history, const std::vector<PointKey>& keys,
                    const std::optional<UtcTime>& when, const CompareCommand& o, PageFile& page) {
  Exit exit = Exit::no_fault;
  std::optional<Error> no_work;
  std::size_t concerned = 0;
  bool first = true;
  for (const PointKey& key : keys) {
    auto point = history.point(key);
    if (!point) return fail(point.error());
    const auto event = event_meant(*point, when);
    if (!event) {
      if (!no_work) no_work = event.error();
      continue;
    }
    ++concerned;
    if (page.wanted())
      if (const auto done = history.read_spectra(*point); !done) return fail(done.error());
    const auto sides = sides_of_event(*point, when);
    if (!sides) {
      static_cast<void>(fail(sides.error()));
      exit = worse(exit, Exit::cannot_tell);
      continue;
    }
    if (!std::exchange(first, false) && !o.json && !o.printing.quiet) print("\n");
    CompareOptions options = options_around(*event);
    options.limits = point->limits;
    exit = worse(exit, show_comparison(compare_sides(sides->first, sides->second, options), o,
                                       keys.size() == 1, key.machine + ", " + key.point, page));
  }
  return concerned == 0 && no_work ? fail(*no_work) : exit;
}

}  // namespace

Exit compare_history(const CompareCommand& o) {
  if (o.given.size() != 1)
    return fail({Errc::bad_argument, "--store", "needs the name of one machine",
                 "write it like: bearingdsp compare planer-feed --store history.db"});
  std::optional<UtcTime> when;
  if (!o.event.empty()) {
    const auto time = parse_time(o.event, "--event");
    if (!time) return fail(time.error());
    when = *time;
  }
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  auto history = History::open(o.store, Access::read_only);
  if (!history) return fail(history.error());
  const auto keys = history->points_of(o.given.front(), o.at.point);
  if (!keys) return fail(keys.error());
  if (o.page.wanted() && keys->size() > 1)
    return fail({Errc::bad_argument, o.page.report.empty() ? "--picture" : "--report",
                 "one of them for several points", "choose one with --point"});
  return compare_points(*history, *keys, when, o, *page);
}

}  // namespace cli
