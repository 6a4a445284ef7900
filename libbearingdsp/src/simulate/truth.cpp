#include "bearingdsp/simulate/truth.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <nlohmann/json.hpp>
#include <set>
#include <vector>

#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {
namespace {

using Json = nlohmann::ordered_json;

Error bad(std::string where, std::string what, std::string advice) {
  return {Errc::bad_argument, std::move(where), std::move(what), std::move(advice)};
}

/// Takes the keys of one object; the first trouble is kept, and done() refuses keys that nobody
/// took.
class Object {
 public:
  Object(const Json& json, std::string where) : json_{json}, where_{std::move(where)} {
    if (!json.is_object())
      fail(where_.substr(0, where_.find_last_not_of(": ") + 1), "is not an object",
           "write { \"key\": value, ... }");
  }

  [[nodiscard]] const Json* find(const char* key) {
    known_.emplace_back(key);
    if (!ok() || !json_.is_object()) return nullptr;
    const auto it = json_.find(key);
    return it == json_.end() ? nullptr : &*it;
  }
  void number(const char* key, double& out) {
    const Json* v = find(key);
    if (v == nullptr) return;
    if (v->is_number())
      out = v->get<double>();
    else
      fail(at(key), fmt::format("{} is not a number", shown(*v)), "write it like 12.5");
  }
  template <class Tag>
  void number(const char* key, Quantity<Tag>& out) {
    double v = out.value();
    number(key, v);
    out = Quantity<Tag>{v};
  }
  template <class Integer>
  void whole(const char* key, Integer& out) {
    const Json* v = find(key);
    if (v == nullptr) return;
    constexpr auto most = static_cast<std::uint64_t>(std::numeric_limits<Integer>::max());
    if (v->is_number_unsigned() && v->get<std::uint64_t>() <= most)
      out = static_cast<Integer>(v->get<std::uint64_t>());
    else
      fail(at(key), fmt::format("{} is not a whole number from 0 to {}", shown(*v), most),
           "write it like 12");
  }
  void text(const char* key, std::string& out) {
    const Json* v = find(key);
    if (v == nullptr) return;
    if (v->is_string())
      out = v->get<std::string>();
    else
      fail(at(key), fmt::format("{} is not text", shown(*v)), "write it in quotes");
  }
  void numbers(const char* key, std::vector<double>& out) {
    list(
        key,
        [&](const Json& v, const std::string& where) {
          if (v.is_number())
            out.push_back(v.get<double>());
          else
            fail(where, fmt::format("{} is not a number", shown(v)), "write it like 12.5");
        },
        [&] { out.clear(); });
  }
  /// Calls each(element, its place) for a list; first() once before.
  template <class Each, class First>
  void list(const char* key, Each each, First first) {
    const Json* v = find(key);
    if (v == nullptr) return;
    if (!v->is_array())
      return fail(at(key), fmt::format("{} is not a list", shown(*v)), "write [ ... ]");
    first();
    for (std::size_t i = 0; i < v->size() && ok(); ++i)
      each((*v)[i], fmt::format("{}[{}]", at(key), i));
  }

  [[nodiscard]] std::string at(std::string_view key) const {
    return where_ + (where_.ends_with(": ") ? "" : ".") + std::string{key};
  }
  void fail(std::string where, std::string what, std::string advice) {
    if (ok()) error_ = bad(std::move(where), std::move(what), std::move(advice));
  }
  void fail(const Error& error) {
    if (ok()) error_ = error;
  }
  [[nodiscard]] bool ok() const { return error_.what.empty(); }
  Result<void> done() {
    if (ok())
      for (const auto& [key, value] : json_.items())
        if (std::find(known_.begin(), known_.end(), key) == known_.end()) {
          fail(at(key.substr(0, 60)), "is not a known key",
               did_you_mean(key, known_, fmt::format("the keys are {}", joined())));
          break;
        }
    if (!ok()) return error_;
    return {};
  }

 private:
  /// Without what is within it, which may be nested deeper than the stack is.
  static std::string shown(const Json& v) {
    if (v.is_array()) return "[...]";
    if (v.is_object()) return "{...}";
    std::string text = v.dump(-1, ' ', true, Json::error_handler_t::replace);
    return text.size() > 40 ? text.substr(0, 37) + "..." : text;
  }
  [[nodiscard]] std::string joined() const { return fmt::format("{}", fmt::join(known_, ", ")); }

