#pragma once
/// Plots and maps of analysed recordings: their curves with the places where lines are expected.
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// A plot per curve: envelope spectra (x in orders, or in Hz with "envelope" in the title) with
/// defect markers, then spectra (x in Hz), then waveforms (x in s).
[[nodiscard]] std::vector<ReportPlot> diagnosis_plots(const Diagnosis& diagnosis);
/// How the band was chosen, and which carriers pulse at which order; those that the diagnosis kept.
/// They stand behind the envelope spectra.
[[nodiscard]] std::vector<ReportMap> diagnosis_maps(const Diagnosis& diagnosis,
                                                    const std::vector<ReportPlot>& plots);

/// Spectra of both sides over each other: envelope, velocity, acceleration; those that both have.
[[nodiscard]] std::vector<ReportPlot> comparison_plots(const BeforeAfter& result);
/// The spectra of one recording, where they were kept; markers where lines are expected.
[[nodiscard]] std::vector<ReportPlot> recording_plots(const ComparedRecording& recording);
/// Every level's change against what chance does; none where no levels were compared.
[[nodiscard]] std::optional<ReportChanges> level_changes(const BeforeAfter& result);

/// Spectra over the readings, the latest on top: of the envelope and of the velocity. Of fewer than
/// two visits with a kept spectrum none. At most `max_visits` rows, the latest ones.
[[nodiscard]] std::vector<ReportMap> visit_maps(const PointHistory& history,
                                                std::size_t max_visits);

// What they share.

/// A level of a change in the unit that is shown, and that unit.
[[nodiscard]] std::string level_text(const LevelChange& change, double value);
[[nodiscard]] std::string unit_text(const LevelChange& change);

/// The first three harmonics of every part (of the bearing, where it is known) and of the shaft, in
/// orders up to `end`.
[[nodiscard]] std::vector<PlotMarker> expected_markers(const std::optional<DefectOrders>& orders,
                                                       double end);
/// Orders worth showing: three to four harmonics of the highest family.
[[nodiscard]] double orders_shown(const std::optional<DefectOrders>& orders);
[[nodiscard]] std::vector<PlotSpacing> spacings(const std::optional<DefectOrders>& orders,
                                                double scale);
/// An axis that says what it shows where the signal has no known unit.
void name_axis(ReportPlot& plot, std::string label, std::string unit);
/// The same of an envelope spectrum: its modulation depth has no unit, and a word says more.
void name_envelope_axis(ReportPlot& plot, const std::string& unit);
/// The velocity in the band that machine standards judge, from a spectrum of the acceleration, or
/// of the velocity itself; none from another unit. The title is taken over.
[[nodiscard]] std::optional<ReportPlot> velocity_plot(const ReportPlot& spectrum);

}  // namespace bearingdsp
