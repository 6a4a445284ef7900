#include "bearingdsp/bearing/clearance.hpp"

#include <vector>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {
namespace {

struct ClearanceRow {
  std::string type, clearance;
  double over, to, low, high;
  std::string source;
};

const std::vector<ClearanceRow>& clearance_rows() {
  static const auto all =
      table::built_in(data::radial_clearance, "radial clearance", [](const table::Cells& r) {
        return ClearanceRow{r.text("type"),  r.text("class"),  r.number("over"), r.number("to"),
                            r.number("low"), r.number("high"), r.text("source")};
      });
  return all;
}

}  // namespace

std::optional<ClearanceRange> radial_clearance(BearingType type, ClearanceClass clearance,
                                               double bore_mm) {
  for (const ClearanceRow& r : clearance_rows())
    if (r.type == token(type) && r.clearance == token(clearance) && bore_mm > r.over &&
        bore_mm <= r.to)
      return ClearanceRange{r.low, r.high, r.source};
  return std::nullopt;
}

}  // namespace bearingdsp
