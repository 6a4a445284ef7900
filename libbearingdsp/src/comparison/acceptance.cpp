#include "bearingdsp/comparison/acceptance.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <stdexcept>
#include <utility>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp {
namespace {

// A motor of any size slips less than this at no load.
constexpr double max_slip_at_no_load = 0.015;
constexpr double max_load_percent = 15;
constexpr std::size_t max_reference = 5;

constexpr std::string_view above_limit = "above the limit";
constexpr std::string_view damage_stays = "damage does not bed in";

Criterion recording_criterion(const Side& run) {
  Criterion c{CriterionKind::recordings, "Recordings", "", "usable", Acceptance::pass, ""};
  std::size_t good = 0;
  for (const ComparedRecording& r : run) {
    good += usable(r) ? 1U : 0U;
    if (const Finding* f = first_blocking(r.reading.findings); f != nullptr && c.why.empty())
      c.why = f->what + ": " + f->advice;
  }
  c.measured = fmt::format("{} of {} usable", good, run.size());
  if (good < run.size()) c.outcome = Acceptance::repeat;
  return c;
}

std::optional<Criterion> speed_criterion(const Side& run, const AcceptanceOptions& o) {
  if (!o.synchronous) return std::nullopt;
  const double least = (1 - max_slip_at_no_load) * o.synchronous->value();
  Criterion c{CriterionKind::speed,
              "Speed at no load",
              "not visible in the recording: make sure the motor is uncoupled",
              fmt::format("{:.0f} rpm or more", least),
              Acceptance::pass,
              ""};
  std::optional<Rpm> slowest;
  for (const ComparedRecording& r : run)
    if (r.speed_seen && r.reading.speed && (!slowest || *r.reading.speed < *slowest))
      slowest = r.reading.speed;
  if (!slowest) return c;
  c.measured = fmt::format("{:.0f} rpm", slowest->value());
  if (slowest->value() < least) {
    c.outcome = Acceptance::repeat;
    c.why = fmt::format(
        "an unloaded motor runs close to its synchronous speed, {:.0f} rpm: uncouple it",
        o.synchronous->value());
  }
  return c;
}

/// Compared with the digits that are shown.
Criterion limit_criterion(std::string what, double measured, double limit, std::string_view unit) {
  Criterion c{CriterionKind::vibration,
              std::move(what),
              fmt::format("{:.2f} {}", measured, unit),
              fmt::format("{:.2f} {}", limit, unit),
              Acceptance::pass,
              ""};
  if (std::round(100 * measured) > std::round(100 * limit)) {
    c.outcome = Acceptance::fail;
    c.why = above_limit;
  }
  return c;
}

Result<std::vector<Criterion>> vibration_criteria(AcceptanceResult& result,
                                                  const std::optional<NoLoadLevels>& levels,
                                                  const SideSummary& run,
                                                  const AcceptanceOptions& o) {
  if (o.mounting == Mounting::unknown)
    result.notes.emplace_back(
        "The mounting during this run is not given: taken as rigid, which has the lower limits.");
  const Criterion unknown{
      CriterionKind::vibration, "Vibration",        "no unit",
      "a calibrated recording", Acceptance::repeat, "without a unit no limit can be compared"};
  if (o.standard == NoLoadStandard::nema_mg1) {
    const auto speed = run.speed ? run.speed : o.synchronous;
    if (!speed)
      return Error{Errc::no_speed, "NEMA MG 1",
                   "the limit depends on the speed, which is not known", "give it: --rpm"};
    const auto limit = nema_no_load_limit(*speed, o.mounting);
    if (!limit) return limit.error();
    result.source = "NEMA MG 1 part 7, table 7-1, by speed, as an article prints it";
    if (!levels) return std::vector<Criterion>{unknown};
    return std::vector<Criterion>{limit_criterion("Velocity, peak",
                                                  in_mm_per_s_peak(levels->velocity_peak),
                                                  in_mm_per_s_peak(*limit), "mm/s")};
  }
  if (!o.shaft_height)
    return Error{Errc::bad_argument, "IEC 60034-14", "needs the shaft height of the motor",
                 "give --shaft-height, or a machine file that says it or the frame"};
  const auto limits = iec_no_load_limits(*o.shaft_height, o.mounting, o.grade);
  if (!limits) return limits.error();
  result.source = limits->source + ": " + limits->words;
  if (!levels) return std::vector<Criterion>{unknown};
  return std::vector<Criterion>{
      limit_criterion("Displacement, rms", 1e6 * levels->displacement.value(),
                      1e6 * limits->displacement.value(), "µm"),
      limit_criterion("Velocity, rms", in_mm_per_s_rms(levels->velocity),
                      in_mm_per_s_rms(limits->velocity), "mm/s"),
      limit_criterion("Acceleration, rms", levels->acceleration.value(),
                      limits->acceleration.value(), "m/s²")};
}

/// The limits are of a motor without load.
void put_off(std::vector<Criterion>& vibration) {
  for (Criterion& c : vibration)
    if (c.outcome == Acceptance::fail) {
      c.outcome = Acceptance::repeat;
      c.why = std::string{above_limit} + ", but the limit is that of a motor without load";
    }
}

/// One recording that calls a fault is enough: the others may be where it does not reach. Without a
/// finding no probability is given: that of the rigs would be misread as this bearing's.
Criterion bearing_criterion(const Side& run) {
  Criterion c{CriterionKind::bearing, "Bearing", "no damage found", "no damage",
              Acceptance::pass,       ""};
  bool open = false;
  for (const ComparedRecording& recording : run) {
    if (!usable(recording)) continue;
    const Reading& r = recording.reading;
    open = open || r.verdict == Verdict::indeterminate;
    if (r.verdict != Verdict::fault || c.outcome == Acceptance::fail) continue;
    const std::string component = component_words(r.place, r.place_set);
    c.measured = component.empty()
                     ? fmt::format("damaged ({}), component not identified",
                                   percent(r.probability_of_damage))
                     : fmt::format("{} damaged ({})", component, percent(r.probability_of_place));
    c.outcome = Acceptance::fail;
    c.why = damage_stays;
  }
  if (c.outcome == Acceptance::pass && open) {
    c.measured = "cannot tell";
    c.outcome = Acceptance::repeat;
    c.why = "record 10 s or more at steady speed";
  }
  return c;
}

/// Whether grease may still be on its way to where it belongs.
bool settling(const AcceptanceOptions& o) { return !o.hours_run || *o.hours_run < run_in_hours; }

void judge_noise(Criterion& c, bool raised, const AcceptanceOptions& o) {
  if (!raised) return;
  c.outcome = settling(o) ? Acceptance::repeat : Acceptance::fail;
  c.why = settling(o) ? "the grease may still be settling: let it run and measure again"
                      : "the grease has had time to settle: check its kind, quantity and "
                        "cleanliness, and whether the bearing has clearance";
}

Criterion noise_criterion(const Side& run, const Side& reference, const AcceptanceOptions& o) {
  Criterion c{CriterionKind::noise, "Bearing noise", "", "", Acceptance::pass, ""};
  const Side good = comparing::usable_of(run);
  if (!reference.empty() && !good.empty()) {
    const BeforeAfter change = compare_sides(reference, good);
    const LevelChange* floor = comparing::find_level(change, Indicator::floor);
    if (floor != nullptr && change.change != Change::not_comparable) {
      c.measured = fmt::format("{:+.1f} dB", floor->change_db);
      c.limit = fmt::format("{:+.1f} dB against {}",
                            settling(o) ? std::max(1.0, 3 * floor->scatter_db) : floor->alone_db,
                            counted(reference.size(), "earlier run"));
      judge_noise(c, settling(o) ? floor->rose() : floor->rose_alone(), o);
      if (c.outcome == Acceptance::pass && floor->rose())
        c.why =
            "louder than before, which is no fault by itself: listen, feel how warm the bearing "
            "gets, "
            "measure again";
      return c;
    }
  }
  double dry = 0;
  for (const ComparedRecording& r : good)
    for (const CauseEvidence& cause : r.reading.causes)
      if (cause.cause == OtherCause::poor_lubrication) dry = std::max(dry, cause.probability);
  c.measured = dry >= other_fault_from
                   ? fmt::format("poor lubrication likely ({:.0f} %)", 100 * dry)
                   : "no sign of poor lubrication";
  c.limit = "no earlier run to compare";
  judge_noise(c, dry >= other_fault_from, o);
  return c;
}

/// A limit that is only from memory, or a missing one, holds the motor back but does not fail it.
Criterion reading_criterion(const JudgedCheck& check) {
  Criterion c{CriterionKind::reading, check.what, check.measured, check.limit,
              Acceptance::pass,       check.why};
  if (check.outcome == CheckOutcome::bad) c.outcome = Acceptance::fail;
  if (check.outcome == CheckOutcome::clarify) c.outcome = Acceptance::repeat;
  if (check.outcome == CheckOutcome::not_judged) {
    c.judged = false;
    c.why = "not judged: " + c.why;
  }
  return c;
}

Acceptance worst(const std::vector<Criterion>& criteria) {
  Acceptance all = Acceptance::pass;
  for (const Criterion& c : criteria) {
    if (c.outcome == Acceptance::fail) return Acceptance::fail;
    if (c.outcome == Acceptance::repeat) all = Acceptance::repeat;
  }
  return all;
}

std::string lower_first(std::string text) {
  if (!text.empty()) text.front() = lower(text.front());
  return text;
}

/// "velocity, rms 2.26 mm/s is above 1.30 mm/s", "outer ring damaged (97 %), and damage does not
/// ..."
std::string criterion_words(const Criterion& c) {
  if (c.kind == CriterionKind::reading)
    return fmt::format("{} {}, {}{}", lower_first(c.what), c.measured,
                       c.limit.empty() ? "" : "must be " + c.limit + ": ", c.why);
  if (c.why == above_limit)
    return fmt::format("{} {} is above {}", lower_first(c.what), c.measured, c.limit);
  if (c.why == damage_stays)
    return fmt::format("{}{}, and {}", c.measured.starts_with("damaged") ? "bearing " : "",
                       c.measured, c.why);
  return fmt::format("{} ({}): {}", lower_first(c.what), c.measured, c.why);
}

std::string headline_of(const AcceptanceResult& r) {
  const std::string doubt = r.present.doubt.empty() ? "" : " " + r.present.doubt;
  if (r.outcome == Acceptance::pass)
    return r.present.urgency == Urgency::none
               ? "The motor passes its no-load run." + doubt
               : "The motor passes its no-load run. But: " + r.present.headline;
  std::string text;
  for (const Criterion& c : r.criteria)
    if (c.outcome == r.outcome) add_part(text, criterion_words(c), "; ");
  return fmt::format("{}: {}.{}",
                     r.outcome == Acceptance::fail ? "The motor does not pass"
                     : only_readings_open(r)       ? "Clarify first"
                                                   : "Repeat the run",
                     text, doubt);
}

void set_present(AcceptanceResult& r, const Side& run, const KnownLimits& limits) {
  std::vector<Assessment> each;
  std::vector<const Assessment*> all;
  each.reserve(run.size());
  for (const ComparedRecording& recording : run) {
    each.push_back(assess(point_evidence(recording.reading, limits)));
    all.push_back(&each.back());
  }
  const std::size_t worst = assess_machine(all).decided_by;
  r.present = std::move(each[worst]);
  r.present_of = run[worst].reading.path;
}

std::string next_measurement(const AcceptanceOptions& o) {
  if (settling(o))
    return "Couple it and measure again after 24 to 48 running hours, warm and at the usual load: "
           "grease settles in the first hours. That reading and those of the next weeks are the "
           "baseline in service.";
  return "Measure it at its usual load too, and again after a month: those readings are the "
         "baseline in service.";
}

std::vector<std::string> advice_of(const AcceptanceResult& r, const Side& run,
                                   const AcceptanceOptions& o) {
  std::vector<std::string> out;
  const auto any = [&](CriterionKind kind, Acceptance outcome) {
    return std::any_of(r.criteria.begin(), r.criteria.end(),
                       [&](const Criterion& c) { return c.kind == kind && c.outcome == outcome; });
  };
  if (r.outcome == Acceptance::pass) {
    out.push_back(next_measurement(o));
    if (settling(o))
      out.emplace_back(
          "During run-in listen to the bearings and feel them (guards stay on): they warm up and "
          "settle within hours. One that keeps getting hotter has too little clearance or too much "
          "grease: stop and look.");
    return out;
  }
  if (any(CriterionKind::bearing, Acceptance::fail))
    out.push_back(
        "Do not put it into service. " +
        cautioned(StepKind::work,
                  "Then look at the bearing: dents at the spacing of the rolling elements (force "
                  "went through them), dirt, a ring that is not seated."));
  if (any(CriterionKind::noise, Acceptance::fail))
    out.push_back("Do not put it into service. " +
                  cautioned(StepKind::work,
                            "Then look at the grease (kind, quantity, dirt) and at the clearance "
                            "of the bearing: seat, housing, class."));
  if (any(CriterionKind::vibration, Acceptance::fail)) {
    std::vector<std::string> causes;
    for (const CauseEvidence& c : comparing::summary_of(run).causes)
      if (c.cause != OtherCause::poor_lubrication) causes.emplace_back(remedy(c.cause));
    if (causes.empty())
      causes.emplace_back(
          "Check the feet and base (soft foot, loose bolts, resonance), the half key in the shaft "
          "end, then the balance of the rotor and fan.");
    out.insert(out.end(), causes.begin(), causes.end());
  }
  for (const JudgedCheck& check : o.checks)
    if (!check.advice.empty()) out.push_back(check.advice);
  if (any(CriterionKind::speed, Acceptance::repeat))
    out.push_back("This run was loaded. " +
                  cautioned(StepKind::work,
                            "Then uncouple the motor, secure or take out the loose key, and record "
                            "again."));
  else if (r.outcome == Acceptance::repeat && !only_readings_open(r))
    out.emplace_back(
        settling(o)
            ? "Let it run an hour or two, watch the temperature of the bearing, then record "
              "again, 10 s or more."
            : "Record again, 10 s or more, as the criteria below ask.");
  out.emplace_back(only_readings_open(r)
                       ? "Then judge it again with the new readings before the motor goes into "
                         "service."
                       : "Then repeat the no-load run before the motor goes into service.");
  return out;
}

}  // namespace