  const Json& json_;
  std::string where_;
  std::vector<std::string> known_;
  Error error_;
};

Result<DefectOrders> bearing_from(const Json& json, const std::string& where) {
  Object o{json, where};
  std::string designation;
  BearingGeometry g;
  double angle = 0;
  DefectOrders orders;
  o.text("designation", designation);
  o.whole("rolling_elements", g.rolling_elements);
  o.number("element_diameter_mm", g.element_diameter);
  o.number("pitch_diameter_mm", g.pitch_diameter);
  o.number("contact_angle_deg", angle);
  o.number("bpfo", orders.bpfo);
  o.number("bpfi", orders.bpfi);
  o.number("bsf", orders.bsf);
  o.number("ftf", orders.ftf);
  if (auto ok = o.done(); !ok) return ok.error();
  g.contact_angle = Degrees{angle};
  const bool sized = json.contains("element_diameter_mm") || json.contains("pitch_diameter_mm");
  const bool ordered = json.contains("bpfo") || json.contains("bpfi") || json.contains("bsf") ||
                       json.contains("ftf");
  if (static_cast<int>(!designation.empty()) + static_cast<int>(sized) +
          static_cast<int>(ordered) !=
      1)
    return bad(where, "needs exactly one description of the bearing",
               "give designation; or rolling_elements, element_diameter_mm, pitch_diameter_mm; or "
               "bpfo, bpfi, bsf, ftf");
  if (ordered) {
    for (const char* key : {"bpfo", "bpfi", "bsf", "ftf"})
      if (!json.contains(key))
        return bad(where, fmt::format("{} is missing", key), "give all four");
    orders.rolling_elements = g.rolling_elements;
    orders.origin = OrdersOrigin::given;
    orders.source = "given in the plan";
    return orders;
  }
  if (sized) {
    auto r = defect_orders(g);
    if (!r) return bad(where, r.error().what, r.error().advice);
    return r;
  }
  const auto found = bearing_candidates(designation);
  if (!found)
    return bad(where, found.error().where + " " + found.error().what, found.error().advice);
  if (found->size() > 1)
    return bad(where, fmt::format("{} exists with different elements", designation),
               "give the sizes instead");
  return found->front().orders;
}

Result<Part> part_from(const std::string& text, const std::string& where) {
  if (const auto part = from_token<Part>(text)) return *part;
  std::vector<std::string> known;
  for (int i = 0; i < part_count; ++i) known.emplace_back(token(static_cast<Part>(i)));
  return bad(where, fmt::format("'{}' is not a component", text.substr(0, 40)),
             did_you_mean(text, known, "use outer ring, inner ring, rolling element or cage"));
}

Result<SimulatedDefect> defect_from(const Json& json, const std::string& where) {
  Object o{json, where};
  SimulatedDefect d;
  std::string part{token(d.part)};
  o.text("part", part);
  o.number("severity_m_s2", d.severity);
  o.number("growth", d.growth);
  o.number("slip", d.slip);
  o.number("load_zone", d.load_zone);
  o.number("cage_modulation", d.cage_modulation);
  o.number("amplitude_scatter", d.amplitude_scatter);
  o.number("roughness", d.roughness);
  o.number("spall_length", d.spall_length);
  if (const Json* b = o.find("bearing")) {
    auto orders = bearing_from(*b, o.at("bearing"));
    if (!orders) return orders.error();
    d.orders = *orders;
  }
  if (auto ok = o.done(); !ok) return ok.error();
  auto p = part_from(part, o.at("part"));
  if (!p) return p.error();
  d.part = *p;
  return d;
}

/// Parses, refusing a key that comes twice in one object.
Result<Json> parsed(std::string_view text, std::string_view where) {
  std::vector<std::set<std::string>> open;
  std::string twice;
  const auto watch = [&](int /*depth*/, Json::parse_event_t event, Json& value) {
    if (event == Json::parse_event_t::object_start) open.emplace_back();
    if (event == Json::parse_event_t::object_end && !open.empty()) open.pop_back();
    if (event == Json::parse_event_t::key && !open.empty()) {
      auto key = value.get<std::string>();
      if (!open.back().insert(key).second && twice.empty()) twice = std::move(key);
    }
    return true;
  };
  try {
    Json json = Json::parse(text, watch);
    if (!twice.empty())
      return bad(std::string{where}, fmt::format("key '{}' is given twice", twice), "remove one");
    return json;
  } catch (const Json::parse_error& e) {
    const auto upto = text.substr(0, e.byte);
    const auto line = 1 + std::count(upto.begin(), upto.end(), '\n');
    return bad(fmt::format("{}:{}", where, line), "is not valid JSON from here",
               "check commas, quotes and brackets");
  } catch (const Json::out_of_range&) {
    return bad(std::string{where}, "contains a number that is too large", "write one up to 1e308");
  }
}

/// A number, or null where JSON has none.
Json finite(double v) { return std::isfinite(v) ? Json(v) : Json(nullptr); }

Json orders_json(const DefectOrders& o) {
  Json j;
  if (o.rolling_elements > 0) j["rolling_elements"] = o.rolling_elements;
  j["bpfo"] = o.bpfo.value();
  j["bpfi"] = o.bpfi.value();
  j["bsf"] = o.bsf.value();
  j["ftf"] = o.ftf.value();
  return j;
}

Json plan_json(const SimulationPlan& p) {
  Json j;
  j["seed"] = p.seed;
  j["rate_hz"] = p.rate.value();
  j["duration_s"] = p.duration.value();
  j["speed_rpm"] = p.speed.value();
  j["speed_drift"] = p.speed_drift;
  j["speed_wander"] = p.speed_wander;
  j["wander_time_s"] = p.wander_time.value();
  if (p.orders) j["bearing"] = orders_json(*p.orders);
  j["defects"] = Json::array();
  for (const auto& d : p.defects) {
    Json e;
    e["part"] = token(d.part);
    e["severity_m_s2"] = d.severity;
    e["growth"] = d.growth;
    e["slip"] = d.slip;
    e["load_zone"] = d.load_zone;
    e["cage_modulation"] = d.cage_modulation;
    e["amplitude_scatter"] = d.amplitude_scatter;
    e["roughness"] = d.roughness;
    e["spall_length"] = d.spall_length;
    if (d.orders) e["bearing"] = orders_json(*d.orders);
    j["defects"].push_back(std::move(e));
  }
  j["resonances"] = Json::array();
  for (const auto& r : p.resonances)
    j["resonances"].push_back(
        {{"frequency_hz", r.frequency.value()}, {"damping", r.damping}, {"gain", r.gain}});
  j["mean_slip"] = p.mean_slip;
  j["variable_compliance_m_s2"] = p.variable_compliance;
  j["noise_rms_m_s2"] = p.noise;
  j["noise_colour"] = p.noise_colour;
  j["resonant_noise_rms_m_s2"] = p.resonant_noise;
  j["shaft_harmonics_m_s2"] = p.shaft_harmonics;
  j["shaft_phases_deg"] = p.shaft_phases;
  j["shaft_modulation"] = p.shaft_modulation;
  j["gear_lines"] = Json::array();
  for (const auto& [order, amplitude] : p.gear_lines)
    j["gear_lines"].push_back({{"order", order.value()}, {"amplitude_m_s2", amplitude}});
  j["gear_modulation"] = p.gear_modulation;
  j["fixed_lines"] = Json::array();
  for (const auto& [hz, amplitude] : p.fixed_lines)
    j["fixed_lines"].push_back({{"frequency_hz", hz.value()}, {"amplitude_m_s2", amplitude}});
  j["mains_hz"] = p.mains.value();
  j["mains_hum_m_s2"] = p.mains_hum;
  j["electrical_impulses_m_s2"] = p.electrical_impulses;
  j["shocks_per_second"] = p.shocks_per_second;
  j["shock_peak_m_s2"] = p.shock_peak;
  j["range_m_s2"] = p.range;
  j["bits"] = p.bits;
  j["tacho_pulses"] = p.tacho_pulses;
  return j;
}

void defects_from(Object& o, SimulationPlan& p) {
  o.list(
      "defects",
      [&](const Json& v, const std::string& at) {
        auto d = defect_from(v, at);
        if (d)
          p.defects.push_back(*d);
        else
          o.fail(d.error());
      },
      [] {});
}

void resonances_from(Object& o, SimulationPlan& p) {
  o.list(
      "resonances",
      [&](const Json& v, const std::string& at) {
        Object r{v, at};
        Resonance resonance;
        r.number("frequency_hz", resonance.frequency);
        r.number("damping", resonance.damping);
        r.number("gain", resonance.gain);
        if (auto ok = r.done(); !ok) return o.fail(ok.error());
        p.resonances.push_back(resonance);
      },
      [&] { p.resonances.clear(); });
}

/// Lines, each at `place` with an amplitude.
template <class Place>
void lines_from(Object& o, const char* list, const char* place,
                std::vector<std::pair<Place, double>>& lines) {
  o.list(
      list,
      [&](const Json& v, const std::string& at) {
        Object line{v, at};
        std::pair<Place, double> one;
        line.number(place, one.first);
        line.number("amplitude_m_s2", one.second);
        if (auto ok = line.done(); !ok) return o.fail(ok.error());
        lines.push_back(one);
      },
      [] {});
}

}  // namespace

