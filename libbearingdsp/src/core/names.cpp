#include <algorithm>
#include <string>
#include <string_view>

#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/unit.hpp"

namespace bearingdsp {

std::string_view symbol(SampleUnit unit) noexcept {
  switch (unit) {
    case SampleUnit::acceleration:
      return "m/s2";
    case SampleUnit::velocity:
      return "m/s";
    case SampleUnit::displacement:
      return "m";
    case SampleUnit::volt:
      return "V";
    case SampleUnit::revolution:
      return "rev";
    case SampleUnit::uncalibrated:
      return "1";
  }
  return "1";
}

std::string_view token(Errc code) noexcept {
  switch (code) {
    case Errc::bad_argument:
      return "bad_argument";
    case Errc::too_short:
      return "too_short";
    case Errc::unsupported_format:
      return "unsupported_format";
    case Errc::corrupt_file:
      return "corrupt_file";
    case Errc::missing_metadata:
      return "missing_metadata";
    case Errc::no_speed:
      return "no_speed";
    case Errc::not_found:
      return "not_found";
    case Errc::io:
      return "io";
    case Errc::database:
      return "database";
    case Errc::internal:
      return "internal";
  }
  return "internal";
}

std::string_view token(FindingKind kind) noexcept {
  switch (kind) {
    case FindingKind::clipped:
      return "clipped";
    case FindingKind::stuck:
      return "stuck";
    case FindingKind::dc_bias:
      return "dc_bias";
    case FindingKind::ski_slope:
      return "ski_slope";
    case FindingKind::mains_hum:
      return "mains_hum";
    case FindingKind::low_bandwidth:
      return "low_bandwidth";
    case FindingKind::too_short:
      return "too_short";
    case FindingKind::below_noise:
      return "below_noise";
    case FindingKind::coarse_resolution:
      return "coarse_resolution";
    case FindingKind::time_jitter:
      return "time_jitter";
    case FindingKind::gap:
      return "gap";
    case FindingKind::repaired:
      return "repaired";
    case FindingKind::truncated:
      return "truncated";
    case FindingKind::header_mismatch:
      return "header_mismatch";
    case FindingKind::uncalibrated:
      return "uncalibrated";
    case FindingKind::speed_disagrees:
      return "speed_disagrees";
    case FindingKind::speed_implausible:
      return "speed_implausible";
    case FindingKind::speed_varies:
      return "speed_varies";
    case FindingKind::ambiguous:
      return "ambiguous";
    case FindingKind::geometry_estimated:
      return "geometry_estimated";
    case FindingKind::unit_disagrees:
      return "unit_disagrees";
    case FindingKind::rate_disagrees:
      return "rate_disagrees";
    case FindingKind::implausible_level:
      return "implausible_level";
    case FindingKind::long_recording:
      return "long_recording";
    case FindingKind::duplicate_channel:
      return "duplicate_channel";
    case FindingKind::dead_channel:
      return "dead_channel";
    case FindingKind::shocks:
      return "shocks";
    case FindingKind::impacts_unexplained:
      return "impacts_unexplained";
    case FindingKind::no_broadband:
      return "no_broadband";
    case FindingKind::processed:
      return "processed";
  }
  return "unknown";
}

const Finding* first_blocking(const Findings& findings) noexcept {
  const auto at = std::find_if(findings.begin(), findings.end(),
                               [](const Finding& f) { return f.weight == Weight::blocking; });
  return at == findings.end() ? nullptr : &*at;
}

const Finding* spoils_levels(const Findings& findings) noexcept {
  const auto at = std::find_if(findings.begin(), findings.end(), [](const Finding& f) {
    return f.weight == Weight::blocking || f.kind == FindingKind::unit_disagrees;
  });
  return at == findings.end() ? nullptr : &*at;
}

std::string_view token(Weight weight) noexcept {
  switch (weight) {
    case Weight::note:
      return "note";
    case Weight::caution:
      return "caution";
    case Weight::blocking:
      return "blocking";
  }
  return "note";
}

std::string Error::message() const {
  std::string line;
  if (!where.empty()) line += where + ": ";
  line += what;
  if (!advice.empty()) line += "; " + advice;
  // A file name or cell may hold anything; one error stays one line.
  return safe_text(line, Medium::terminal);
}

}  // namespace bearingdsp
