#include "bearingdsp/report/plan_json.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

namespace bearingdsp {
namespace {

using Json = nlohmann::ordered_json;

std::string key_of(Part part) {
  std::string key{name(part)};
  for (char& c : key)
    if (c == ' ') c = '_';
  return key;
}

Json orders_json(const DefectOrders& o) {
  return {{"bpfo_orders", o.bpfo.value()},
          {"bpfi_orders", o.bpfi.value()},
          {"bsf_orders", o.bsf.value()},
          {"ftf_orders", o.ftf.value()},
          {"rolling_elements", o.rolling_elements},
          {"source", o.source}};
}

Json to_json(const SimulationPlan& p) {
  Json j;
  j["schema"] = "bearingdsp.plan/1";
  j["seed"] = p.seed;
  j["rate_hz"] = p.rate.value();
  j["duration_s"] = p.duration.value();
  j["speed_rpm"] = p.speed.value();
  j["speed_drift"] = p.speed_drift;
  j["speed_wander"] = p.speed_wander;
  j["bearing"] = p.orders ? orders_json(*p.orders) : Json{};
  j["defects"] = Json::array();
  for (const SimulatedDefect& d : p.defects)
    j["defects"].push_back({{"part", key_of(d.part)},
                            {"severity_m_s2", d.severity},
                            {"growth", d.growth},
                            {"slip", d.slip},
                            {"load_zone", d.load_zone},
                            {"cage_modulation", d.cage_modulation}});
  j["resonances"] = Json::array();
  for (const Resonance& r : p.resonances)
    j["resonances"].push_back(
        {{"frequency_hz", r.frequency.value()}, {"damping", r.damping}, {"gain", r.gain}});
  j["mean_slip"] = p.mean_slip;
  j["variable_compliance_m_s2"] = p.variable_compliance;
  j["noise_m_s2"] = p.noise;
  j["noise_colour"] = p.noise_colour;
  j["shaft_harmonics_m_s2"] = p.shaft_harmonics;
  j["shaft_modulation"] = p.shaft_modulation;
  j["gear_lines"] = Json::array();
  for (const auto& [order, amplitude] : p.gear_lines)
    j["gear_lines"].push_back({{"order", order.value()}, {"amplitude_m_s2", amplitude}});
  j["mains_hz"] = p.mains.value();
  j["mains_hum_m_s2"] = p.mains_hum;
  j["electrical_impulses_m_s2"] = p.electrical_impulses;
  j["shocks_per_second"] = p.shocks_per_second;
  j["shock_peak_m_s2"] = p.shock_peak;
  j["range_m_s2"] = p.range;
  j["bits"] = p.bits;
  return j;
}

/// Thrown inside this file only, turned into an Error at its edge.
struct Refused {
  std::string what;
};

double number(const Json& j, const std::string& key) {
  if (!j.is_number()) throw Refused{fmt::format("'{}' is not a number", key)};
  return j.get<double>();
}
const Json& list(const Json& j, const std::string& key) {
  if (!j.is_array()) throw Refused{fmt::format("'{}' is not a list", key)};
  return j;
}
const Json& object(const Json& j, const std::string& key) {
  if (!j.is_object()) throw Refused{fmt::format("'{}' is not an object", key)};
  return j;
}
int whole(const Json& j, const std::string& key) {
  const double v = number(j, key);
  if (v != std::floor(v) || std::abs(v) > 1e9)
    throw Refused{fmt::format("'{}' is not a whole number", key)};
  return static_cast<int>(v);
}
[[noreturn]] void unknown(const std::string& key) {
  throw Refused{fmt::format("unknown key '{}'", key)};
}

Part part_of(const Json& j) {
  for (int i = 0; i < part_count; ++i)
    if (j.is_string() && j.get<std::string>() == key_of(static_cast<Part>(i)))
      return static_cast<Part>(i);
  throw Refused{"'part' is none of outer_ring, inner_ring, rolling_element, cage"};
}

DefectOrders orders_of(const Json& j) {
  DefectOrders o;
  o.origin = OrdersOrigin::given;
  for (const auto& [key, v] : object(j, "bearing").items()) {
    if (key == "bpfo_orders")
      o.bpfo = Order{number(v, key)};
    else if (key == "bpfi_orders")
      o.bpfi = Order{number(v, key)};
    else if (key == "bsf_orders")
      o.bsf = Order{number(v, key)};
    else if (key == "ftf_orders")
      o.ftf = Order{number(v, key)};
    else if (key == "rolling_elements")
      o.rolling_elements = whole(v, key);
    else if (key == "source" && v.is_string())
      o.source = v.get<std::string>();
    else
      unknown("bearing." + key);
  }
  for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage})
    if (!(o.of(part).value() > 0))
      throw Refused{"'bearing' needs bpfo_orders, bpfi_orders, bsf_orders and ftf_orders above 0"};
  return o;
}

