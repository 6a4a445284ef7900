#include <fmt/format.h>

#include <array>
#include <string>
#include <utility>

#include "bearingdsp/report/model.hpp"
#include "sections.hpp"

namespace bearingdsp {

Report frequencies_report(std::string_view title, const DefectOrders& orders,
                          std::optional<Rpm> speed) {
  struct Row {
    std::string_view what, trade_name;
    Order order;
  };
  const std::array<Row, 5> rows{{{"outer ring", "BPFO", orders.bpfo},
                                 {"inner ring", "BPFI", orders.bpfi},
                                 {"rolling element", "BSF", orders.bsf},
                                 {"element on both rings", "2 x BSF", 2.0 * orders.bsf},
                                 {"cage", "FTF", orders.ftf}}};
  Report r;
  r.title = fmt::format("Defect frequencies of {}", title);
  if (orders.rolling_elements > 0)
    r.title += fmt::format(", {} rolling elements", orders.rolling_elements);
  if (speed) r.title += fmt::format(", at {} rpm", significant(speed->value(), 5));

  ReportSection s;
  s.id = "frequencies";
  ReportTable t;
  t.columns = {{"Defect on", "", false}, {"", "", false}, {"Orders", "per revolution", true}};
  if (speed) {
    t.columns.push_back({"Frequency", "Hz", true});
    t.columns.push_back({"Per minute", "cpm", true});
  }
  for (const Row& row : rows) {
    std::vector<std::string> cells{std::string{row.what}, std::string{row.trade_name},
                                   significant(row.order.value(), 5)};
    if (speed) {
      const double hz = at_speed(row.order, shaft_rate(*speed)).value();
      cells.push_back(significant(hz, 5));
      cells.push_back(significant(60 * hz, 5));
    }
    t.rows.push_back(std::move(cells));
  }
  s.table = std::move(t);
  s.figures.push_back({"Known", origin_text(orders)});
  s.notes.emplace_back(
      "Outer ring fixed, inner ring rotates with the shaft. Slip shifts real lines by up to 1-2 %. "
      "A damaged element strikes both rings, so 2 x BSF is often the stronger line.");
  if (!speed) s.notes.emplace_back("Give --rpm to see them in Hz.");
  r.sections.push_back(std::move(s));
  return r;
}

}  // namespace bearingdsp
