#pragma once
/// A remark about a capture that a person should know, with what it means for the verdict.
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// The closed list of findings; docs/findings.md says how each is detected.
enum class FindingKind : std::uint8_t {
  clipped,              ///< samples at the range limit
  stuck,                ///< long runs of one value, or dropped samples
  dc_bias,              ///< mean far from zero against the rms
  ski_slope,            ///< energy rising towards 0 Hz: sensor settling, integration of noise
  mains_hum,            ///< lines at the mains frequency and its multiples carry much of the energy
  low_bandwidth,        ///< the band ends below where bearings ring
  too_short,            ///< cannot part the smallest spacing asked for
  below_noise,          ///< level near the sensor's or converter's own noise
  coarse_resolution,    ///< few converter steps are used
  time_jitter,          ///< time stamps are not evenly spaced
  gap,                  ///< samples are missing
  repaired,             ///< values were missing or unreadable and were filled
  truncated,            ///< the file ends before its header says
  header_mismatch,      ///< the header contradicts the data
  uncalibrated,         ///< no unit known: levels have no absolute meaning
  speed_disagrees,      ///< the given speed does not fit the signal
  speed_varies,         ///< the speed changed within the recording
  speed_implausible,    ///< found without a given one, and no motor on the mains runs at it
  ambiguous,            ///< two explanations fit the same lines
  geometry_estimated,   ///< defect orders are estimates
  unit_disagrees,       ///< two sources give the samples different units
  rate_disagrees,       ///< two sources give the recording different sample rates
  implausible_level,    ///< no machine vibrates like that: unit or sensitivity is wrong
  long_recording,       ///< too long to be held: analysed in pieces
  duplicate_channel,    ///< two channels carry the same signal
  dead_channel,         ///< a channel carries nothing
  shocks,               ///< isolated shocks that do not repeat, and were brought down
  impacts_unexplained,  ///< impacts repeat, and whose they are is open
  no_broadband,         ///< tones and nothing between them: nothing to judge a bearing by
  processed,            ///< gain control, noise suppression or a voice band changed the signal
};
[[nodiscard]] std::string_view token(FindingKind kind) noexcept;

/// How much a finding weighs on the verdict.
enum class Weight : std::uint8_t {
  note,      ///< good to know
  caution,   ///< weakens the verdict
  blocking,  ///< no verdict can be given from this channel
};
[[nodiscard]] std::string_view token(Weight weight) noexcept;

struct Finding {
  FindingKind kind{};
  Weight weight{Weight::note};
  std::string where;        ///< channel name, line, or empty for the whole capture
  std::string what;         ///< what was seen, with numbers and units
  std::string consequence;  ///< what it means for the verdict
  std::string advice;       ///< what to do about it; may be empty
};
using Findings = std::vector<Finding>;

/// The first blocking finding; nullptr if there is none. Lives as long as the list.
/// Errors: none
[[nodiscard]] const Finding* first_blocking(const Findings& findings) noexcept;

/// The first finding that forbids to hold a level against a limit: a blocking one, or units that
/// contradict each other. nullptr if there is none.
[[nodiscard]] const Finding* spoils_levels(const Findings& findings) noexcept;

}  // namespace bearingdsp
