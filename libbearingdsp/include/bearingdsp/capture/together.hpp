#pragma once
/// Several files as channels of one recording.
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// read_capture() of files that were sampled at the same time, their signals one behind another. A
/// channel is named after its file ("fan_x", or "fan: channel 2" of a file with several). Units,
/// sensitivities and full scale hold for each file; `select` and `names` for all channels. Files of
/// different length are cut to the shortest, with a finding.
/// Shape: paths [n], n >= 1
/// Errors: bad_argument where rates differ by more than 1e-4 (0.4 of a cycle at 2 kHz in 2 s: our
///         choice) or there are more names than channels; not_found (selection); those of
///         read_capture()
[[nodiscard]] Result<Capture> read_together(const std::vector<std::string>& paths,
                                            const ReadOptions& options = {});

/// Whether the name of a file ends as those of recordings do (".wav", ".csv", ".uff" ...).
[[nodiscard]] bool looks_like_recording(const std::string& path);

}  // namespace bearingdsp
