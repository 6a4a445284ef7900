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
  auto point = history->point(at);
  if (point)
    store.point_ = std::move(*point);
  else if (point.error().code != Errc::not_found)
    return point.error();
  store.history_ = std::move(*history);
  return store;
}

Side AcceptanceStore::reference() const { return no_load_reference(point_); }

Result<void> AcceptanceStore::keep(const AcceptanceRun& run,
                                   const std::vector<NoLoadRecording>& measured,
                                   const std::vector<std::string>& files, const std::string& time) {
  if (!history_) return {};
  std::optional<UtcTime> given;
  if (!time.empty()) {
    const auto parsed = parse_time(time, "--time");
    if (!parsed) return parsed.error();
    given = *parsed;
  }
  // Before anything is kept: an impossible time would leave recordings without their event.
  const UtcTime added = history_->now();
  std::vector<CaptureTime> times;
  for (const NoLoadRecording& r : measured) {
    const auto taken = capture_time(r.about, given);
    if (!taken) return taken.error();
    if (auto possible = check_not_ahead(taken->time, added, r.about.source); !possible)
      return possible;
    times.push_back(*taken);
  }
  UtcTime earliest = times.front().time;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const auto content = content_of_file(files[i]);
    if (!content) return content.error();
    Reading reading = run.recordings[i].reading;
    reading.hash = content->hash;
    reading.size_bytes = content->size_bytes;
    reading.beginnings = content->beginnings;
    reading.path = std::filesystem::absolute(files[i]).lexically_normal().string();
    reading.taken = times[i].time;
    reading.time_source = times[i].source;
    reading.added = added;
    reading.date_confirmed = given.has_value();
    reading.settings = "acceptance run at no load";
    if (const auto done = history_->add(point_.at, reading); !done) return done.error();
    earliest = std::min(earliest, reading.taken);
  }
  return history_->add(point_.at.machine, acceptance_event(run.result, point_, earliest));
}

}  // namespace cli
