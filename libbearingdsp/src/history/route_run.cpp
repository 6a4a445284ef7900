#include "bearingdsp/history/route_run.hpp"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <exception>
#include <filesystem>
#include <iterator>
#include <map>
#include <memory>
#include <mutex>
#include <new>
#include <set>
#include <thread>
#include <utility>

#include "bearingdsp/history/hash.hpp"
#include "history/analyse.hpp"
#include "history/route_jobs.hpp"

namespace bearingdsp {
namespace {

namespace fs = std::filesystem;

// A thread's transforms of more lengths than these files can need are let go.
constexpr std::size_t files_a_plan_cache = 64;

Result<std::optional<UtcTime>> time_of(const RouteRunOptions& options, const PatternMatch& found,
                                       const std::string& file) {
  if (options.time) return options.time;
  if (found.date.empty()) return std::optional<UtcTime>{};
  const auto time =
      parse_time(found.time.empty() ? found.date : found.date + "T" + found.time, file);
  if (!time) return time.error();
  return std::optional<UtcTime>{*time};
}

/// How to analyse the recordings of a point: as the machine file has it now, and, for recordings
/// from before a bearing was replaced, with the bearing of that time.
class SettingsOverTime {
 public:
  explicit SettingsOverTime(PointSettings now) : now_{std::move(now)} {}
  /// From the latest replacement to the earliest.
  void add_before(UtcTime replaced, PointSettings settings) {
    before_.emplace_back(replaced, std::move(settings));
  }
  [[nodiscard]] const PointSettings& at(UtcTime time) const {
    const PointSettings* found = &now_;
    for (const auto& [replaced, settings] : before_)
      if (time < replaced) found = &settings;
    return *found;
  }
  [[nodiscard]] const PointSettings& now() const { return now_; }
  /// The same for one recording.
  [[nodiscard]] SettingsOverTime of(const RecordingMatch& match,
                                    const std::vector<Sensor>& sensors) const {
    SettingsOverTime own{for_recording(now_, match, sensors)};
    for (const auto& [replaced, settings] : before_)
      own.add_before(replaced, for_recording(settings, match, sensors));
    return own;
  }

 private:
  PointSettings now_;
  std::vector<std::pair<UtcTime, PointSettings>> before_;
};

class Runner {
 public:
  Runner(const Route& route, std::string folder, History& history, const RouteRunOptions& options,
         RouteRun& run)
      : route_{route},
        folder_{std::move(folder)},
        history_{history},
        options_{options},
        run_{run},
        started_{history.now()} {}

  /// Settings of every point, found before the work starts: what is wrong in them is wrong for all.
  Result<void> prepare() {
    const auto events = history_.events();
    if (!events) return events.error();
    for (std::size_t i = 0; i < route_.points.size(); ++i) {
      auto settings = point_settings(route_, route_.points[i]);
      if (!settings) return settings.error();
      settings_.emplace_back(std::move(*settings));
      if (auto done = add_earlier_bearings(i, *events); !done) return done;
    }
    return {};
  }

  Result<void> work_off(const std::vector<RouteJob>& jobs) {
    const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
    threads_ = std::min(options_.jobs == 0 ? cores : options_.jobs, jobs.size());
    {
      std::vector<std::jthread> pool;
      for (std::size_t t = 1; t < threads_; ++t) pool.emplace_back([&] { work(jobs); });
      work(jobs);
    }
    if (broken_) std::rethrow_exception(broken_);
    return store_failed_;
  }

 private:
  using Records = std::vector<RouteRecord>;

  /// Bearings are replaced at an end of the machine: an event of any point at that end counts.
  Result<void> add_earlier_bearings(std::size_t stop,
                                    const std::vector<std::pair<std::string, Event>>& events) {
    const RoutePoint& p = route_.points[stop];
    const Machine& machine = route_.machine_of(p);
    std::set<UtcTime> replaced;
    for (const auto& [name, event] : events) {
      if (event.kind != EventKind::bearing_replaced) continue;
      if (event.added && is_ahead(event.when, *event.added)) continue;
      for (const MeasuringPoint& point : machine.points)
        if (point.end == route_.point_of(p).end &&
            same_point({machine.name, point.name},
                       {name, event.point.empty() ? point.name : event.point}))
          replaced.insert(event.when);
    }
    for (auto until = replaced.rbegin(); until != replaced.rend(); ++until) {
      const auto from = std::next(until);
      auto bearing = history_.bearing_between(
          point_key(route_, stop), from == replaced.rend() ? std::nullopt : std::optional{*from},
          *until);
      if (!bearing) return bearing.error();
      PointSettings then = *bearing ? with_bearing(settings_[stop].now(), std::move(**bearing))
                                    : settings_[stop].at(*until);
      settings_[stop].add_before(*until, std::move(then));
    }
    return {};
  }

