#include "history/lists.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace bearingdsp::lists {
namespace {

using Json = nlohmann::json;

std::string dumped(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// Nothing here is copied or dumped whole: both follow the nesting, which may be deeper than the
/// stack is.
Json parsed(std::string_view text) { return Json::parse(text, nullptr, false); }

/// Calls each(element) for the elements that are objects; for none if it is no array.
template <class Each>
void each_object(const Json& json, Each each) {
  if (!json.is_array()) return;
  for (const Json& entry : json)
    if (entry.is_object()) each(entry);
}

/// The elements that are texts; none if it is no array.
std::vector<std::string> texts_of(const Json& json) {
  std::vector<std::string> texts;
  if (!json.is_array()) return texts;
  for (const Json& entry : json)
    if (entry.is_string()) texts.push_back(entry.get<std::string>());
  return texts;
}

std::string text_of(const Json& object, const char* key) {
  const auto at = object.find(key);
  return at != object.end() && at->is_string() ? at->get<std::string>() : std::string{};
}

double number_of(const Json& object, const char* key) {
  const auto at = object.find(key);
  return at != object.end() && at->is_number() ? at->get<double>() : 0.0;
}

Json json_of(const std::optional<DisplacementLimits>& d) {
  if (!d) return {};
  return {
      {"ab", d->ab.value()}, {"bc", d->bc.value()}, {"cd", d->cd.value()}, {"status", d->status}};
}

Json json_of(const ZoneLimits& z) {
  return {{"standard", token(z.standard)},
          {"class", z.machine_class},
          {"ab", z.ab.value()},
          {"bc", z.bc.value()},
          {"cd", z.cd.value()},
          {"edition", z.edition},
          {"status", z.status},
          {"from", z.from.value()},
          {"displacement", json_of(z.displacement)},
          {"assumptions", z.assumptions.empty() ? Json::array() : Json(z.assumptions)}};
}

ZoneLimits zones_of(const Json& o) {
  ZoneLimits z;
  z.standard =
      from_token<SeverityStandard>(text_of(o, "standard")).value_or(SeverityStandard::iso20816_3);
  z.machine_class = text_of(o, "class");
  z.ab = VelocityRms{number_of(o, "ab")};
  z.bc = VelocityRms{number_of(o, "bc")};
  z.cd = VelocityRms{number_of(o, "cd")};
  z.edition = text_of(o, "edition");
  z.status = text_of(o, "status");
  // Before slow machines were judged from 2 Hz none had another band.
  if (const double from = number_of(o, "from"); from > 0) z.from = Hz{from};
  if (const auto at = o.find("displacement"); at != o.end() && at->is_object())
    z.displacement = DisplacementLimits{
        DisplacementRms{number_of(*at, "ab")}, DisplacementRms{number_of(*at, "bc")},
        DisplacementRms{number_of(*at, "cd")}, text_of(*at, "status")};
  if (const auto at = o.find("assumptions"); at != o.end()) z.assumptions = texts_of(*at);
  return z;
}

}  // namespace

std::string write(const std::vector<Part>& parts) {
  std::vector<std::string> names;
  names.reserve(parts.size());
  for (const Part part : parts) names.emplace_back(token(part));
  return write(names);
}

std::vector<Part> read_parts(std::string_view text) {
  std::vector<Part> parts;
  for (const std::string& word : read_texts(text))
    for (int i = 0; i < part_count; ++i)
      if (word == token(static_cast<Part>(i))) parts.push_back(static_cast<Part>(i));
  return parts;
}

std::string write(const KnownLimits& limits) {
  return dumped(limits.zones ? Json{{"zones", json_of(*limits.zones)}}
                             : Json{{"why_none", limits.why_none}});
}

KnownLimits read_limits(std::string_view text) {
  const Json json = parsed(text);
  KnownLimits limits;
  if (json.is_object()) {
    if (const auto at = json.find("zones"); at != json.end() && at->is_object())
      limits.zones = zones_of(*at);
    limits.why_none = text_of(json, "why_none");
  }
  if (!limits.zones && limits.why_none.empty())
    limits.why_none = "the nameplate is not in this history; 'route run' notes it";
  return limits;
}

std::string write(const std::optional<OtherEnd>& other) {
  if (!other) return {};
  return dumped({{"end", token(other->end)},
                 {"bearing", other->bearing},
                 {"tells_apart", other->tells_apart},
                 {"verdict", token(other->verdict)},
                 {"place", token(other->place)},
                 {"damage", other->probability_of_damage}});
}

std::optional<OtherEnd> read_other_end(std::string_view text) {
  const Json json = parsed(text);
  if (!json.is_object()) return std::nullopt;
  OtherEnd other;
  other.end = from_token<MachineEnd>(text_of(json, "end")).value_or(MachineEnd::non_drive_end);
  other.bearing = text_of(json, "bearing");
  const auto apart = json.find("tells_apart");
  other.tells_apart = apart != json.end() && apart->is_boolean() && apart->get<bool>();
  other.verdict = from_token<Verdict>(text_of(json, "verdict")).value_or(Verdict::indeterminate);
  other.place = from_token<Place>(text_of(json, "place")).value_or(Place::cannot_tell);
  other.probability_of_damage = number_of(json, "damage");
  return other;
}

std::string write(const FittedBearing& bearing) {
  if (bearing.variants.empty()) return {};
  Json list = Json::array();
  for (const auto& [o, weight, basis] : bearing.variants)
    list.push_back({{"bpfo", o.bpfo.value()},
                    {"weight", weight},
                    {"basis", basis},
                    {"bpfi", o.bpfi.value()},
                    {"bsf", o.bsf.value()},
                    {"ftf", o.ftf.value()},
                    {"rolling_elements", o.rolling_elements},
                    {"uncertainty", o.relative_uncertainty},
                    {"part_uncertainty", o.part_uncertainty},
                    {"origin", token(o.origin)},
                    {"source", o.source}});
  return dumped({{"number", bearing.number}, {"variants", std::move(list)}});
}

FittedBearing read_bearing(std::string_view text) {
  FittedBearing bearing;
  const Json json = parsed(text);
  if (!json.is_object()) return bearing;
  bearing.number = text_of(json, "number");
  const auto list = json.find("variants");
  if (list == json.end()) return bearing;
  each_object(*list, [&](const Json& v) {
    DefectOrders o;
    o.bpfo = Order{number_of(v, "bpfo")};
    o.bpfi = Order{number_of(v, "bpfi")};
    o.bsf = Order{number_of(v, "bsf")};
    o.ftf = Order{number_of(v, "ftf")};
    if (const double n = number_of(v, "rolling_elements"); n > 0 && n < 1000)
      o.rolling_elements = static_cast<int>(n);
    o.relative_uncertainty = number_of(v, "uncertainty");
    if (const auto own = v.find("part_uncertainty"); own != v.end() && own->is_array())
      for (std::size_t i = 0; i < std::min(own->size(), o.part_uncertainty.size()); ++i)
        if (own->at(i).is_number()) o.part_uncertainty.at(i) = own->at(i).get<double>();
    o.origin = from_token<OrdersOrigin>(text_of(v, "origin")).value_or(OrdersOrigin::given);
    o.source = text_of(v, "source");
    const double weight = number_of(v, "weight");
    bearing.variants.emplace_back(std::move(o), weight > 0 ? weight : 1.0, text_of(v, "basis"));
  });
  return bearing;
}

std::string write(const std::vector<std::string>& texts) {
  return dumped(texts.empty() ? Json::array() : Json(texts));
}

std::string write(const std::vector<CauseEvidence>& causes) {
  Json list = Json::array();
  for (const CauseEvidence& c : causes)
    list.push_back({{"cause", token(c.cause)}, {"probability", c.probability}, {"why", c.why}});
  return dumped(list);
}

std::string write(const Findings& findings) {
  Json list = Json::array();
  for (const Finding& f : findings)
    list.push_back({{"kind", token(f.kind)},
                    {"weight", token(f.weight)},
                    {"where", f.where},
                    {"what", f.what},
                    {"consequence", f.consequence},
                    {"advice", f.advice}});
  return dumped(list);
}

std::vector<std::string> read_texts(std::string_view json) { return texts_of(parsed(json)); }

std::vector<CauseEvidence> read_causes(std::string_view json) {
  std::vector<CauseEvidence> causes;
  each_object(parsed(json), [&](const Json& o) {
    causes.push_back({from_token<OtherCause>(text_of(o, "cause")).value_or(OtherCause::unbalance),
                      number_of(o, "probability"), text_of(o, "why")});
  });
  return causes;
}

Findings read_findings(std::string_view json) {
  Findings findings;
  each_object(parsed(json), [&](const Json& o) {
    findings.push_back(
        {from_token<FindingKind>(text_of(o, "kind")).value_or(FindingKind::ambiguous),
         from_token<Weight>(text_of(o, "weight")).value_or(Weight::note), text_of(o, "where"),
         text_of(o, "what"), text_of(o, "consequence"), text_of(o, "advice")});
  });
  return findings;
}

}  // namespace bearingdsp::lists
