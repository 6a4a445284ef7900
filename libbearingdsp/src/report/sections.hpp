#pragma once
/// Parts that several reports share.
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/report/model.hpp"
#include "bearingdsp/verdict/assessment.hpp"

namespace bearingdsp {

struct Standing;

/// "6205: BPFO 3.585, BPFI 5.415 ... orders (9 elements, from geometry)" with the uncertainty.
[[nodiscard]] std::string orders_text(const DefectOrders& orders);
/// Where orders come from, in plain words with how well they are known.
[[nodiscard]] std::string origin_text(const DefectOrders& orders);
/// "BPFO 3.579, BPFI 5.421, BSF 2.342, FTF 0.398 x speed, ±1.6 %"
[[nodiscard]] std::string short_orders_text(const DefectOrders& orders);
/// "1480.0 rpm ±0.014 %, given, refined from the data"
[[nodiscard]] std::string speed_text(const ShaftSpeed& speed);
/// "BEARING FAULT: inner ring; VIBRATION IN ZONE C", the title of a point in every report.
[[nodiscard]] std::string title_of(const Assessment& assessment);
/// The colour of an urgency, one rule for all reports.
[[nodiscard]] Tone tone_of(Urgency urgency) noexcept;
/// The urgency with its deadline, and the actions.
[[nodiscard]] ReportSection action_section(const Assessment& assessment);
/// What a recording after work says by itself, as diagnose does.
[[nodiscard]] ReportSection present_section(const Assessment& present, std::string recording);
/// One of the levels of a channel, but for the velocity: its column in reports and its key in JSON.
struct FigureColumn {
  std::string_view title, unit;
  std::string_view key;
  std::string_view acceleration_key;  ///< of a level in the samples' unit where that is m/s2
  std::optional<double> (*of)(const SignalFigures&);
};
[[nodiscard]] std::span<const FigureColumn> figure_columns();
[[nodiscard]] ReportSection level_section(const std::vector<SignalFigures>& figures);
[[nodiscard]] ReportSection finding_section(const Findings& findings);
/// Which machine and point, its vibration by the standard, and what the other end shows.
[[nodiscard]] ReportSection machine_section(const DiagnosedMachine& machine);
/// "A up to 0.71, B up to 1.8, C up to 4.5 mm/s, D above; class I, ISO 10816-1:1995 ..."
[[nodiscard]] std::string limits_text(const ZoneLimits& limits);
/// How far the limits are confirmed, those in displacement too.
[[nodiscard]] std::string limits_status(const ZoneLimits& limits);
/// "+6.3", "-13.7", "0.0": a change with one decimal; what rounds to nothing has no sign.
[[nodiscard]] std::string signed_tenths(double value);
/// The unit as written for people, with the power as a superscript: "m/s²".
[[nodiscard]] std::string shown_unit(SampleUnit unit);
/// "since 2026-03-16", or "new on" the day of the latest reading of several; s.since has a value.
[[nodiscard]] std::string since_text(const Standing& standing);
/// "3 OF 4 MACHINES NEED ATTENTION, 1 TO MEASURE AGAIN", "ALL OK": numbers of machines.
[[nodiscard]] std::string attention_words(std::size_t affected, std::size_t again, std::size_t all);
/// Unit in which the trade reads levels, mm/s and µm instead of m/s and m, and how many of it are
/// one of the SI unit.
struct ReadingUnit {
  std::string name;
  double per_si{1};
};
[[nodiscard]] ReadingUnit reading_unit(SampleUnit unit);

}  // namespace bearingdsp
