#pragma once
/// Parts that several reports share.
#include <string>
#include <vector>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// "6205: BPFO 3.585, BPFI 5.415 ... orders (9 elements, from geometry)" with the uncertainty.
[[nodiscard]] std::string orders_text(const DefectOrders& orders);
/// Where orders come from, in plain words with how well they are known.
[[nodiscard]] std::string origin_text(const DefectOrders& orders);
[[nodiscard]] ReportSection level_section(const std::vector<SignalFigures>& figures);
[[nodiscard]] ReportSection finding_section(const Findings& findings);
/// The unit as written for people, with the power as a superscript: "m/s²".
[[nodiscard]] std::string shown_unit(SampleUnit unit);

}  // namespace bearingdsp