SimulatedDefect defect_of(const Json& j) {
  SimulatedDefect d;
  for (const auto& [key, v] : object(j, "defects").items()) {
    if (key == "part")
      d.part = part_of(v);
    else if (key == "severity_m_s2")
      d.severity = number(v, key);
    else if (key == "growth")
      d.growth = number(v, key);
    else if (key == "slip")
      d.slip = number(v, key);
    else if (key == "load_zone")
      d.load_zone = number(v, key);
    else if (key == "cage_modulation")
      d.cage_modulation = number(v, key);
    else
      unknown("defects." + key);
  }
  return d;
}

Resonance resonance_of(const Json& j) {
  Resonance r;
  for (const auto& [key, v] : object(j, "resonances").items()) {
    if (key == "frequency_hz")
      r.frequency = Hz{number(v, key)};
    else if (key == "damping")
      r.damping = number(v, key);
    else if (key == "gain")
      r.gain = number(v, key);
    else
      unknown("resonances." + key);
  }
  return r;
}

std::pair<Order, double> gear_of(const Json& j) {
  std::pair<Order, double> line{Order{0}, 0.0};
  for (const auto& [key, v] : object(j, "gear_lines").items()) {
    if (key == "order")
      line.first = Order{number(v, key)};
    else if (key == "amplitude_m_s2")
      line.second = number(v, key);
    else
      unknown("gear_lines." + key);
  }
  return line;
}

/// Fields that are plain numbers; false if the key is none of them.
bool set_number(SimulationPlan& p, const std::string& key, const Json& v) {
  const std::pair<std::string_view, double*> plain[] = {
      {"speed_drift", &p.speed_drift},
      {"speed_wander", &p.speed_wander},
      {"mean_slip", &p.mean_slip},
      {"variable_compliance_m_s2", &p.variable_compliance},
      {"noise_m_s2", &p.noise},
      {"noise_colour", &p.noise_colour},
      {"shaft_modulation", &p.shaft_modulation},
      {"mains_hum_m_s2", &p.mains_hum},
      {"electrical_impulses_m_s2", &p.electrical_impulses},
      {"shocks_per_second", &p.shocks_per_second},
      {"shock_peak_m_s2", &p.shock_peak},
      {"range_m_s2", &p.range}};
  for (const auto& [known, field] : plain)
    if (key == known) {
      *field = number(v, key);
      return true;
    }
  return false;
}

void set_field(SimulationPlan& p, const std::string& key, const Json& v) {
  if (set_number(p, key, v)) return;
  if (key == "schema") {
    if (v != "bearingdsp.plan/1") throw Refused{"'schema' is not bearingdsp.plan/1"};
  } else if (key == "seed") {
    if (!v.is_number_unsigned()) throw Refused{"'seed' is not a whole number from 0 on"};
    p.seed = v.get<std::uint64_t>();
  } else if (key == "rate_hz") {
    p.rate = Hz{number(v, key)};
  } else if (key == "duration_s") {
    p.duration = Seconds{number(v, key)};
  } else if (key == "speed_rpm") {
    p.speed = Rpm{number(v, key)};
  } else if (key == "mains_hz") {
    p.mains = Hz{number(v, key)};
  } else if (key == "bits") {
    p.bits = whole(v, key);
  } else if (key == "bearing") {
    if (!v.is_null()) p.orders = orders_of(v);
  } else if (key == "defects") {
    p.defects.clear();
    for (const Json& d : list(v, key)) p.defects.push_back(defect_of(d));
  } else if (key == "resonances") {
    p.resonances.clear();
    for (const Json& r : list(v, key)) p.resonances.push_back(resonance_of(r));
  } else if (key == "shaft_harmonics_m_s2") {
    p.shaft_harmonics.clear();
    for (const Json& a : list(v, key)) p.shaft_harmonics.push_back(number(a, key));
  } else if (key == "gear_lines") {
    p.gear_lines.clear();
    for (const Json& g : list(v, key)) p.gear_lines.push_back(gear_of(g));
  } else {
    unknown(key);
  }
}

}  // namespace

std::string plan_json(const SimulationPlan& plan) {
  return to_json(plan).dump(2, ' ', false, Json::error_handler_t::replace);
}

Result<SimulationPlan> parse_plan(std::string_view json, std::string_view where) {
  const std::string advice = "see docs/json-schema.md for the form of a plan";
  const Json j = Json::parse(json.begin(), json.end(), nullptr, false);
  if (j.is_discarded()) return Error{Errc::corrupt_file, std::string{where}, "is not JSON", advice};
  try {
    SimulationPlan plan;
    for (const auto& [key, v] : object(j, "plan").items()) set_field(plan, key, v);
    return plan;
  } catch (const Refused& refused) {
    return Error{Errc::corrupt_file, std::string{where}, refused.what, advice};
  }
}

std::string truth_json(const SimulationTruth& truth) {
  Json j;
  j["schema"] = "bearingdsp.truth/1";
  j["damaged"] = Json::array();
  for (const Part part : truth.damaged) j["damaged"].push_back(name(part));
  j["mean_shaft_rate_hz"] = truth.mean_shaft_rate_hz;
  j["mean_speed_rpm"] = 60.0 * truth.mean_shaft_rate_hz;
  j["defect_to_noise_db"] = truth.damaged.empty() ? Json{} : Json(truth.defect_to_noise_db);
  j["plan"] = to_json(truth.plan);
  return j.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace bearingdsp
