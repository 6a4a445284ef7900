#pragma once
/// The run at no load after the work: is the motor fit to go back into service? Rules:
/// docs/acceptance.md
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/machine/workshop_checks.hpp"
#include "bearingdsp/verdict/long_recording.hpp"

namespace bearingdsp {

/// Vibration of a motor at no load: the largest over the axes and places measured.
struct NoLoadLevels {
  DisplacementRms displacement;  ///< 10-1000 Hz
  VelocityRms velocity;          ///< 10-1000 Hz
  AccelerationRms acceleration;  ///< 10-1000 Hz
  VelocityPeak velocity_peak;    ///< 10 Hz to 0.4 of the rate, at most 10 kHz
};
/// Measures one axis of acceleration (m/s^2) or velocity (m/s).
/// Accuracy: rms as velocity_rms(); the peak as integrate() inside its ends, which are left out
/// Errors:   missing_metadata for another unit; too_short below 1 s or for a rate of 2.5 kHz or
/// less
[[nodiscard]] Result<NoLoadLevels> no_load_levels(const SignalView& axis, FftPlans& plans);
/// The larger of each.
[[nodiscard]] NoLoadLevels larger(const NoLoadLevels& a, const NoLoadLevels& b) noexcept;

enum class NoLoadStandard : std::uint8_t { iec60034_14, nema_mg1 };
/// "IEC 60034-14", "NEMA MG 1 part 7"
[[nodiscard]] std::string_view token(NoLoadStandard standard) noexcept;

struct AcceptanceOptions {
  NoLoadStandard standard{NoLoadStandard::iec60034_14};
  std::optional<Millimetres> shaft_height;  ///< IEC needs it
  Mounting mounting{Mounting::unknown};     ///< in this run, not in service
  VibrationGrade grade{VibrationGrade::a};  ///< IEC
  /// Of the rotating field, where the motor is fed from the mains: far below it, it is loaded.
  std::optional<Rpm> synchronous;
  std::optional<double> hours_run;                     ///< of the new bearing
  KnownLimits limits{{}, "the machine is not known"};  ///< of the vibration in service: its zones
  std::vector<JudgedCheck> checks;  ///< what was read off beside the recordings: judge_readings()
};

enum class Acceptance : std::uint8_t { pass, fail, repeat };
/// "pass", "fail", "repeat"
[[nodiscard]] std::string_view token(Acceptance acceptance) noexcept;

/// What a criterion is about; the advice follows from it.
enum class CriterionKind : std::uint8_t {
  recordings,
  speed,
  vibration,
  bearing,
  noise,
  reading,  ///< of AcceptanceOptions::checks
};

/// One thing that is asked of the run.
struct Criterion {
  CriterionKind kind{CriterionKind::recordings};
  std::string what;      ///< "Velocity", "Bearing" ...
  std::string measured;  ///< with unit, or in words
  std::string limit;     ///< with unit, or in words
  Acceptance outcome{Acceptance::pass};
  std::string why;    ///< where it is not passed, or what to know; may be empty
  bool judged{true};  ///< false: a reading for which there is no limit; its outcome is pass
};

struct AcceptanceResult {
  Acceptance outcome{Acceptance::repeat};
  std::string headline;
  std::vector<std::string> advice;
  std::vector<Criterion> criteria;  ///< in the order of asking
  std::string source;               ///< of the limits, with edition
  /// "Soft foot: from memory; a common shop target": of the limits of readings.
  std::vector<std::string> reading_sources;
  std::vector<std::string> notes;  ///< what was taken for granted
  /// The recording that asks for most by itself, as diagnose gives it.
  Assessment present;
  std::string present_of;  ///< its path
};

/// Whether the run itself passed, and all that is open are readings taken beside it.
[[nodiscard]] bool only_readings_open(const AcceptanceResult& result) noexcept;

/// What has to be done by the outcome and by the present state, whichever asks for more. Pure.
/// Errors: none.
/// Source: the urgencies of docs/urgency.md
[[nodiscard]] FollowUp follow_up(const AcceptanceResult& result) noexcept;

/// How long grease is given to settle before its noise counts, running hours. Common practice.
inline constexpr double run_in_hours = 48;

/// Judges the run. `levels` is empty where no unit is known. `reference`: earlier no-load readings
/// of the same point with a healthy bearing; may be empty. Pure.
/// A defect family fails, whatever the hours: damage does not bed in. Noise without a family asks
/// for another run while the grease settles and fails after it.
/// Errors: bad_argument without the shaft height that IEC needs; those of the limits;
///         std::invalid_argument for an empty run
[[nodiscard]] Result<AcceptanceResult> judge_acceptance(const Side& run,
                                                        const std::optional<NoLoadLevels>& levels,
                                                        const Side& reference,
                                                        const AcceptanceOptions& options);

/// One recording of a run at no load, measured.
struct NoLoadRecording {
  ComparedRecording recording;         ///< load noted as 0
  std::optional<NoLoadLevels> levels;  ///< the largest of its axes; empty where no unit is known
  Capture about;                       ///< where and when it was made; without samples
};
/// Measures a capture.
/// Errors: those of diagnose()
[[nodiscard]] Result<NoLoadRecording> measure_no_load(const Capture& capture,
                                                      const DiagnoseOptions& options,
                                                      const std::optional<KnownPoint>& at,
                                                      RecordingFacts facts, FftPlans& plans);
/// The same of a recording that is too long to be held: the verdict is diagnose_long()'s, the levels
/// are the highest of a piece, and no piece is left out. `max_piece`: as LongOptions.
/// Errors: those of diagnose_long()
[[nodiscard]] Result<NoLoadRecording> measure_no_load(
    PieceReader& reader, const DiagnoseOptions& options, const std::optional<KnownPoint>& at,
    RecordingFacts facts, FftPlans& plans, std::uint64_t max_piece = LongOptions{}.max_piece);

/// Recordings of one bearing of the motor running at no load, measured and judged.
struct AcceptanceRun {
  AcceptanceResult result;
  Side recordings;  ///< in the order given; load noted as 0
};
/// Errors: bad_argument for no recording; those of judge_acceptance()
[[nodiscard]] Result<AcceptanceRun> accept_recordings(const std::vector<NoLoadRecording>& run,
                                                      const Side& reference,
                                                      const AcceptanceOptions& options);
/// Measures captures and judges them.
/// Errors: bad_argument for no capture; those of diagnose() and judge_acceptance()
[[nodiscard]] Result<AcceptanceRun> accept_captures(const CapturedSide& run, const Side& reference,
                                                    const AcceptanceOptions& options,
                                                    FftPlans& plans);

/// Of a point's history, the readings at no load (noted at most 15 % of the rated load) without a
/// fault, the latest five.
[[nodiscard]] Side no_load_reference(const PointHistory& history);

/// The event that a store keeps of the run: a passed one begins the baseline (bearing replaced),
/// unless that is noted already and nothing was measured since; all else is a note.
[[nodiscard]] Event acceptance_event(const AcceptanceResult& result, const PointHistory& history,
                                     UtcTime when);

}  // namespace bearingdsp
