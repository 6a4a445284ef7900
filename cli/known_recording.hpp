#pragma once
/// What is known of where recordings were made: of the machine that is named, or of the plant
/// folder. One place for every command that reads recordings.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "machine_option.hpp"
#include "options.hpp"

namespace cli {

/// Facts that were typed, and are not taken from the plant.
struct TypedFacts {
  bool speed{false}, calibration{false}, mains{false};
};
/// The calibration counts as typed where a unit, a sensitivity or full scale is.
[[nodiscard]] TypedFacts typed_facts(const ReadingOptions& reading, bool speed, bool mains);

struct KnownRecording {
  std::string file;
  std::optional<bearingdsp::Machine> machine;
  bearingdsp::MeasuringPoint point;  ///< how to read it; of the machine, where there is one
  std::optional<bearingdsp::Rpm> speed;
  std::optional<bearingdsp::Hz> mains;  ///< where there is no machine
  std::string sensor;                   ///< of the plant, by name; may be empty
  bearingdsp::Findings findings;        ///< of the recorder, in the sidecar
  std::string taken;                    ///< what came from the plant, in words; may be empty
};

/// Whether the measuring point has to be clear, or the sensor is enough.
enum class Wanted : std::uint8_t { point, reading };

/// Errors: those of the machine file and the plant folder; bad_argument for a point without a
/// machine, and for a machine of which the point is not clear
[[nodiscard]] bearingdsp::Result<KnownRecording> known_recording(const std::string& file,
                                                                 const MachineOptions& at,
                                                                 const TypedFacts& typed,
                                                                 Wanted wanted = Wanted::point);
/// Of several recordings of one point; those whose name says nothing are of the point of the
/// others.
/// Shape: files [n] -> [n].
/// Errors: also bad_argument where they are of two points
[[nodiscard]] bearingdsp::Result<std::vector<KnownRecording>> known_recordings(
    const std::vector<std::string>& files, const MachineOptions& at, const TypedFacts& typed);

/// How to read and diagnose it; `speed` goes before that of the recording.
[[nodiscard]] bearingdsp::Result<bearingdsp::PointSetup> setup_of(
    const KnownRecording& known, std::optional<bearingdsp::Rpm> speed = {});

/// Says what was taken from where: a line for the recordings of which it is the same.
void say_taken(const std::vector<KnownRecording>& all);

}  // namespace cli