  void work(const std::vector<RouteJob>& jobs) {
    try {
      auto plans = std::make_unique<FftPlans>();
      std::size_t used = 0;
      for (std::size_t i = next_++; i < jobs.size(); i = next_++) {
        if (++used % files_a_plan_cache == 0) plans = std::make_unique<FftPlans>();
        finish(work_on(jobs[i], *plans), i, jobs.size());
      }
    } catch (...) {
      const std::scoped_lock lock{mutex_};
      broken_ = std::current_exception();
      next_ = jobs.size();
      in_turn_.notify_all();
    }
  }

  Records work_on(const RouteJob& job, FftPlans& plans) {
    const std::string path = (fs::path{folder_} / job.relative).lexically_normal().string();
    const auto content = content_of_file(path);
    Records records;
    for (const RecordingMatch& match : job.matches) {
      RouteRecord record;
      record.file = job.relative;
      record.at = point_key(route_, match.route_point);
      if (content)
        examine_safely(record, path, *content, match, plans);
      else
        record.error = content.error();
      records.push_back(std::move(record));
    }
    return records;
  }

  /// One recording never ends a route, whatever it does.
  void examine_safely(RouteRecord& record, const std::string& path, const FileContent& content,
                      const RecordingMatch& match, FftPlans& plans) {
    try {
      examine(record, path, content, match, plans);
    } catch (const std::bad_alloc&) {
      record.error = Error{Errc::internal, path, "is too large for the memory", "record shorter"};
    } catch (const std::exception& e) {
      record.error = Error{Errc::internal, path, e.what(), "please report this with the recording"};
    }
    if (record.error) record.reading.reset();
  }

  /// Finds what the history has of the recording; analyses it where that is not all.
  void examine(RouteRecord& record, const std::string& path, const FileContent& content,
               const RecordingMatch& match, FftPlans& plans) {
    std::size_t stop = match.route_point;
    auto known = look_up(record.at, content.hash);
    if (known && known->moved_to) {
      // A person moved it: it is analysed as a recording of where it belongs.
      const auto target = stop_of(*known->moved_to);
      record.at = *known->moved_to;
      known = target ? look_up(record.at, content.hash) : std::nullopt;
      stop = target.value_or(stop);
      record.outcome = RecordOutcome::left_out;
    }
    if (!known) return;
    record.outcome = known->removed ? RecordOutcome::left_out : RecordOutcome::was_there;
    std::optional<SettingsOverTime> own;
    if (match.speed || match.load_percent || !match.sensor.empty())
      own = settings_[stop].of(match, route_.sensors);
    const SettingsOverTime& settings = own ? *own : settings_[stop];
    if (known->removed || (known->there && known->settings == settings.at(known->taken).text))
      return;
    record.outcome = RecordOutcome::failed;
    auto reading = analysed(path, content, settings, *known, match.found, plans);
    if (reading) record.error = refer_to_copy(*reading);
    if (!reading) record.error = reading.error();
    if (!record.error) record.reading = std::move(*reading);
  }

  [[nodiscard]] std::optional<std::size_t> stop_of(const PointKey& at) const {
    for (std::size_t i = 0; i < route_.points.size(); ++i)
      if (same_point(point_key(route_, i), at)) return i;
    return std::nullopt;
  }

  /// Where copies are asked for; what went wrong, else nothing.
  std::optional<Error> refer_to_copy(Reading& reading) {
    if (options_.copies.empty()) return {};
    auto copy = keep_copy(options_.copies, reading.path, reading.hash);
    if (!copy) return copy.error();
    reading.path = std::move(*copy);
    return {};
  }

