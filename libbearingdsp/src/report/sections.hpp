#pragma once
/// Parts that several reports share.
#include <string>
#include <vector>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

struct Standing;

/// "6205: BPFO 3.585, BPFI 5.415 ... orders (9 elements, from geometry)" with the uncertainty.
[[nodiscard]] std::string orders_text(const DefectOrders& orders);
/// Where orders come from, in plain words with how well they are known.
[[nodiscard]] std::string origin_text(const DefectOrders& orders);
[[nodiscard]] ReportSection level_section(const std::vector<SignalFigures>& figures);
/// How far the damage has come and what that asks for, from this recording alone.
[[nodiscard]] ReportSection severity_section(const Diagnosis& diagnosis);
[[nodiscard]] ReportSection finding_section(const Findings& findings);
/// Which machine and point, how much it shakes by the standard, and what the other end shows.
[[nodiscard]] ReportSection machine_section(const DiagnosedMachine& machine);
/// "1.2 mm/s rms: zone B, acceptable for long-term operation", or why there is no zone.
[[nodiscard]] std::string vibration_text(const VelocityJudgement& vibration);
/// "A up to 0.71, B up to 1.8, C up to 4.5 mm/s, D above; class I, ISO 10816-1:1995 ..."
[[nodiscard]] std::string limits_text(const ZoneLimits& limits);
/// "+6.3", "-13.7", "0.0": a change with one decimal; what rounds to nothing has no sign.
[[nodiscard]] std::string signed_tenths(double value);
/// The unit as written for people, with the power as a superscript: "m/s²".
[[nodiscard]] std::string shown_unit(SampleUnit unit);
/// "since 2026-03-16", or "new on" the day of the latest reading of several; s.since has a value.
[[nodiscard]] std::string since_text(const Standing& standing);
/// Unit in which the trade reads levels, mm/s and µm instead of m/s and m, and how many of it are
/// one of the SI unit.
struct ReadingUnit {
  std::string name;
  double per_si{1};
};
[[nodiscard]] ReadingUnit reading_unit(SampleUnit unit);

}  // namespace bearingdsp
