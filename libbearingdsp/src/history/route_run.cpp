#include "bearingdsp/history/route_run.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <filesystem>
#include <iterator>
#include <map>
#include <memory>
#include <mutex>
#include <new>
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

class Runner {
 public:
  Runner(const Route& route, std::string folder, History& history, const RouteRunOptions& options,
         RouteRun& run)
      : route_{route},
        folder_{std::move(folder)},
        history_{history},
        options_{options},
        run_{run} {}

  /// Settings of every point, found before the work starts: what is wrong in them is wrong for all.
  Result<void> prepare() {
    for (const RoutePoint& p : route_.points) {
      auto settings = point_settings(route_, p);
      if (!settings) return settings.error();
      settings_.push_back(std::move(*settings));
    }
    return {};
  }

  Result<void> work_off(const std::vector<RouteJob>& jobs) {
    const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
    const std::size_t threads = std::min(options_.jobs == 0 ? cores : options_.jobs, jobs.size());
    {
      std::vector<std::jthread> pool;
      for (std::size_t t = 1; t < threads; ++t) pool.emplace_back([&] { work(jobs); });
      work(jobs);
    }
    if (broken_) std::rethrow_exception(broken_);
    for (auto& [index, errors] : failures_)
      for (Error& e : errors) run_.failures.push_back(std::move(e));
    return store_failed_;
  }

 private:
  void work(const std::vector<RouteJob>& jobs) {
    try {
      auto plans = std::make_unique<FftPlans>();
      std::size_t used = 0;
      for (std::size_t i = next_++; i < jobs.size(); i = next_++) {
        if (++used % files_a_plan_cache == 0) plans = std::make_unique<FftPlans>();
        work_on(jobs[i], i, *plans);
        const std::scoped_lock lock{mutex_};
        ++done_;
        if (options_.progress) options_.progress(done_, jobs.size());
        if (!store_failed_) next_ = jobs.size();
      }
    } catch (...) {
      const std::scoped_lock lock{mutex_};
      broken_ = std::current_exception();
      next_ = jobs.size();
    }
  }

  void work_on(const RouteJob& job, std::size_t index, FftPlans& plans) {
    for (const RecordingMatch& match : job.matches) {
      RouteRecord record;
      record.file = job.relative;
      record.at = point_key(route_, match.route_point);
      // One recording never ends a route, whatever it does.
      try {
        fill(record, match, plans);
      } catch (const std::bad_alloc&) {
        record.error =
            Error{Errc::internal, record.file, "does not fit into memory", "record shorter"};
      } catch (const std::exception& e) {
        record.error =
            Error{Errc::internal, record.file, e.what(), "please report this with the recording"};
      }
      if (record.error) record.reading.reset();
      finish(std::move(record), index);
    }
  }

  /// The reading, that it was there already, or the error.
  void fill(RouteRecord& record, const RecordingMatch& match, FftPlans& plans) {
    const std::string path = (fs::path{folder_} / record.file).lexically_normal().string();
    const auto hash = sha256_of_file(path);
    if (!hash) {
      record.error = hash.error();
      return;
    }
    const PointSettings& settings = settings_[match.route_point];
    if (is_there(record.at, *hash, settings.text)) {
      record.outcome = RecordOutcome::was_there;
      return;
    }
    auto reading = analysed(path, *hash, settings, match.found, plans);
    if (reading) record.error = refer_to_copy(*reading);
    if (!reading) record.error = reading.error();
    if (!record.error) record.reading = std::move(*reading);
  }

  /// Where copies are asked for; what went wrong, else nothing.
  std::optional<Error> refer_to_copy(Reading& reading) {
    if (options_.copies.empty()) return {};
    auto copy = keep_copy(options_.copies, reading.path, reading.hash);
    if (!copy) return copy.error();
    reading.path = std::move(*copy);
    return {};
  }

  Result<Reading> analysed(const std::string& path, const std::string& hash,
                           const PointSettings& settings, const PatternMatch& found,
                           FftPlans& plans) {
    const auto time = time_of(options_, found, path);
    if (!time) return time.error();
    return analyse(path, hash, settings, *time, plans);
  }

  bool is_there(const PointKey& at, const std::string& hash, const std::string& settings) {
    const std::scoped_lock lock{mutex_};
    const auto held = history_.holds(at, hash, settings);
    if (!held) store_failed_ = held.error();
    return held.value_or(false);
  }

  void finish(RouteRecord record, std::size_t index) {
    const std::scoped_lock lock{mutex_};
    if (record.reading) {
      const auto added = history_.add(record.at, *record.reading);
      if (!added) {
        store_failed_ = added.error();
        return;
      }
      record.outcome = *added == Added::stored          ? RecordOutcome::stored
                       : *added == Added::analysed_anew ? RecordOutcome::analysed_anew
                                                        : RecordOutcome::was_there;
    }
    count(record, index);
    if (options_.each) options_.each(record);
  }

  void count(const RouteRecord& record, std::size_t index) {
    switch (record.outcome) {
      case RecordOutcome::stored:
        ++run_.stored;
        break;
      case RecordOutcome::analysed_anew:
        ++run_.analysed_anew;
        break;
      case RecordOutcome::was_there:
        ++run_.were_there;
        break;
      case RecordOutcome::failed:
        if (record.error) failures_[index].push_back(*record.error);
        break;
    }
  }

  const Route& route_;
  std::string folder_;
  History& history_;
  const RouteRunOptions& options_;
  RouteRun& run_;
  std::vector<PointSettings> settings_;
  std::atomic<std::size_t> next_{0};
  std::mutex mutex_;  ///< of all below, of the store and of the callbacks
  std::size_t done_{0};
  Result<void> store_failed_;
  std::exception_ptr broken_;
  std::map<std::size_t, std::vector<Error>> failures_;
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

std::string_view name(RecordOutcome outcome) noexcept {
  switch (outcome) {
    case RecordOutcome::stored:
      return "stored";
    case RecordOutcome::analysed_anew:
      return "analysed anew";
    case RecordOutcome::was_there:
      return "was there";
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