  Result<Reading> analysed(const std::string& path, const FileContent& content,
                           const SettingsOverTime& settings, const Known& known,
                           const PatternMatch& found, FftPlans& plans) {
    auto time = time_of(options_, found, path);
    if (!time) return time.error();
    // Its time may have been corrected.
    if (known.there) *time = known.taken;
    const SettingsAt at = [&](UtcTime when) -> const PointSettings& { return settings.at(when); };
    auto reading = analyse(path, content, at, *time, plans);
    if (!reading) return reading;
    reading->added = started_;
    reading->date_confirmed = options_.time.has_value();
    return reading;
  }

  /// None where the store failed.
  std::optional<Known> look_up(const PointKey& at, const std::string& hash) {
    const std::scoped_lock lock{mutex_};
    auto known = history_.known(at, hash);
    if (known) return std::move(*known);
    store_failed_ = known.error();
    return std::nullopt;
  }

  /// Recordings are stored in the order of their names, whichever thread is first: what depends on
  /// the order (which of two copies gives the date, the numbers of readings) is the same each time.
  /// A thread that is far ahead waits, so that few results wait in memory.
  void finish(Records records, std::size_t index, std::size_t all) {
    std::unique_lock lock{mutex_};
    waiting_.emplace(index, std::move(records));
    const auto ended = [&] { return broken_ || !store_failed_; };
    in_turn_.wait(lock, [&] { return ended() || index < turn_ + 4 * threads_ || index == turn_; });
    while (!ended() && waiting_.contains(turn_)) {
      auto ready = waiting_.extract(turn_);
      for (RouteRecord& record : ready.mapped()) store(record);
      ++turn_;
      if (options_.progress) options_.progress(turn_, all);
      in_turn_.notify_all();
    }
    if (!store_failed_) {
      next_ = all;
      in_turn_.notify_all();
    }
  }

  void store(RouteRecord& record) {
    if (!store_failed_) return;
    if (record.reading) {
      const auto added = history_.add(record.at, *record.reading);
      if (!added) {
        store_failed_ = added.error();
        return;
      }
      record.outcome = outcome_of(*added);
      tell(record);
    }
    count(record);
    if (options_.each) options_.each(record);
  }

  static RecordOutcome outcome_of(Added added) {
    switch (added) {
      case Added::stored:
        return RecordOutcome::stored;
      case Added::reanalysed:
        return RecordOutcome::reanalysed;
      case Added::was_there:
        return RecordOutcome::was_there;
      case Added::grown:
        return RecordOutcome::grown;
      case Added::cut_short:
        return RecordOutcome::cut_short;
      case Added::removed:
      case Added::moved:
        return RecordOutcome::left_out;
    }
    return RecordOutcome::was_there;
  }

  /// What a person should know of a recording that was stored or not.
  void tell(const RouteRecord& record) {
    if (record.outcome == RecordOutcome::grown)
      run_.notes.push_back(record.file +
                           ": a part of it was in the history, half-copied; the whole counts now");
    if (record.outcome == RecordOutcome::cut_short)
      run_.notes.push_back(record.file +
                           ": is cut short; the history has the whole recording and keeps it. Copy "
                           "the file again");
    const Reading& r = *record.reading;
    if (is_ahead(r.taken, started_) && !r.date_confirmed)
      run_.notes.push_back(record.file + ": is dated " + format_date(r.taken) +
                           ", in the future; it does not count as the latest until its date is "
                           "corrected (bearingdsp history edit)");
    if (record.outcome == RecordOutcome::stored) look_for_old_name(record);
    if (record.outcome == RecordOutcome::reanalysed) note_new_bearing(record);
  }

  /// The same recording at a machine that the route does not know: that machine was renamed.
  void look_for_old_name(const RouteRecord& record) {
    const auto holders = history_.holders(record.reading->hash);
    if (!holders) return;
    for (const PointKey& other : *holders) {
      const bool on_route =
          std::any_of(route_.machines.begin(), route_.machines.end(), [&](const Machine& m) {
            return same_point({m.name, ""}, {other.machine, ""});
          });
      if (on_route || !reported_.insert(record.at.machine + '\n' + other.machine).second) continue;
      run_.notes.push_back("recordings of " + record.at.machine + " are in the history as " +
                           other.machine +
                           ": if the machine was renamed, bearingdsp history "
                           "rename '" +
                           other.machine + "' '" + record.at.machine + "' --join");
    }
  }

