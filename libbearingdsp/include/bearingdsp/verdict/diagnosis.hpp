#pragma once
/// The whole chain in one call: a capture goes in, a verdict comes out.
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/candidate.hpp"
#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/dsp/running_moments.hpp"
#include "bearingdsp/evidence/family.hpp"
#include "bearingdsp/evidence/other_causes.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/spectra/cyclic_coherence.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"
#include "bearingdsp/verdict/place.hpp"

namespace bearingdsp {

/// Levels of one channel in the unit of its samples, and what only some units have.
struct SignalFigures : SignalLevels {
  std::string channel;
  SampleUnit unit{SampleUnit::uncalibrated};
  /// m/s, up to 1000 Hz [ISO 20816-1]; only from acceleration, velocity or displacement
  std::optional<double> velocity_rms;
  /// rms of the envelope's alternating part in the chosen band, unit of the samples; only where
  /// bands were looked at
  std::optional<double> envelope_rms{};
  Hz velocity_from{10};                      ///< lower end of the band of the velocity
  std::optional<double> displacement_rms{};  ///< m, in the same band; only of slow machines
};

/// One demodulation band that was kept, and why.
struct BandEvidence {
  Band band;
  std::string channel;
  double kurtosis{0};  ///< spectral kurtosis of the flattened band, 0 for Gaussian noise
  double evidence{0};  ///< of the family that is strongest there, nats
  double share{1};     ///< of the whole frequency range, 0 .. 1
};

/// How strongly the bearing shows in one band of the tree, for a picture of how one was chosen.
struct BandTried {
  Band band;
  Part part{Part::outer_ring};  ///< the strongest there
  double strength{0};           ///< of it: see PartEvidence::strength; 0: nothing is detected
  double kurtosis{0};           ///< as BandEvidence::kurtosis
  bool chosen{false};           ///< the strongest of all: the one that is shown demodulated
};

/// Arrays for pictures, only if asked for. Same length x and y; x in the unit said by x_unit.
struct Curve {
  std::string title, channel, x_unit, y_unit;
  std::vector<double> x, y;
};

/// What the recording says of the bearing at the other end of the motor, from here.
struct OtherEnd {
  MachineEnd end{MachineEnd::non_drive_end};
  std::string bearing;  ///< designation, or "bearing with 9 elements"
  /// Whether its frequencies differ from those at this end; where not, nothing below is known.
  bool tells_apart{false};
  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  double probability_of_damage{0.5};
};

/// What the machine file adds.
struct DiagnosedMachine {
  std::string machine, description;
  std::string where;    ///< "machines.toml:12"
  std::string point;    ///< name of the measuring point
  std::string bearing;  ///< the same at this end; empty where it is not known
  MachineEnd end{MachineEnd::drive_end};
  VelocityJudgement vibration;  ///< of the machine as a whole, by the standard
  std::optional<OtherEnd> other_end;
};

/// Share of damaged bearings among those that are measured, where nothing else is stated: one in
/// ten. Common practice, no source; --prior gives the plant's own.
inline constexpr double default_prior = 0.10;

/// What one of several recordings adds to a joint diagnosis.
struct RecordingShare {
  std::string source;
  Verdict verdict{Verdict::indeterminate};  ///< by itself, as all below
  Place place{Place::cannot_tell};
  std::vector<Part> place_set;
  double probability_of_damage{0.5};
  bool counted{true};
  std::string why_not_counted;  ///< empty if it counts
  bool contradicts{false};      ///< calls damage that the joint answer does not, or elsewhere
};

struct Diagnosis {
  std::string source;
  std::vector<std::string> channels;  ///< analysed channels
  Seconds duration;
  Hz rate;
  ShaftSpeed speed;
  std::optional<DefectOrders> orders;
  Findings findings;                     ///< of the reader, of quality and of the analysis
  std::vector<SignalFigures> figures;    ///< a row per analysed channel
  std::vector<BandEvidence> bands;       ///< strongest first
  std::vector<FamilyEvidence> families;  ///< strongest first; a row per part
  std::optional<Order> unknown_order;    ///< harmonic series at no order of a bearing given
  /// Damage is called although the impacts lie off the order of the bearing given: unknown_order
  /// over that order, less 1. The inside of the bearing differs, or it runs without load.
  std::optional<double> order_deviation;
  std::vector<CauseEvidence>
      other_causes;  ///< most probable first; only those with probability >= 0.05

  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  /// That the bearing is damaged, of bearings of which 72 % are, as on the test rigs that the model
  /// was set on (82 of 114 recordings). Assessment::remaining_damage has it for `prior`.
  double probability_of_damage{0.5};
  double prior{default_prior};  ///< DiagnoseOptions::prior
  /// JudgementModel::calibrated_share: the share of damaged bearings that probability_of_damage
  /// refers to
  double calibrated_share{JudgementModel{}.calibrated_share};
  std::array<double, part_count> probability_of_part{};  ///< damage of that part, by Part
  double probability_of_place{0};  ///< of the named place or of place_set, 0 where none is named
  /// Two components one of which is damaged, likelier one first, where neither can be named by
  /// itself: place is then Place::unclear. Empty otherwise.
  std::vector<Part> place_set;
  /// Where no fault is found: the smallest modulation depth that this recording would have shown as
  /// damage of each ring and of an element in nine of ten cases. Empty where the bearing is not
  /// known, and where no depth would have shown.
  std::optional<double> excluded_depth;
  std::string headline;                     ///< one sentence, plain words
  std::vector<std::string> reasons;         ///< why, strongest first
  std::vector<std::string> advice;          ///< what to do or record next
  std::optional<DiagnosedMachine> machine;  ///< where one was named
  std::vector<RecordingShare> recordings;   ///< of judge_together(); empty for one recording
  Trail trail;
  std::vector<Curve> curves;              ///< empty unless DiagnoseOptions::keep_curves
  std::vector<BandTried> bands_tried;     ///< widest first; empty unless all curves are kept
  std::optional<CoherenceMap> coherence;  ///< the same; of the flattened record
};

/// Which curves a diagnosis carries for pictures: the waveform and spectrum are as long as the
/// recording.
enum class CurvesKept { none, envelope, all };

/// What a technician looks at first for that cause, in a sentence.
/// Source: common practice
[[nodiscard]] std::string_view remedy(OtherCause cause) noexcept;

struct DiagnoseOptions {
  /// Bearings that may be the one here; none: only general statements are possible
  std::vector<BearingCandidate> bearings;
  std::optional<Rpm> speed;      ///< nominal speed; checked and refined; see with_noted_speed()
  double speed_tolerance{0.05};  ///< search interval around a nominal speed, as a fraction
  std::optional<Rpm> speed_low, speed_high;  ///< search interval when no speed is given
  std::optional<Hz> line_frequency;          ///< mains, 50 or 60 Hz
  std::optional<int> pole_pairs;             ///< of the motor, 1 or more; guessed where not known
  bool on_converter{false};  ///< supplied by a converter: the mains does not set its speed
  /// Lower end of the band of the velocity; below 10 Hz, as for slow machines, the displacement is
  /// measured in it too.
  Hz velocity_from{10};
  std::vector<std::string> channels;  ///< names to analyse; empty: every vibration channel
  std::string tacho_channel;          ///< name of the shaft marker channel; may be empty
  double pulses_per_revolution{1};
  CurvesKept keep_curves{CurvesKept::none};
  /// Share of damaged bearings among those that are measured, above 0 and below 1: how probable
  /// damage remains where nothing is found. It decides no verdict.
  double prior{default_prior};
  ModelParameters model{};  ///< the constants that decide; as shipped unless others are given
};

/// The options, with the speed that the file states where no speed, interval or tacho is given.
/// Pure.
/// Errors: none
[[nodiscard]] DiagnoseOptions with_noted_speed(DiagnoseOptions options, const Capture& capture);

/// Diagnoses one measuring point: examine(), then judge() with DiagnoseOptions::bearings
/// (verdict/examination.hpp). All chosen channels of the capture are pooled as axes of that point.
/// Errors: too_short if no channel holds 1024 samples; not_found for a channel name that does not
/// exist; bad_argument for options outside their range. Doubt is not an error: it is
/// Verdict::indeterminate.
/// Sources: docs/theory/diagnosis.md
[[nodiscard]] Result<Diagnosis> diagnose(const Capture& capture, FftPlans& plans,
                                         const DiagnoseOptions& options = {});

}  // namespace bearingdsp
