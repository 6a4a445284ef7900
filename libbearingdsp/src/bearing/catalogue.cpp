#include "bearingdsp/bearing/catalogue.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "bearing/compact_name.hpp"
#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "core/near_miss.hpp"

namespace bearingdsp {
namespace {

using table::Row;
using table::Table;

const std::vector<std::string> columns = {"name",
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
                                          "status",
                                          "source"};

Result<EntryStatus> status_of(const Table& t, const Row& row) {
  const auto text = t.field(row, "status");
  if (text.empty()) return EntryStatus::user;
  for (const auto s :
       {EntryStatus::user, EntryStatus::confirmed, EntryStatus::inferred, EntryStatus::memory})
    if (text == name(s)) return s;
  return t.error(row, "status", fmt::format("'{}' is not known", text),
                 "use confirmed, inferred, memory or user");
}

/// Measured spread of what is known of one and the same bearing: the published pitch diameters of
/// 6205 (38.5 to 39.1) and of 6203 (28.5 to 29.05) move the rings' orders by 0.3 % and the spin by
/// 1 % to either side.
void set_uncertainty(DefectOrders& orders, EntryStatus status) {
  if (status == EntryStatus::user) return;
  constexpr double rings = 0.003;
  constexpr double spin = 0.0105;
  orders.part_uncertainty = {rings, rings, spin, rings};
  orders.relative_uncertainty = spin;
}

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
      return t.error(row, column, fmt::format("{} is not above 0", *v), "give orders of the shaft");
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
  if (e.name.empty()) return t.error(row, "name", "is empty", "give the designation");
  const auto status = status_of(t, row);
  if (!status) return status.error();
  e.status = *status;
  const auto z = t.number(row, "rolling_elements");
  if (!z) return z.error();
  if (!(*z >= 3 && *z <= 1000 && *z == std::floor(*z)))
    return t.error(row, "rolling_elements", fmt::format("{} is not a count of elements", *z),
                   "give a whole number from 3 up, of one row");
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
  set_uncertainty(e.orders, e.status);
  e.orders.origin = OrdersOrigin::catalogue;
  e.orders.source =
      fmt::format("{} in {}{}{}", e.name, t.where, e.source.empty() ? "" : ": ", e.source);
  return e;
}

/// Middle and half-widths of rows that agree. The middle keeps bpfo + bpfi = Z and bpfo = Z ftf.
void merge(const std::vector<const CatalogueEntry*>& rows, DefectOrders& merged) {
  const auto range = [&](Part part) {
    std::pair<double, double> r{HUGE_VAL, 0};
    for (const auto* e : rows) {
      const double k = e->orders.of(part).value();
      const double own = e->orders.uncertainty(part);
      r.first = std::min(r.first, k * (1 - own));
      r.second = std::max(r.second, k * (1 + own));
    }
    return r;
  };
  const auto middle = [](std::pair<double, double> r) { return 0.5 * (r.first + r.second); };
  merged.bpfo = Order{middle(range(Part::outer_ring))};
  merged.bpfi = Order{merged.rolling_elements - merged.bpfo.value()};
  merged.ftf = merged.bpfo / merged.rolling_elements;
  merged.bsf = Order{middle(range(Part::rolling_element))};
  merged.relative_uncertainty = 0;
  for (int p = 0; p < part_count; ++p) {
    const Part part = static_cast<Part>(p);
    const auto [low, high] = range(part);
    const double centre = merged.of(part).value();
    const double half = std::max(high / centre - 1, 1 - low / centre);
    merged.part_uncertainty[static_cast<std::size_t>(p)] = half;
    merged.relative_uncertainty = std::max(merged.relative_uncertainty, half);
  }
  merged.source += fmt::format(" (and {} more that agree)", rows.size() - 1);
}

Catalogue parsed_built_in() {
  // The data file is part of the build and a test reads it, so value() does not throw here.
  return parse_catalogue(data::bearings, "the catalogue").value();
}

}  // namespace

std::string_view name(EntryStatus status) noexcept {
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
  std::vector<std::string> known;
  for (const auto& e : catalogue.entries) known.push_back(compact_designation(e.name));
  const std::string otherwise =
      "give the number of elements, better with the two diameters, instead";
  auto advice = did_you_mean(wanted.back(), known, "");
  if (advice.empty()) advice = did_you_mean(wanted.front(), known, otherwise);
  return Error{Errc::not_found, fmt::format("bearing '{}'", designation.substr(0, 60)),
               "is not in the catalogue", std::move(advice)};
}

std::vector<DefectOrders> variants(const std::vector<CatalogueEntry>& rows) {
  constexpr double same = 0.03;
  std::vector<std::vector<const CatalogueEntry*>> groups;
  std::vector<const CatalogueEntry*> sorted;
  sorted.reserve(rows.size());
  for (const auto& r : rows) sorted.push_back(&r);
  std::stable_sort(sorted.begin(), sorted.end(), [](const auto* a, const auto* b) {
    return a->envelope.empty() != b->envelope.empty() ? a->envelope.empty() : a->status < b->status;
  });
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
  }
  std::vector<DefectOrders> result;
  for (const auto& g : groups) {
    DefectOrders merged = g.front()->orders;
    if (g.size() > 1) merge(g, merged);
    result.push_back(std::move(merged));
  }
  return result;
}

}  // namespace bearingdsp