  /// Without a replacement noted, another bearing in the machine file means that the old one was
  /// written wrong: everything is judged with it.
  void note_new_bearing(const RouteRecord& record) {
    const auto stop = stop_of(record.at);
    if (!stop) return;
    const std::string& now = settings_[*stop].now().number;
    if (record.reading->bearing.number != now ||
        !reported_.insert(record.at.machine + '\n' + record.at.point + "\nbearing").second)
      return;
    const auto before = history_.point(record.at);
    if (!before || before->bearing.empty() || now == before->bearing) return;
    run_.notes.push_back(
        record.at.machine + ", " + record.at.point + ": the bearing was " + before->bearing +
        " and is now " + (now.empty() ? "not known" : now) +
        " in the machine file; earlier recordings are judged with it too. If it was replaced, note "
        "that and run again: bearingdsp history event '" +
        record.at.machine + "' bearing-replaced --time DAY");
  }

  void count(const RouteRecord& record) {
    switch (record.outcome) {
      case RecordOutcome::stored:
      case RecordOutcome::grown:
        ++run_.stored;
        break;
      case RecordOutcome::reanalysed:
        ++run_.reanalysed;
        break;
      case RecordOutcome::was_there:
      case RecordOutcome::cut_short:
        ++run_.were_there;
        break;
      case RecordOutcome::left_out:
        ++run_.left_out;
        break;
      case RecordOutcome::failed:
        if (record.error) run_.failures.push_back(*record.error);
        break;
    }
  }

  const Route& route_;
  std::string folder_;
  History& history_;
  const RouteRunOptions& options_;
  RouteRun& run_;
  UtcTime started_;
  std::vector<SettingsOverTime> settings_;
  std::size_t threads_{1};
  std::atomic<std::size_t> next_{0};
  std::mutex mutex_;  ///< of all below, of the store and of the callbacks
  std::condition_variable in_turn_;
  std::size_t turn_{0};                     ///< the job that is stored next
  std::map<std::size_t, Records> waiting_;  ///< analysed, by job
  std::set<std::string> reported_;
  Result<void> store_failed_;
  std::exception_ptr broken_;
};

Result<void> keep_nameplates(const Route& route, History& history) {
  for (const Machine& machine : route.machines)
    if (auto done = history.keep_limits(machine.name, known_limits(machine)); !done) return done;
  for (std::size_t i = 0; i < route.points.size(); ++i) {
    const RoutePoint& p = route.points[i];
    const std::string bearing = bearing_to_order(route.machine_of(p), route.point_of(p).end);
    if (auto done = history.keep_bearing(point_key(route, i), bearing); !done) return done;
  }
  return {};
}

}  // namespace

std::string_view token(RecordOutcome outcome) noexcept {
  switch (outcome) {
    case RecordOutcome::stored:
      return "stored";
    case RecordOutcome::reanalysed:
      return "re-analysed";
    case RecordOutcome::was_there:
      return "was there";
    case RecordOutcome::grown:
      return "grown";
    case RecordOutcome::cut_short:
      return "cut short";
    case RecordOutcome::left_out:
      return "left out";
    case RecordOutcome::failed:
      return "failed";
  }
  return "failed";
}

Result<void> check_copies(const std::string& folder, const std::string& copies) {
  if (copies.empty()) return {};
  std::error_code code;
  const fs::path round = fs::weakly_canonical(folder, code);
  const fs::path kept = fs::weakly_canonical(copies, code);
  // A name with a slash at its end has an empty last part.
  const auto end = round.has_filename() ? round.end() : std::prev(round.end());
  if (std::mismatch(round.begin(), end, kept.begin(), kept.end()).first != end) return {};
  return Error{Errc::bad_argument, copies,
               "lies in the folder of the round: the next run would take the copies for recordings",
               "keep copies in a folder beside it"};
}

Result<RouteRun> run_route(const Route& route, const std::string& folder, History& history,
                           const RouteRunOptions& options) {
  if (auto apart = check_copies(folder, options.copies); !apart) return apart.error();
  if (options.time)
    if (auto possible = check_not_ahead(*options.time, history.now(), "--time"); !possible)
      return possible.error();
  RouteRun run;
  const auto jobs = find_jobs(route, folder, run);
  if (!jobs) return jobs.error();
  Runner runner{route, fs::absolute(folder).string(), history, options, run};
  if (auto done = runner.prepare(); !done) return done.error();
  if (auto done = runner.work_off(*jobs); !done) return done.error();
  if (auto done = keep_nameplates(route, history); !done) return done.error();
  return run;
}

}  // namespace bearingdsp
