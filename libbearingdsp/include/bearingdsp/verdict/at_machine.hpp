#pragma once
/// A diagnosis at a measuring point of a known machine: what the machine file tells the reader and
/// the diagnosis, and what the nameplate adds to the verdict.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// How to read and to diagnose a recording made at a point.
struct PointSetup {
  ReadOptions reading;
  DiagnoseOptions diagnosis;                ///< with the bearings that may be at this end
  std::vector<BearingCandidate> other_end;  ///< those that may be at the other end
};
/// `speed` is that at measuring, where it is known better than from the nameplate.
/// Errors: those of bearing_variants() for this end; the other end is left out instead
[[nodiscard]] Result<PointSetup> point_setup(const Machine& machine, const MeasuringPoint& point,
                                             std::optional<Rpm> speed = {});

/// Diagnoses with the bearings of the setup, and adds Diagnosis::machine: the zone of the velocity,
/// and what the recording says of the bearing at the other end. Where the lines fit both bearings,
/// the one that explains them clearly better (4 to 1) keeps its verdict and the other's is taken
/// back.
/// Errors: as diagnose().
/// Source: ours, docs/theory/which-end.md
[[nodiscard]] Result<Diagnosis> diagnose_at(const Capture& capture, FftPlans& plans,
                                            const Machine& machine, const MeasuringPoint& point,
                                            const PointSetup& setup);

/// A point of a known machine, for those that are given their own options.
struct KnownPoint {
  Machine machine;
  MeasuringPoint point;
  std::vector<BearingCandidate> other_end;  ///< as PointSetup::other_end
};
/// Diagnoses a recording with what is known: diagnose_at() of the point, or diagnose() where there
/// is none. A speed that the file states counts where no other is given.
/// Errors: as diagnose()
[[nodiscard]] Result<Diagnosis> diagnose_known(const Capture& capture, FftPlans& plans,
                                               const DiagnoseOptions& options,
                                               const std::optional<KnownPoint>& at);

/// Judges the velocity of the figures again: for a diagnosis at that machine whose figures have
/// become those of a longer recording.
void judge_vibration_again(Diagnosis& diagnosis, const Machine& machine);

/// The largest velocity of the diagnosed channels.
[[nodiscard]] MeasuredVelocity measured_velocity(const Diagnosis& diagnosis);

}  // namespace bearingdsp