std::string_view token(NoLoadStandard standard) noexcept {
  return standard == NoLoadStandard::iec60034_14 ? "IEC 60034-14" : "NEMA MG 1 part 7";
}

bool only_readings_open(const AcceptanceResult& r) noexcept {
  const auto open = [&](bool reading) {
    return std::any_of(r.criteria.begin(), r.criteria.end(), [&](const Criterion& c) {
      return c.outcome == Acceptance::repeat && (c.kind == CriterionKind::reading) == reading;
    });
  };
  return r.outcome == Acceptance::repeat && open(true) && !open(false);
}

FollowUp follow_up(const AcceptanceResult& r) noexcept {
  if (r.outcome == Acceptance::fail || r.present.urgency >= Urgency::check)
    return FollowUp::something;
  return r.outcome == Acceptance::repeat || r.present.urgency == Urgency::measure_again
             ? FollowUp::cannot_tell
             : FollowUp::nothing;
}

std::string_view token(Acceptance acceptance) noexcept {
  switch (acceptance) {
    case Acceptance::pass:
      return "pass";
    case Acceptance::fail:
      return "fail";
    case Acceptance::repeat:
      return "repeat";
  }
  return "repeat";
}

Result<AcceptanceResult> judge_acceptance(const Side& run,
                                          const std::optional<NoLoadLevels>& levels,
                                          const Side& reference, const AcceptanceOptions& options) {
  if (run.empty()) throw std::invalid_argument{"judge_acceptance: no recording"};
  AcceptanceResult r;
  const SideSummary summary = comparing::summary_of(run);
  r.criteria.push_back(recording_criterion(run));
  if (auto speed = speed_criterion(run, options)) r.criteria.push_back(std::move(*speed));
  auto vibration = vibration_criteria(r, levels, summary, options);
  if (!vibration) return vibration.error();
  if (r.criteria.back().kind == CriterionKind::speed &&
      r.criteria.back().outcome == Acceptance::repeat)
    put_off(*vibration);
  std::move(vibration->begin(), vibration->end(), std::back_inserter(r.criteria));
  if (summary.usable > 0) {
    r.criteria.push_back(bearing_criterion(run));
    r.criteria.push_back(noise_criterion(run, reference, options));
  }
  for (const JudgedCheck& check : options.checks) {
    r.criteria.push_back(reading_criterion(check));
    if (check.outcome != CheckOutcome::not_judged) r.reading_sources.push_back(source_words(check));
  }
  r.outcome = worst(r.criteria);
  set_present(r, run, options.limits);
  r.headline = headline_of(r);
  r.advice = advice_of(r, run, options);
  r.notes.push_back(
      (run.size() > 1 ? fmt::format("The highest level of {} recordings counts. ", run.size())
                      : std::string{}) +
      "The standards ask for both bearing housings in three directions, uncoupled, with a half key "
      "in the shaft end.");
  return r;
}

