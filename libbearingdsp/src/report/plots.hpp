#pragma once
/// Plots of a diagnosis: its curves with the places where lines are expected.
#include <vector>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// A plot per curve: envelope spectra (x in orders, or in Hz with "envelope" in the title) with
/// defect markers, then spectra (x in Hz), then waveforms (x in s).
[[nodiscard]] std::vector<ReportPlot> diagnosis_plots(const Diagnosis& diagnosis);

}  // namespace bearingdsp
