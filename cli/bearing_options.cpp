#include "bearing_options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "options.hpp"

namespace cli {
using namespace bearingdsp;

void add_bearing_options(CLI::App& command, BearingOptions& o) {
  const std::string group = "The bearing (one of these)";
  command
      .add_option("-b,--bearing", o.name,
                  "designation, for example 6205 or \"6205-2RS C3\"; or type and bore in mm: "
                  "\"deep groove, "
                  "bore 45\"")
      ->type_name("NAME")
      ->group(group);
  command
      .add_option("--geometry", o.geometry,
                  "number of elements in a row, element diameter, pitch diameter; contact angle if "
                  "not 0 degrees")
      ->type_name("Z,d,D[,ANGLE]")
      ->group(group);
  command.add_option("--orders", o.orders, "defect orders (events per shaft revolution)")
      ->type_name("BPFO,BPFI,BSF,FTF")
      ->group(group);
  command
      .add_option("--elements", o.elements,
                  "number of rolling elements in a row, for an estimate; with --bearing it chooses "
                  "the variant")
      ->type_name("Z")
      ->group(group);
  command
      .add_option(
          "--sizes", o.sizes,
          "bore, outside diameter and width in mm, for an estimate; can be given with --bearing")
      ->type_name("d,D,B")
      ->group(group);
  command
      .add_option("--catalogue", o.catalogue, "look the designation up in this CSV file instead")
      ->type_name("FILE")
      ->group(group);
}

std::string element_counts(const std::vector<BearingCandidate>& candidates) {
  std::string text;
  for (std::size_t i = 0; i < candidates.size(); ++i)
    text += fmt::format("{}{}",
                        i == 0                       ? ""
                        : i + 1 == candidates.size() ? " or "
                                                     : ", ",
                        candidates[i].orders.rolling_elements);
  return text;
}

std::vector<DefectOrders> ChosenBearing::variants() const { return orders_of(candidates); }

namespace {

/// --sizes BORE,OUTSIDE,WIDTH
Result<std::optional<BoundaryDimensions>> sizes_of(const BearingOptions& o) {
  if (o.sizes.empty()) return std::optional<BoundaryDimensions>{};
  const auto v = numbers(o.sizes, "--sizes", 3, 3);
  if (!v) return v.error();
  return std::optional{BoundaryDimensions{(*v)[0], (*v)[1], (*v)[2]}};
}

Result<ChosenBearing> by_name(const BearingOptions& o) {
  const auto sizes = sizes_of(o);
  if (!sizes) return sizes.error();
  const BearingHints hints{o.elements, *sizes};
  Result<std::vector<BearingCandidate>> candidates = Error{};
  if (o.catalogue.empty()) {
    candidates = bearing_candidates(o.name, hints);
  } else {
    const auto text = read_text_file(o.catalogue);
    if (!text) return text.error();
    const auto catalogue = parse_catalogue(*text, o.catalogue);
    if (!catalogue) return catalogue.error();
    candidates = bearing_candidates(o.name, hints, *catalogue);
  }
  if (!candidates) {
    Error error = candidates.error();
    if (error.code == Errc::not_found)
      error.advice +=
          " (or give the number of elements with --elements, the outer sizes with --sizes, or the "
          "geometry with --geometry)";
    return error;
  }
  return ChosenBearing{o.name, std::move(*candidates)};
}

Result<ChosenBearing> single(std::string title, Result<DefectOrders> orders) {
  if (!orders) return orders.error();
  return ChosenBearing{std::move(title), {{std::move(*orders), 1, "given"}}};
}

Result<ChosenBearing> by_orders(const std::string& text) {
  const auto v = numbers(text, "--orders", 4, 4);
  if (!v) return v.error();
  for (const double k : *v)
    if (!(k > 0 && k < 1000))
      return Error{Errc::bad_argument, "--orders", "an order is not between 0 and 1000",
                   "give BPFO,BPFI,BSF,FTF like 3.585,5.415,2.357,0.398"};
  DefectOrders o;
  o.bpfo = Order{(*v)[0]};
  o.bpfi = Order{(*v)[1]};
  o.bsf = Order{(*v)[2]};
  o.ftf = Order{(*v)[3]};
  if (!(o.ftf < o.bsf && o.bpfo < o.bpfi))
    return Error{Errc::bad_argument, "--orders", "these orders cannot belong to one bearing",
                 "give them in the order BPFO,BPFI,BSF,FTF"};
  o.origin = OrdersOrigin::given;
  return ChosenBearing{"the given orders", {{o, 1, "given"}}};
}

}  // namespace

Result<ChosenBearing> choose_bearing(const BearingOptions& o) {
  const int ways =
      (o.name.empty() ? 0 : 1) + (o.geometry.empty() ? 0 : 1) + (o.orders.empty() ? 0 : 1);
  const bool hints = o.elements.has_value() || !o.sizes.empty();
  if (ways > 1 || (hints && !(o.geometry.empty() && o.orders.empty())))
    return Error{
        Errc::bad_argument, "bearing", "the bearing is described in more than one way",
        "give one of --bearing, --geometry, --orders; --elements and --sizes go with --bearing "
        "or alone"};
  if (!o.catalogue.empty() && o.name.empty())
    return Error{Errc::bad_argument, "--catalogue",
                 "a catalogue is given without a designation to look up", "add --bearing NAME"};
  if (!o.name.empty()) return by_name(o);
  if (!o.orders.empty()) return by_orders(o.orders);
  if (!o.geometry.empty()) {
    const auto v = numbers(o.geometry, "--geometry", 3, 4);
    if (!v) return v.error();
    const auto z = static_cast<int>(std::clamp((*v)[0], -1e6, 1e6));
    if (static_cast<double>(z) != (*v)[0])
      return Error{Errc::bad_argument, "--geometry", "the number of elements is not a whole number",
                   "write it like 9,7.94,39.04"};
    return single("the given geometry",
                  defect_orders({z, (*v)[1], (*v)[2], Degrees{v->size() > 3 ? (*v)[3] : 0.0}}));
  }
  if (!o.sizes.empty()) {
    const auto sizes = sizes_of(o);
    if (!sizes) return sizes.error();
    auto candidates = candidates_from_sizes(**sizes, BearingType::deep_groove_ball, o.elements);
    if (!candidates) return candidates.error();
    return ChosenBearing{"a bearing of " + o.sizes + " mm", std::move(*candidates)};
  }
  if (o.elements)
    return single(fmt::format("a bearing with {} elements", *o.elements),
                  orders_from_element_count(*o.elements));
  return ChosenBearing{};
}

}  // namespace cli