namespace {

/// The largest levels of its axes.
std::optional<NoLoadLevels> levels_of(const Capture& capture, FftPlans& plans) {
  std::optional<NoLoadLevels> levels;
  for (std::size_t i = 0; i < capture.channels.size(); ++i) {
    if (capture.channels[i].unit == SampleUnit::revolution) continue;
    const auto axis = no_load_levels(capture.view(i), plans);
    if (axis) levels = levels ? larger(*levels, *axis) : *axis;
  }
  return levels;
}

void take(std::optional<NoLoadLevels>& all, const std::optional<NoLoadLevels>& one) {
  if (one) all = all ? larger(*all, *one) : *one;
}

/// Where and when.
Capture without_samples(const Capture& capture) {
  Capture about;
  about.source = capture.source;
  about.format = capture.format;
  about.rate = capture.rate;
  about.start_utc = capture.start_utc;
  about.noted_speed = capture.noted_speed;
  return about;
}

/// Measures every piece on its way.
class MeasuredPieces final : public PieceReader {
 public:
  MeasuredPieces(PieceReader& reader, FftPlans& plans) : reader_{reader}, plans_{plans} {}
  [[nodiscard]] std::uint64_t expected() const noexcept override { return reader_.expected(); }
  [[nodiscard]] std::size_t channels() const noexcept override { return reader_.channels(); }
  [[nodiscard]] std::optional<Hz> rate() const noexcept override { return reader_.rate(); }
  Result<std::optional<Capture>> next(std::size_t samples) override {
    auto piece = reader_.next(samples);
    if (piece && *piece) take(levels_, levels_of(**piece, plans_));
    return piece;
  }
  [[nodiscard]] const std::optional<NoLoadLevels>& levels() const noexcept { return levels_; }

