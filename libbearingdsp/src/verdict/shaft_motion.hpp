#pragma once
/// How the shaft turned during a recording: its speed, and its angle where it did not turn evenly.
#include <optional>
#include <span>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/basis.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "bearingdsp/speed/phase_track.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// Axes as if the shaft had turned evenly: at even steps of its angle, as many as there were
/// samples. Without a track, the axes themselves.
struct EvenAxes {
  std::vector<std::vector<double>> samples;
  std::vector<SignalView> views;
};
EvenAxes evened(std::span<const SignalView> axes, const std::optional<PhaseTrack>& track);

struct ShaftMotion {
  SpeedEstimate speed;
  /// Only where the speed changed enough to smear the lines that are looked for.
  std::optional<PhaseTrack> track;
  bool by_impacts{false};      ///< the track is that of impacts, not of the shaft
  bool may_be_supplys{false};  ///< the speed found may be a converter's frequency
};

/// A path of the speed that was found in the vibration and may be believed.
struct FollowedPath {
  PhaseTrack track;
  Hz mean;
  std::optional<SpeedLines> even_lines;  ///< of the evened axes, where evening them is worthwhile
  bool steady{false};  ///< a harmonic of its mean is one line: nothing changed after all
};

/// What a recording shows of the shaft's motion whatever the bearing is.
struct MotionEvidence {
  std::optional<ShaftMotion> tacho;
  SpeedLines lines;                      ///< without a tacho
  std::optional<FollowedPath> followed;  ///< without a tacho, where the lines would smear
  std::optional<FollowedPath> impacts;   ///< where the shaft is neither steady nor followed
};
MotionEvidence motion_evidence(const Capture& capture, std::span<const SignalView> axes,
                               const DiagnoseOptions& options, FftPlans& plans, Findings& findings);

/// The motion under one bearing, whose defect orders explain lines that the shaft does not.
ShaftMotion find_motion(const MotionEvidence& evidence, const DiagnoseOptions& options,
                        const std::optional<DefectOrders>& orders, Findings& findings);

/// Where a recording holds impacts and nothing tells whether the shaft turned evenly: what is not
/// found in it need not be absent.
/// Shape: axes: the spectra of all axes
std::optional<Finding> motion_in_doubt(const ShaftMotion& motion,
                                       std::span<const RecordSpectrum> axes, const Basis& basis,
                                       FftPlans& plans);

}  // namespace bearingdsp
