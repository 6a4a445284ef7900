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
  // The data file is part of the build and a test reads it, so value() does not throw here.
  static const std::vector<ClearanceRow> all = [] {
    const auto t = table::read(data::radial_clearance, "radial clearance",
                               {"type", "class", "over", "to", "low", "high", "source"})
                       .value();
    std::vector<ClearanceRow> list;
    for (const auto& r : t.rows)
      list.push_back({std::string{t.field(r, "type")}, std::string{t.field(r, "class")},
                      t.number(r, "over").value(), t.number(r, "to").value(),
                      t.number(r, "low").value(), t.number(r, "high").value(),
                      std::string{t.field(r, "source")}});
    return list;
  }();
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