 private:
  PieceReader& reader_;
  FftPlans& plans_;
  std::optional<NoLoadLevels> levels_;
};

bool in_pieces(const NoLoadRecording& r) {
  const Findings& all = r.recording.reading.findings;
  return std::any_of(all.begin(), all.end(),
                     [](const Finding& f) { return f.kind == FindingKind::long_recording; });
}

}  // namespace

Result<NoLoadRecording> measure_no_load(const Capture& capture, const DiagnoseOptions& options,
                                        const std::optional<KnownPoint>& at, RecordingFacts facts,
                                        FftPlans& plans) {
  facts.load_percent = 0;
  auto r = measure_recording(capture, options, at, facts, plans);
  if (!r) return r.error();
  return NoLoadRecording{std::move(*r), levels_of(capture, plans), without_samples(capture)};
}

Result<NoLoadRecording> measure_no_load(PieceReader& reader, const DiagnoseOptions& options,
                                        const std::optional<KnownPoint>& at, RecordingFacts facts,
                                        FftPlans& plans, std::uint64_t max_piece) {
  facts.load_percent = 0;
  MeasuredPieces measured{reader, plans};
  const auto d = diagnose_long_known(measured, plans, options, at, max_piece);
  if (!d) return d.error();
  return NoLoadRecording{compared_recording(d->piece, d->diagnosis, options, facts, plans),
                         measured.levels(), without_samples(d->piece)};
}

