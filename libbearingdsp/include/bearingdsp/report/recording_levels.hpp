#pragma once
/// A recording as what it holds is shown: without its samples.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/scan.hpp"
#include "bearingdsp/dsp/running_moments.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

struct RecordingLevels {
  struct Row {
    std::string name;
    SampleUnit unit{SampleUnit::uncalibrated};
    std::optional<double> full_scale;  ///< as Channel::full_scale
    SignalLevels levels;
  };
  std::string format;
  Hz rate;
  std::uint64_t samples{0};  ///< a channel
  std::vector<Row> channels;
  std::optional<std::string> start_utc;
  std::optional<Rpm> noted_speed;
  Trail trail;
};
[[nodiscard]] RecordingLevels recording_levels(const Capture& capture);
[[nodiscard]] RecordingLevels recording_levels(const RecordingScan& scan);

/// As contents_report() and contents_json() of a capture, where the samples are not held.
[[nodiscard]] Report contents_report(const Contents& contents, const RecordingLevels& recording,
                                     const Findings& findings);
[[nodiscard]] std::string contents_json(const Contents& contents, const RecordingLevels& recording,
                                        const Findings& findings, const JsonOptions& options = {});

}  // namespace bearingdsp
