#include "bearingdsp/dataset/validate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <exception>
#include <limits>
#include <mutex>
#include <new>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/long_recording.hpp"

namespace bearingdsp {
namespace {

constexpr double missing = std::numeric_limits<double>::quiet_NaN();

Result<Diagnosis> diagnose_blind_or_not(const Capture& capture, const ValidateOptions& options,
                                        const DiagnoseOptions& diagnosis, FftPlans& plans) {
  if (!options.blind_speed || !capture.noted_speed) return diagnose(capture, plans, diagnosis);
  // A speed that the file notes is withheld as well, or a blind run would not be blind.
  Capture blind = capture;
  blind.noted_speed.reset();
  return diagnose(blind, plans, diagnosis);
}

Result<Diagnosis> diagnose_record(const LabelledRecord& r, const ValidateOptions& options,
                                  FftPlans& plans) {
  DiagnoseOptions diagnosis;
  if (!options.blind_speed) diagnosis.tacho_channel = r.tacho;
  diagnosis.pulses_per_revolution = r.pulses_per_revolution;
  if (r.orders) diagnosis.bearings = {{*r.orders}};
  if (!options.blind_speed) diagnosis.speed = r.speed;
  diagnosis.speed_tolerance = options.speed_tolerance;
  diagnosis.model = options.model;
  if (const auto good = check_record(r); !good) return good.error();
  if (const auto pieces = open_if_long(r.path, record_options(r))) {
    auto done = diagnose_long(*pieces, plans,
                              [&](const Capture& piece) {
                                return diagnose_blind_or_not(piece, options, diagnosis, plans);
                              },
                              {.shaft = lowest_shaft(diagnosis), .model = options.model.judgement});
    if (!done) return done.error();
    return std::move(done->diagnosis);
  }
  const auto capture = read_capture(r.path, record_options(r));
  if (!capture) return capture.error();
  return diagnose_blind_or_not(*capture, options, diagnosis, plans);
}

Outcome failed(const LabelledRecord& r, std::string reason) {
  Outcome o;
  o.dataset = r.dataset;
  o.file = r.file;
  o.label = r.label;
  o.named = "failed";
  o.probability_damage = o.probability_place = o.speed_rpm = missing;
  o.speed_method = token(SpeedMethod::not_found);
  o.reason = std::move(reason);
  return o;
}

Outcome outcome_of(const LabelledRecord& r, const Diagnosis& d) {
  Outcome o;
  o.dataset = r.dataset;
  o.file = r.file;
  o.label = r.label;
  o.named = named_by(d);
  o.probability_damage = d.probability_of_damage;
  o.probability_place = d.probability_of_place;
  for (const Part part : d.place_set) add_part(o.place_set, token(part), "|");
  for (const CauseEvidence& c : d.other_causes)
    add_part(o.other_causes, fmt::format("{} {:.2f}", token(c.cause), c.probability), "; ");
  o.speed_rpm = d.speed.found() ? shaft_speed(d.speed.rate).value() : missing;
  o.speed_method = token(d.speed.method);
  o.reason = d.headline;
  return o;
}

/// By the caller's detector.
Outcome detected(const LabelledRecord& record, const ValidateOptions& options) {
  auto capture = read_record(record);
  if (!capture) return failed(record, capture.error().message());
  LabelledRecord shown = record;
  if (options.blind_speed) {
    shown.speed.reset();
    shown.tacho.clear();
    capture->noted_speed.reset();
  }
  const auto answer = options.detector(shown, *capture);
  if (!answer) return failed(record, answer.error().message());
  const auto fraction = [](double p) { return p >= 0 && p <= 1; };
  if (!from_token<Place>(answer->named) || !fraction(answer->probability_damage) ||
      !fraction(answer->probability_place))
    return failed(
        record, fmt::format("the detector answers '{}' with {} and {}: give a component, 'none' "
                            "or 'cannot tell', and probabilities in 0 .. 1",
                            answer->named, answer->probability_damage, answer->probability_place));
  Outcome o = failed(record, answer->reason);
  o.named = answer->named;
  o.probability_damage = answer->probability_damage;
  o.probability_place = answer->probability_place;
  return o;
}

/// Also the engine's diagnosis, where somebody asks for it.
Outcome run_one(const LabelledRecord& r, const ValidateOptions& options, FftPlans& plans,
                std::optional<Diagnosis>& diagnosis) {
  const auto start = std::chrono::steady_clock::now();
  // One recording never ends a validation, whatever it does.
  Outcome o;
  try {
    if (options.detector) {
      o = detected(r, options);
    } else {
      auto result = diagnose_record(r, options, plans);
      o = result ? outcome_of(r, *result) : failed(r, result.error().message());
      if (result && options.diagnosed) diagnosis = *std::move(result);
    }
  } catch (const std::bad_alloc&) {
    o = failed(r, "is too large for the memory");
  } catch (const std::exception& e) {
    o = failed(r, std::string{"internal error: "} + e.what());
  }
  o.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  return o;
}

}  // namespace

std::vector<Outcome> validate(const Manifest& manifest, const ValidateOptions& options) {
  const std::size_t n = manifest.records.size();
  std::vector<Outcome> outcomes(n);
  std::atomic<std::size_t> next{0};
  std::mutex callbacks;
  std::size_t done = 0;
  std::exception_ptr broken;
  const auto work = [&] {
    try {
      // Plans a thread: a plan built by another thread does not change the samples, but a cache of
      // its own keeps the memory of long lengths bounded by the thread's life.
      FftPlans plans;
      for (std::size_t i = next++; i < n; i = next++) {
        std::optional<Diagnosis> diagnosis;
        outcomes[i] = run_one(manifest.records[i], options, plans, diagnosis);
        const std::scoped_lock lock{callbacks};
        ++done;
        if (diagnosis) options.diagnosed(i, *diagnosis);
        if (options.progress) options.progress(done, n);
      }
    } catch (...) {
      const std::scoped_lock lock{callbacks};
      broken = std::current_exception();
      next = n;
    }
  };
  const std::size_t machine = std::max(1U, std::thread::hardware_concurrency());
  const std::size_t jobs =
      std::min(options.jobs == 0 ? machine : options.jobs, std::max<std::size_t>(n, 1));
  std::vector<std::thread> threads;
  for (std::size_t t = 1; t < jobs; ++t) threads.emplace_back(work);
  work();
  for (std::thread& t : threads) t.join();
  if (broken) std::rethrow_exception(broken);
  return outcomes;
}

}  // namespace bearingdsp