Result<AcceptanceRun> accept_recordings(const std::vector<NoLoadRecording>& run,
                                        const Side& reference, const AcceptanceOptions& options) {
  if (run.empty())
    return Error{Errc::bad_argument, "acceptance", "no recording", "give one or more"};
  Side measured;
  std::optional<NoLoadLevels> levels;
  for (const NoLoadRecording& r : run) {
    measured.push_back(r.recording);
    take(levels, r.levels);
  }
  auto result = judge_acceptance(measured, levels, reference, options);
  if (!result) return result.error();
  if (std::any_of(run.begin(), run.end(), in_pieces))
    result->notes.emplace_back(
        "Of a recording that was read in pieces the highest level of a piece counts.");
  return AcceptanceRun{std::move(*result), std::move(measured)};
}

Result<AcceptanceRun> accept_captures(const CapturedSide& run, const Side& reference,
                                      const AcceptanceOptions& options, FftPlans& plans) {
  std::vector<NoLoadRecording> measured;
  for (const Capture& capture : run.captures) {
    auto r = measure_no_load(capture, run.diagnosis, run.at, run.facts, plans);
    if (!r) return r.error();
    measured.push_back(std::move(*r));
  }
  return accept_recordings(measured, reference, options);
}

Side no_load_reference(const PointHistory& history) {
  Side out;
  for (const Reading& r : history.readings)
    if (r.load_percent && *r.load_percent <= max_load_percent && r.verdict == Verdict::no_fault)
      out.push_back(recording_of(r));
  if (out.size() > max_reference)
    out.erase(out.begin(), out.end() - static_cast<std::ptrdiff_t>(max_reference));
  return out;
}

Event acceptance_event(const AcceptanceResult& result, const PointHistory& history, UtcTime when) {
  Event event{EventKind::note,
              when,
              history.at.point,
              fmt::format("acceptance, {}: {}", words(result.outcome), result.headline),
              {}};
  if (result.outcome != Acceptance::pass) return event;
  const Event* begun = nullptr;
  for (const Event& e : history.events)
    if (begins_baseline(e.kind) && e.when <= when) begun = &e;
  const bool noted =
      begun != nullptr &&
      std::none_of(history.readings.begin(), history.readings.end(),
                   [&](const Reading& r) { return r.taken >= begun->when && r.taken < when; });
  if (!noted) event.kind = EventKind::bearing_replaced;
  return event;
}

}  // namespace bearingdsp
