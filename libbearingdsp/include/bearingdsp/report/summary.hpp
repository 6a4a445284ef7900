#pragma once
/// One page for the plant manager: machines by urgency, what changed, what each needs. What waiting
/// costs is for the reader to say: it depends on the plant, not on the vibration.
#include <string>
#include <vector>

#include "bearingdsp/history/due.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// What the page is about.
struct PlantSummary {
  std::string plant;                 ///< its name, or the store
  std::vector<MachineDue> machines;  ///< as of machines_due()
};

/// The same for a terminal, with every machine in full.
[[nodiscard]] Report summary_report(const PlantSummary& summary);
/// "bearingdsp.summary/1"; `cost_of_waiting` is always null.
[[nodiscard]] std::string summary_json(const PlantSummary& summary,
                                       const JsonOptions& options = {});
/// A page that prints on one side of A4, with a column to write the cost of waiting in. Machines
/// for which there is no room are counted and named in a line; long texts are cut.
[[nodiscard]] std::string summary_html(const PlantSummary& summary);

}  // namespace bearingdsp