Result<SimulationPlan> plan_from_json(std::string_view text, std::string_view where) {
  const auto json = parsed(text, where);
  if (!json) return json.error();
  SimulationPlan p;
  Object o{*json, fmt::format("{}: ", where)};
  std::string note;
  o.text("note", note);
  o.whole("seed", p.seed);
  o.number("rate_hz", p.rate);
  o.number("duration_s", p.duration);
  o.number("speed_rpm", p.speed);
  o.number("speed_drift", p.speed_drift);
  o.number("speed_wander", p.speed_wander);
  o.number("wander_time_s", p.wander_time);
  if (const Json* b = o.find("bearing")) {
    auto orders = bearing_from(*b, o.at("bearing"));
    if (orders)
      p.orders = *orders;
    else
      o.fail(orders.error());
  }
  defects_from(o, p);
  resonances_from(o, p);
  o.number("mean_slip", p.mean_slip);
  o.number("variable_compliance_m_s2", p.variable_compliance);
  o.number("noise_rms_m_s2", p.noise);
  o.number("noise_colour", p.noise_colour);
  o.number("resonant_noise_rms_m_s2", p.resonant_noise);
  o.numbers("shaft_harmonics_m_s2", p.shaft_harmonics);
  o.numbers("shaft_phases_deg", p.shaft_phases);
  o.number("shaft_modulation", p.shaft_modulation);
  lines_from(o, "gear_lines", "order", p.gear_lines);
  o.number("gear_modulation", p.gear_modulation);
  lines_from(o, "fixed_lines", "frequency_hz", p.fixed_lines);
  o.number("mains_hz", p.mains);
  o.number("mains_hum_m_s2", p.mains_hum);
  o.number("electrical_impulses_m_s2", p.electrical_impulses);
  o.number("shocks_per_second", p.shocks_per_second);
  o.number("shock_peak_m_s2", p.shock_peak);
  o.number("range_m_s2", p.range);
  o.whole("bits", p.bits);
  o.whole("tacho_pulses", p.tacho_pulses);
  if (auto ok = o.done(); !ok) return ok.error();
  return p;
}

std::string to_json(const SimulationPlan& plan) {
  return safe_text(plan_json(plan).dump(2), Medium::json) + "\n";
}

std::string to_json(const SimulationTruth& t) {
  Json j;
  j["schema"] = 1;
  j["invented"] = true;
  j["damaged"] = Json::array();
  for (const Part part : t.damaged) j["damaged"].push_back(token(part));
  j["mean_shaft_rate_hz"] = t.mean_shaft_rate_hz;
  j["start_shaft_rate_hz"] = t.start_shaft_rate_hz;
  j["end_shaft_rate_hz"] = t.end_shaft_rate_hz;
  if (t.orders) j["orders"] = orders_json(*t.orders);
  j["defect_rms_m_s2"] = t.defect_rms;
  j["other_rms_m_s2"] = t.other_rms;
  j["defect_to_noise_db"] = finite(t.defect_to_noise_db);
  j["impacts"] = Json::array();
  for (const auto& times : t.impact_times) j["impacts"].push_back(times.size());
  j["clipped_samples"] = t.clipped_samples;
  j["plan"] = plan_json(t.plan);
  return safe_text(j.dump(2), Medium::json) + "\n";
}

}  // namespace bearingdsp
