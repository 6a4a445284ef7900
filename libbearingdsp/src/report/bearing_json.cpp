#include <string>

#include "bearingdsp/report/bearing.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

Json suffixes_json(const Designation& d) {
  Json list = Json::array();
  for (const SuffixReading& s : d.suffixes)
    list.push_back({{"suffix", s.text},
                    {"group", s.makers_own() ? Json{} : Json(s.group)},
                    {"meaning", s.meaning}});
  return list;
}

Json orders_json(const DefectOrders& o, std::optional<Rpm> speed) {
  const auto hz = [&](Order k) {
    return speed ? Json(at_speed(k, shaft_rate(*speed)).value()) : Json{};
  };
  return {{"rolling_elements", o.rolling_elements},
          {"bpfo_orders", o.bpfo.value()},
          {"bpfi_orders", o.bpfi.value()},
          {"bsf_orders", o.bsf.value()},
          {"ftf_orders", o.ftf.value()},
          {"bpfo_hz", hz(o.bpfo)},
          {"bpfi_hz", hz(o.bpfi)},
          {"bsf_hz", hz(o.bsf)},
          {"ftf_hz", hz(o.ftf)},
          {"relative_uncertainty", o.relative_uncertainty},
          {"bpfo_relative_uncertainty", o.uncertainty(Part::outer_ring)},
          {"origin", token(o.origin)},
          {"source", o.source}};
}

Json facts_json(const BearingFacts& f, std::optional<Rpm> speed) {
  const Designation& d = f.designation;
  Json j;
  j["designation"] = d.text();
  j["basic"] = d.basic();
  j["type"] = token(d.type);
  j["series"] = d.letters + d.series;
  j["dimension_series"] = d.dimension_series.empty() ? Json{} : Json(d.dimension_series);
  j["bore_mm"] = d.bore_mm;
  j["outside_diameter_mm"] = or_null(f.size.outside_diameter);
  j["width_mm"] = or_null(f.size.width);
  j["chamfer_mm"] = or_null(f.size.chamfer);
  j["size_source"] = f.size.source;
  j["closure"] = token(d.closure);
  j["closed_sides"] = d.closed_sides;
  j["clearance"] = token(d.clearance);
  j["clearance_marked"] = d.clearance_marked;
  j["clearance_low_um"] = f.clearance ? Json(f.clearance->low_um) : Json{};
  j["clearance_high_um"] = f.clearance ? Json(f.clearance->high_um) : Json{};
  j["clearance_source"] = f.clearance ? Json(f.clearance->source) : Json{};
  j["contact_angle_deg"] = d.contact_angle ? Json(d.contact_angle->value()) : Json{};
  j["suffixes"] = suffixes_json(d);
  j["makers_own"] = d.makers_own();
  j["variants"] = Json::array();
  for (const BearingCandidate& c : f.candidates) {
    j["variants"].push_back(orders_json(c.orders, speed));
    j["variants"].back()["probability"] = c.weight;
    j["variants"].back()["basis"] = c.basis;
  }
  return j;
}

Json candidates_json(const std::vector<SizeCandidate>& sizes) {
  Json list = Json::array();
  for (const SizeCandidate& c : sizes)
    list.push_back({{"bore_mm", c.size.bore},
                    {"outside_diameter_mm", c.size.outside_diameter},
                    {"width_mm", c.width_fits ? Json(c.size.width) : Json{}},
                    {"misfit_mm", c.misfit_mm},
                    {"designations", c.designations}});
  return list;
}

}  // namespace

std::string bearing_json(std::string_view asked, const std::vector<BearingFacts>& readings,
                         std::optional<Rpm> speed, const JsonOptions& options) {
  Json json = headed("bearingdsp.bearing/1");
  json["asked"] = asked;
  json["speed_rpm"] = speed ? Json(speed->value()) : Json{};
  json["readings"] = Json::array();
  for (const BearingFacts& f : readings) json["readings"].push_back(facts_json(f, speed));
  return dumped(json, options.pretty);
}

std::string size_search_json(const MeasuredSize& measured, const SizeSearch& search,
                             const JsonOptions& options) {
  Json json = headed("bearingdsp.bearing-size/1");
  json["bore_mm"] = or_null(measured.bore);
  json["outside_diameter_mm"] = or_null(measured.outside_diameter);
  json["width_mm"] = or_null(measured.width);
  json["fitting"] = candidates_json(search.fitting);
  json["nearest"] = candidates_json(search.nearest);
  json["inch_size"] = search.inch.empty() ? Json{} : Json(search.inch);
  return dumped(json, options.pretty);
}

}  // namespace bearingdsp
