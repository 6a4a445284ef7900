#include "acceptance_store.hpp"

#include <algorithm>
#include <filesystem>
#include <utility>

#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/history/time.hpp"

namespace cli {
using namespace bearingdsp;

Result<AcceptanceStore> AcceptanceStore::open(const std::string& path, const PointKey& at) {
  AcceptanceStore store;
  store.point_.at = at;
  if (path.empty()) return store;
  auto history = History::open(path, Access::read_write);
  if (!history) return history.error();
  const auto points = history->points();
  if (!points) return points.error();
  if (std::find(points->begin(), points->end(), at) != points->end()) {
    auto point = history->point(at);
    if (!point) return point.error();
    store.point_ = std::move(*point);
  }
  store.history_ = std::move(*history);
  return store;
}

Side AcceptanceStore::reference() const { return no_load_reference(point_); }

Result<void> AcceptanceStore::keep(const AcceptanceRun& run, const std::vector<Capture>& captures,
                                   const std::vector<std::string>& files, const std::string& time) {
  if (!history_) return {};
  std::optional<UtcTime> given;
  if (!time.empty()) {
    const auto parsed = parse_time(time, "--time");
    if (!parsed) return parsed.error();
    given = *parsed;
  }
  std::optional<UtcTime> earliest;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const auto taken = capture_time(captures[i], given);
    if (!taken) return taken.error();
    const auto hash = sha256_of_file(files[i]);
    if (!hash) return hash.error();
    Reading reading = run.recordings[i].reading;
    reading.hash = *hash;
    reading.path = std::filesystem::absolute(files[i]).lexically_normal().string();
    reading.taken = taken->time;
    reading.time_source = taken->source;
    reading.settings = "acceptance run at no load";
    if (const auto added = history_->add(point_.at, reading); !added) return added.error();
    if (!earliest || reading.taken < *earliest) earliest = reading.taken;
  }
  return history_->add(point_.at.machine, acceptance_event(run.result, point_, *earliest));
}

}  // namespace cli
