#pragma once
/// The keys that describe one recording, in a list and beside it.
#include "bearingdsp/machine/recording_place.hpp"
#include "machine/toml_reader.hpp"

namespace bearingdsp {

/// machine, point, sensor, date, time, speed_rpm, load_percent, note, input, gain, findings: each
/// may be left out.
[[nodiscard]] RecordingNotes read_recording_keys(TomlReader& r);

}  // namespace bearingdsp
