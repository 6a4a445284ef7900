#pragma once
/// Which of a motor's two bearings carries the damage, from a recording at each end.
#include <optional>
#include <string>

#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

struct EndsCompared {
  /// The end whose bearing carries the damage. None where neither end shows damage, both carry
  /// their own, or it is open.
  std::optional<MachineEnd> carrier;
  bool both{false};  ///< damaged, each with lines of its own
  /// Strength of the strongest family at the drive end over that at the other; > 0, none unless
  /// both ends show damage.
  std::optional<double> strength_ratio;
  /// The same of the envelope's rms, in dB; none where the units differ.
  std::optional<double> level_db;
  std::string headline;  ///< one sentence, plain words
  std::string advice;    ///< what to do to be surer; may be empty
};

/// Compares what the two ends of one machine show. Damage that shows at one end only is that end's.
/// The same lines at both ends (frequencies within 2 %) come from one bearing, heard at both: on
/// its way along the machine an impact fades and sinks into the other bearing's own noise, so that
/// it is weaker there both beside its noise (strength) and in itself (level). Where strength and
/// level disagree, or neither differs enough, it is open.
/// Errors: none.
/// Source: common practice, no source for the limits; measured on 28 pairs:
/// docs/validation/other-views.md
[[nodiscard]] EndsCompared compare_ends(const Diagnosis& drive_end, const Diagnosis& non_drive_end);

}  // namespace bearingdsp
