#pragma once
/// How the shaft turned during a record: its speed, and its angle where it did not turn evenly.
#include <optional>
#include <span>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/speed/phase_track.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

struct ShaftMotion {
  SpeedEstimate speed;
  /// Only where the speed changed enough to smear the lines that are looked for.
  std::optional<PhaseTrack> track;
};

/// From the tacho channel if the options name one, else from the axes.
ShaftMotion find_motion(const Capture& capture, std::span<const SignalView> axes,
                        const DiagnoseOptions& options, FftPlans& plans, Findings& findings);

/// Axes as if the shaft had turned evenly: at even steps of its angle, as many as there were
/// samples. Without a track, the axes themselves.
struct EvenAxes {
  std::vector<std::vector<double>> samples;
  std::vector<SignalView> views;
};
EvenAxes evened(std::span<const SignalView> axes, const std::optional<PhaseTrack>& track);

}  // namespace bearingdsp
