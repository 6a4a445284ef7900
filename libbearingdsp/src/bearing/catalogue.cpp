#include "bearingdsp/bearing/catalogue.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "bearing/compact_name.hpp"
#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/core/near_miss.hpp"

namespace bearingdsp {
namespace {

using table::Row;
using table::Table;

const std::vector<std::string> columns = {"name",
                                          "inside",
                                          "envelope",
                                          "rolling_elements",
                                          "element_diameter",
                                          "pitch_diameter",
                                          "contact_angle_deg",
                                          "unit",
                                          "bpfo",
                                          "bpfi",
                                          "bsf",
                                          "ftf",
                                          "spread",
                                          "weight",
                                          "status",
                                          "source"};

Result<EntryStatus> status_of(const Table& t, const Row& row) {
  const auto text = t.field(row, "status");
  if (text.empty()) return EntryStatus::user;
  if (const auto status = from_token<EntryStatus>(text)) return *status;
  return t.error(row, "status", fmt::format("'{}' is not known", text),
                 "use confirmed, inferred, memory or user");
}

/// d cos(a) / D of a row, from its ring orders.
double ratio_of(const DefectOrders& o) { return 1 - 2 * o.bpfo.value() / o.rolling_elements; }

/// Half-widths of the orders from that of x = d cos(a) / D, as a fraction of it: BPFO and FTF go
/// with 1 - x, BPFI with 1 + x, BSF with (1 - x^2) / x. Closed form: first derivatives.
void set_uncertainty(DefectOrders& orders, double spread) {
  const double x = ratio_of(orders);
  // A thrust bearing: the rings' orders are Z / 2 whatever its elements.
  constexpr double thrust = 1e-6;
  constexpr double of_thrust = 0.005;
  const double outer = x > thrust ? spread * x / (1 - x) : of_thrust;
  const double inner = x > thrust ? spread * x / (1 + x) : of_thrust;
  const double spin = spread * (1 + x * x) / (1 - x * x);
  orders.part_uncertainty = {outer, inner, spin, outer};
  orders.relative_uncertainty = std::max(spin, outer);
}

/// Measured spread of what is known of one and the same bearing: the published pitch diameters of
/// 6205 (38.5 to 39.1) and of 6203 (28.5 to 29.05) differ by 1 % to either side.
constexpr double one_bearing_spread = 0.01;

Result<BearingGeometry> geometry_of(const Table& t, const Row& row, int z) {
  const auto d = t.number(row, "element_diameter");
  if (!d) return d.error();
  const auto pitch = t.number(row, "pitch_diameter");
  if (!pitch) return pitch.error();
  double angle = 0;
  if (!t.field(row, "contact_angle_deg").empty()) {
    const auto a = t.number(row, "contact_angle_deg");
    if (!a) return a.error();
    angle = *a;
  }
  const auto unit = t.field(row, "unit");
  double scale = 1;
  if (unit == "in")
    scale = 25.4;
  else if (!unit.empty() && unit != "mm")
    return t.error(row, "unit", fmt::format("'{}' is not known", unit), "use mm or in");
  return BearingGeometry{z, *d * scale, *pitch * scale, Degrees{angle}};
}

Result<DefectOrders> published_orders(const Table& t, const Row& row, int z) {
  DefectOrders o;
  const auto take = [&](std::string_view column, Order& order) -> Result<void> {
    const auto v = t.number(row, column);
    if (!v) return v.error();
    if (!(std::isfinite(*v) && *v > 0))
      return t.error(row, column, fmt::format("{} is not above 0", *v),
                     "give orders of the shaft speed");
    order = Order{*v};
    return {};
  };
  for (const auto& [column, order] : {std::pair<std::string_view, Order*>{"bpfo", &o.bpfo},
                                      {"bpfi", &o.bpfi},
                                      {"bsf", &o.bsf},
                                      {"ftf", &o.ftf}})
    if (auto ok = take(column, *order); !ok) return ok.error();
  o.rolling_elements = z;
  constexpr double rounding = 0.005;
  if (std::abs((o.bpfo + o.bpfi).value() / z - 1) > rounding)
    return t.error(row, "bpfi", "bpfo + bpfi is not the number of elements", "check the orders");
  if (std::abs(o.bpfo.value() / (z * o.ftf.value()) - 1) > rounding)
    return t.error(row, "ftf", "bpfo is not ftf times the number of elements", "check the orders");
  return o;
}

Result<CatalogueEntry> entry_of(const Table& t, const Row& row) {
  CatalogueEntry e;
  e.name = t.field(row, "name");
  e.envelope = t.field(row, "envelope");
  e.source = t.field(row, "source");
  e.inside = t.field(row, "inside");
  for (const auto& [column, value] :
       {std::pair<std::string_view, double*>{"spread", &e.spread}, {"weight", &e.weight}}) {
    if (t.field(row, column).empty()) continue;
    const auto v = t.number(row, column);
    if (!v) return v.error();
    if (!(*v >= 0 && *v <= 1))
      return t.error(row, column, fmt::format("{} is not between 0 and 1", *v), "give a fraction");
    *value = *v;
  }
  if (e.name.empty()) return t.error(row, "name", "is empty", "give the designation");
  const auto status = status_of(t, row);
  if (!status) return status.error();
  e.status = *status;
  const auto z = t.number(row, "rolling_elements");
  if (!z) return z.error();
  if (!(*z >= 3 && *z <= 1000 && *z == std::floor(*z)))
    return t.error(row, "rolling_elements", fmt::format("{} is not a valid number of elements", *z),
                   "give a whole number of at least 3, for one row");
  const int count = static_cast<int>(*z);
  const bool by_orders = t.field(row, "element_diameter").empty() && !t.field(row, "bpfo").empty();
  if (by_orders) {
    auto orders = published_orders(t, row, count);
    if (!orders) return orders.error();
    e.orders = *orders;
  } else {
    auto geometry = geometry_of(t, row, count);
    if (!geometry) return geometry.error();
    auto orders = defect_orders(*geometry);
    if (!orders) return t.error(row, e.name, orders.error().what, orders.error().advice);
    e.geometry = *geometry;
    e.orders = *orders;
  }
  if (!t.field(row, "spread").empty() || e.status != EntryStatus::user)
    set_uncertainty(e.orders,
                    std::max(e.spread, e.status == EntryStatus::user ? 0.0 : one_bearing_spread));
  e.orders.origin = OrdersOrigin::catalogue;
  e.orders.source =
      fmt::format("{} in {}{}{}", e.name, t.where, e.source.empty() ? "" : ": ", e.source);
  return e;
}

/// Middle and half-widths of rows that agree. The middle keeps bpfo + bpfi = Z and bpfo = Z ftf.
void merge(const std::vector<const CatalogueEntry*>& rows, DefectOrders& merged) {
  std::pair<double, double> x{HUGE_VAL, 0}, bsf{HUGE_VAL, 0};
  double spread = 0;
  bool listed = false;  // not only in the user's own list
  for (const auto* e : rows) {
    const double own = ratio_of(e->orders);
    x = {std::min(x.first, own), std::max(x.second, own)};
    const double spin = e->orders.bsf.value();
    bsf = {std::min(bsf.first, spin), std::max(bsf.second, spin)};
    spread = std::max(spread, e->spread);
    listed = listed || e->status != EntryStatus::user;
  }
  const double middle = 0.5 * (x.first + x.second);
  const double half = middle > 0 ? 0.5 * (x.second - x.first) / middle : 0.0;
  // What manufacturers build spreads by `spread` in all: the rows show a part of it.
  const double margin = listed ? one_bearing_spread : 0.0;
  const double width = std::max(spread - half, half + margin);
  merged.bpfo = Order{0.5 * merged.rolling_elements * (1 - middle)};
  merged.bpfi = Order{merged.rolling_elements - merged.bpfo.value()};
  merged.ftf = merged.bpfo / merged.rolling_elements;
  merged.bsf = Order{0.5 * (bsf.first + bsf.second)};
  set_uncertainty(merged, width);
  const double spin = (bsf.second / bsf.first - 1) / 2 + margin;
  auto& spin_width = merged.part_uncertainty[static_cast<std::size_t>(Part::rolling_element)];
  spin_width = std::max(spin_width, spin);
  merged.relative_uncertainty = std::max(merged.relative_uncertainty, spin_width);
  merged.source += fmt::format(" (and {} more that agree)", rows.size() - 1);
}

/// A number of a bearing, not a name.
bool begins_with_digit(std::string_view text) { return !text.empty() && is_digit(text.front()); }

Catalogue parsed_built_in() {
  // The data file is part of the build and a test reads it, so value() does not throw here.
  return parse_catalogue(data::bearings, "the catalogue").value();
}

}  // namespace

std::string_view token(EntryStatus status) noexcept {
  switch (status) {
    case EntryStatus::user:
      return "user";
    case EntryStatus::confirmed:
      return "confirmed";
    case EntryStatus::inferred:
      return "inferred";
    case EntryStatus::memory:
      return "memory";
  }
  return "user";
}

const Catalogue& built_in_catalogue() {
  static const Catalogue catalogue = parsed_built_in();
  return catalogue;
}

Result<Catalogue> parse_catalogue(std::string_view text, std::string_view where) {
  const auto t = table::read(text, where, columns);
  if (!t) return t.error();
  for (const char* needed : {"name", "rolling_elements"})
    if (!t->column(needed))
      return Error{Errc::corrupt_file, std::string{where},
                   fmt::format("column '{}' is missing", needed),
                   "add it to the line of column names"};
  const bool sizes = t->column("element_diameter") && t->column("pitch_diameter");
  const bool orders =
      t->column("bpfo") && t->column("bpfi") && t->column("bsf") && t->column("ftf");
  if (!sizes && !orders)
    return Error{Errc::corrupt_file, std::string{where}, "neither sizes nor orders are given",
                 "add the columns element_diameter and pitch_diameter"};
  Catalogue c;
  for (const auto& row : t->rows) {
    auto e = entry_of(*t, row);
    if (!e) return e.error();
    c.entries.push_back(std::move(*e));
  }
  return c;
}

Result<std::vector<CatalogueEntry>> find_bearing(std::string_view designation,
                                                 const Catalogue& catalogue) {
  const auto wanted = basic_designations(designation);
  if (wanted.front().empty())
    return Error{Errc::bad_argument, "bearing", "the designation is empty", "give one like 6205"};
  for (const auto& basic : wanted) {
    std::vector<CatalogueEntry> rows;
    for (const auto& e : catalogue.entries)
      if (compact_designation(e.name) == basic) rows.push_back(e);
    for (const auto& e : catalogue.entries)
      if (!e.envelope.empty() && compact_designation(e.envelope) == basic) rows.push_back(e);
    if (!rows.empty()) return rows;
  }
  // Only names of letters are offered: a number one figure away is another bearing.
  std::vector<std::string> known;
  for (const auto& e : catalogue.entries)
    if (auto text = compact_designation(e.name); !begins_with_digit(text))
      known.push_back(std::move(text));
  const std::string otherwise =
      "give the number of elements, better with the two diameters, instead";
  std::string advice;
  if (!begins_with_digit(wanted.back())) advice = did_you_mean(wanted.back(), known, "");
  if (advice.empty()) advice = otherwise;
  return Error{Errc::not_found, fmt::format("bearing '{}'", designation.substr(0, 60)),
               "is not in the catalogue", std::move(advice)};
}

std::vector<BearingCandidate> weighted_variants(const std::vector<CatalogueEntry>& rows) {
  constexpr double same = 0.03;
  std::vector<std::vector<const CatalogueEntry*>> groups;
  std::vector<const CatalogueEntry*> sorted;
  sorted.reserve(rows.size());
  for (const auto& r : rows) sorted.push_back(&r);
  std::stable_sort(sorted.begin(), sorted.end(), [](const auto* a, const auto* b) {
    return a->envelope.empty() != b->envelope.empty() ? a->envelope.empty() : a->status < b->status;
  });
  double total = 0;
  for (const auto* r : sorted) {
    const auto fits = [&](const auto& g) {
      const auto& first = g.front()->orders;
      return first.rolling_elements == r->orders.rolling_elements &&
             std::abs(r->orders.bpfo / first.bpfo - 1) <= same;
    };
    const auto it = std::find_if(groups.begin(), groups.end(), fits);
    if (it == groups.end())
      groups.push_back({r});
    else
      it->push_back(r);
    total += r->weight;
  }
  std::vector<BearingCandidate> result;
  for (const auto& g : groups) {
    BearingCandidate c;
    c.orders = g.front()->orders;
    if (g.size() > 1)
      merge(g, c.orders);
    else if (g.front()->spread > one_bearing_spread)
      set_uncertainty(c.orders, g.front()->spread);
    c.weight = 0;
    for (const auto* r : g) c.weight += r->weight / (total > 0 ? total : 1);
    c.basis =
        g.size() == 1 ? "catalogue, 1 source" : fmt::format("catalogue, {} sources", g.size());
    result.push_back(std::move(c));
  }
  std::stable_sort(result.begin(), result.end(),
                   [](const auto& a, const auto& b) { return a.weight > b.weight; });
  return result;
}

std::vector<DefectOrders> variants(const std::vector<CatalogueEntry>& rows) {
  std::vector<DefectOrders> result;
  for (auto& c : weighted_variants(rows)) result.push_back(std::move(c.orders));
  return result;
}

}  // namespace bearingdsp
