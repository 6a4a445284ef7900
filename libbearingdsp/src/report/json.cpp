#include "bearingdsp/report/json.hpp"
#include "bearingdsp/bearing/element_counts.hpp"

#include "bearingdsp/report/recording_levels.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <string>

#include "bearingdsp/core/result.hpp"
#include "report/json_parts.hpp"
#include "report/sections.hpp"

namespace bearingdsp {
namespace {

Json hz_or_null(Order order, const ShaftSpeed& speed) {
  return speed.found() ? Json(at_speed(order, speed.rate).value()) : Json{};
}

Json findings_json(const Findings& findings) {
  Json list = Json::array();
  for (const Finding& f : findings)
    list.push_back({{"kind", token(f.kind)},
                    {"weight", token(f.weight)},
                    {"where", f.where},
                    {"what", f.what},
                    {"consequence", f.consequence},
                    {"advice", f.advice}});
  return list;
}

Json trail_json(const Trail& trail) {
  Json list = Json::array();
  for (const Step& s : trail) list.push_back({{"op", s.op}, {"args", s.args}});
  return list;
}

Json speed_json(const ShaftSpeed& s) {
  const bool found = s.found();
  return {{"found", found},
          {"method", token(s.method)},
          {"speed_rpm", found ? Json(shaft_speed(s.rate).value()) : Json{}},
          {"shaft_rate_hz", found ? Json(s.rate.value()) : Json{}},
          {"relative_uncertainty", found ? Json(s.relative_uncertainty) : Json{}},
          {"relative_variation", found ? Json(s.relative_variation) : Json{}},
          {"confidence", s.confidence},
          {"reason", s.why}};
}

Json orders_json(const DefectOrders& o, std::optional<Hz> shaft) {
  const auto hz = [&](Order k) { return shaft ? Json(at_speed(k, *shaft).value()) : Json{}; };
  return {{"bpfo_orders", o.bpfo.value()},
          {"bpfi_orders", o.bpfi.value()},
          {"bsf_orders", o.bsf.value()},
          {"ftf_orders", o.ftf.value()},
          {"bpfo_hz", hz(o.bpfo)},
          {"bpfi_hz", hz(o.bpfi)},
          {"bsf_hz", hz(o.bsf)},
          {"ftf_hz", hz(o.ftf)},
          {"rolling_elements", o.rolling_elements > 0 ? Json(o.rolling_elements) : Json{}},
          {"relative_uncertainty", o.relative_uncertainty},
          {"origin", token(o.origin)},
          {"source", o.source}};
}

Json figures_json(const SignalFigures& f) {
  Json json{
      {"channel", f.channel},
      {"unit", symbol(f.unit)},
      {"velocity_rms_mm_s", f.velocity_rms ? Json(in_mm_per_s(*f.velocity_rms)) : Json{}},
      {"velocity_rms_absent_because",
       f.velocity_rms ? Json{}
                      : Json(fmt::format("needs acceleration or velocity that covers {:g}-1000 Hz",
                                         f.velocity_from.value()))}};
  const auto put = [&](bool levels, std::string_view FigureColumn::*key, bool known) {
    for (const FigureColumn& c : figure_columns())
      if (c.acceleration_key.empty() != levels)
        json[std::string{c.*key}] = known ? or_null(c.of(f)) : Json{};
  };
  put(true, &FigureColumn::acceleration_key, f.unit == SampleUnit::acceleration);
  put(true, &FigureColumn::key, true);
  put(false, &FigureColumn::key, true);
  return json;
}

Json family_json(const FamilyEvidence& f, const ShaftSpeed& speed) {
  Json lines = Json::array();
  for (const LineEvidence& l : f.lines)
    lines.push_back({{"harmonic", l.harmonic},
                     {"sideband", l.sideband},
                     {"order", l.order.value()},
                     {"frequency_hz", hz_or_null(l.order, speed)},
                     {"depth", l.depth},
                     {"prominence_db", l.prominence_db},
                     {"detected", l.detected},
                     {"shared", l.shared}});
  return {{"part", token(f.part)},
          {"expected_orders", f.expected.value()},
          {"fitted_orders", f.fitted.value()},
          {"fitted_hz", hz_or_null(f.fitted, speed)},
          {"slip", f.slip},
          {"harmonics_detected", f.harmonics_detected},
          {"sidebands_detected", f.sidebands_detected},
          {"depth", f.depth},
          {"log10_false_alarm", f.log10_false_alarm},
          {"strength", f.strength},
          {"band_low_hz", f.band.low.value()},
          {"band_high_hz", f.band.high.value()},
          {"channel", f.channel},
          {"remark", f.remark},
          {"lines", std::move(lines)}};
}

Json machine_json(const DiagnosedMachine& m) {
  Json other;
  if (const auto& o = m.other_end)
    other = {{"end", token(o->end)},
             {"bearing_name", o->bearing},
             {"tells_apart", o->tells_apart},
             {"verdict", o->tells_apart ? Json(token(o->verdict)) : Json{}},
             {"place", o->tells_apart ? Json(token(o->place)) : Json{}},
             {"probability_of_damage", o->tells_apart ? Json(o->probability_of_damage) : Json{}}};
  return {{"name", m.machine},
          {"where", m.where},
          {"point", m.point},
          {"end", token(m.end)},
          {"bearing_name", or_null(m.bearing)},
          {"vibration", vibration_json(m.vibration)},
          {"other_end", std::move(other)}};
}

Json probabilities_json(const Diagnosis& d) {
  Json parts;
  for (int i = 0; i < part_count; ++i) {
    const auto part = static_cast<Part>(i);
    parts[key_of(part)] = d.probability_of_part.at(static_cast<std::size_t>(i));
  }
  return parts;
}

void add_lists(Json& json, const Diagnosis& d, const JsonOptions& options) {
  json["figures"] = Json::array();
  for (const SignalFigures& f : d.figures) json["figures"].push_back(figures_json(f));
  json["families"] = Json::array();
  for (const FamilyEvidence& f : d.families) json["families"].push_back(family_json(f, d.speed));
  json["would_fit"] = Json::array();
  if (d.unknown_order)
    for (const ElementCounts& c : element_counts_for(*d.unknown_order))
      json["would_fit"].push_back(
          {{"part", key_of(c.ring)}, {"min_elements", c.min}, {"max_elements", c.max}});
  json["unknown_orders"] = d.unknown_order ? Json(d.unknown_order->value()) : Json{};
  json["other_causes"] = Json::array();
  for (const CauseEvidence& c : d.other_causes)
    json["other_causes"].push_back(
        {{"cause", token(c.cause)}, {"probability", c.probability}, {"why", c.why}});
  json["findings"] = findings_json(d.findings);
  json["bands"] = Json::array();
  for (const BandEvidence& b : d.bands)
    json["bands"].push_back({{"channel", b.channel},
                             {"band_low_hz", b.band.low.value()},
                             {"band_high_hz", b.band.high.value()},
                             {"kurtosis", b.kurtosis},
                             {"evidence_nats", b.evidence},
                             {"share_of_range", b.share}});
  json["trail"] = trail_json(d.trail);
  if (!options.curves) return;
  json["curves"] = Json::array();
  for (const Curve& c : d.curves)
    json["curves"].push_back({{"title", c.title},
                              {"channel", c.channel},
                              {"x_unit", c.x_unit},
                              {"y_unit", c.y_unit},
                              {"x", c.x},
                              {"y", c.y}});
}

}  // namespace

namespace {

Json recordings_json(const std::vector<RecordingShare>& recordings) {
  Json list = Json::array();
  for (const RecordingShare& r : recordings)
    list.push_back({{"source", r.source},
                    {"verdict", token(r.verdict)},
                    {"place", token(r.place)},
                    {"place_set", names_of(r.place_set)},
                    {"probability_of_damage", r.probability_of_damage},
                    {"counted", r.counted},
                    {"why_not_counted", or_null(r.why_not_counted)},
                    {"contradicts", r.contradicts}});
  return list;
}

}  // namespace

Json assessment_json(const Assessment& a) {
  Json others = Json::array();
  for (const OtherFault& f : a.others)
    others.push_back({{"fault", token(f.cause)},
                      {"probability", f.probability},
                      {"level", token(f.level)},
                      {"why", f.why}});
  return {{"urgency", token(a.urgency)},
          {"deadline", or_null(a.deadline)},
          {"headline", a.headline},
          {"bearing", a.bearing},
          {"actions", a.actions.empty() ? Json::array() : Json(a.actions)},
          {"other_faults", std::move(others)},
          {"remaining_damage", or_null(a.remaining_damage)},
          {"remaining_if_suspected", or_null(a.remaining_if_suspected)},
          {"prior", a.prior},
          {"excluded_depth", or_null(a.excluded_depth)},
          {"stage", token(a.stage)},
          {"zone", a.zone ? Json(token(*a.zone)) : Json{}},
          {"doubts", a.doubts.empty() ? Json::array() : Json(a.doubts)},
          {"safety", a.safety.empty() ? Json::array() : Json(a.safety)}};
}

Json vibration_json(const VelocityJudgement& v) {
  const auto limit = [&](VelocityRms ZoneLimits::*of) {
    return v.limits ? Json(in_mm_per_s_rms((*v.limits).*of)) : Json{};
  };
  const auto zone = [](const std::optional<Zone>& z) { return z ? Json(token(*z)) : Json{}; };
  const auto um = [&](DisplacementRms DisplacementLimits::*of) {
    return v.limits && v.limits->displacement ? Json(1e6 * ((*v.limits->displacement).*of).value())
                                              : Json{};
  };
  return {{"velocity_rms_mm_s", v.velocity ? Json(in_mm_per_s_rms(*v.velocity)) : Json{}},
          {"band_from_hz", v.from.value()},
          {"displacement_rms_um", v.displacement ? Json(1e6 * v.displacement->value()) : Json{}},
          {"zone", zone(v.zone)},
          {"velocity_zone", zone(v.velocity_zone)},
          {"displacement_zone", zone(v.displacement_zone)},
          {"zone_absent_because", or_null(v.why_not)},
          {"standard", v.limits ? Json(v.limits->edition) : Json{}},
          {"machine_class", v.limits ? Json(v.limits->machine_class) : Json{}},
          {"a_b_mm_s_rms", limit(&ZoneLimits::ab)},
          {"b_c_mm_s_rms", limit(&ZoneLimits::bc)},
          {"c_d_mm_s_rms", limit(&ZoneLimits::cd)},
          {"a_b_um_rms", um(&DisplacementLimits::ab)},
          {"b_c_um_rms", um(&DisplacementLimits::bc)},
          {"c_d_um_rms", um(&DisplacementLimits::cd)},
          {"limits_status", v.limits ? Json(limits_status(*v.limits)) : Json{}}};
}

std::string diagnosis_json(const Diagnosis& d, const JsonOptions& options) {
  Json json = headed("bearingdsp.diagnosis/2");
  json["source"] = d.source;
  json["verdict"] = token(d.verdict);
  json["place"] = token(d.place);
  json["probability_of_damage"] = d.probability_of_damage;
  json["probability_of_place"] = d.probability_of_place;
  json["place_set"] = names_of(d.place_set);
  json["probability_of_part"] = probabilities_json(d);
  const Assessment assessment = assess(d);
  json["headline"] = assessment.headline;
  json["assessment"] = assessment_json(assessment);
  json["reasons"] = d.reasons;
  json["advice"] = d.advice;
  json["channels"] = d.channels;
  json["duration_s"] = d.duration.value();
  json["rate_hz"] = d.rate.value();
  json["speed"] = speed_json(d.speed);
  json["bearing_name"] = or_null(options.bearing);
  json["bearing"] =
      d.orders
          ? orders_json(*d.orders, d.speed.found() ? std::optional<Hz>{d.speed.rate} : std::nullopt)
          : Json{};
  json["machine"] = d.machine ? machine_json(*d.machine) : Json{};
  add_lists(json, d, options);
  json["recordings"] = recordings_json(d.recordings);
  return dumped(json, options.pretty);
}

std::string error_json(std::string_view source, const Error& error, const JsonOptions& options) {
  Json json = headed("bearingdsp.error/1");
  json["source"] = source;
  json["code"] = token(error.code);
  json["where"] = error.where;
  json["what"] = error.what;
  json["advice"] = error.advice;
  return dumped(json, options.pretty);
}

std::string frequencies_json(std::string_view bearing, const std::vector<DefectOrders>& variants,
                             std::optional<Rpm> speed, const JsonOptions& options) {
  Json json = headed("bearingdsp.frequencies/1");
  json["bearing_name"] = bearing;
  json["speed_rpm"] = speed ? Json(speed->value()) : Json{};
  json["variants"] = Json::array();
  for (const DefectOrders& o : variants)
    json["variants"].push_back(
        orders_json(o, speed ? std::optional<Hz>{shaft_rate(*speed)} : std::nullopt));
  return dumped(json, options.pretty);
}

namespace {

Json item_json(const ContentItem& item) {
  return {{"number", item.number},      {"name", item.name},
          {"type", item.type},          {"dimensions", item.dims},
          {"unit", or_null(item.unit)}, {"is_signal", item.is_signal},
          {"is_time", item.is_time},    {"value", item.value ? Json(*item.value) : Json{}}};
}

Json channel_json(const RecordingLevels::Row& channel) {
  const SignalLevels& l = channel.levels;
  return {{"name", channel.name},
          {"unit", symbol(channel.unit)},
          {"mean_in_unit", l.mean},
          {"rms_in_unit", l.rms},
          {"peak_in_unit", l.peak},
          {"crest_factor", l.crest_factor},
          {"full_scale_in_unit", channel.full_scale ? Json(*channel.full_scale) : Json{}}};
}

std::string json_of(const Contents& contents, const RecordingLevels* capture,
                    const Findings& findings, const JsonOptions& options) {
  Json json = headed("bearingdsp.contents/1");
  json["source"] = contents.source;
  json["format"] = capture != nullptr ? capture->format : contents.format;
  json["usable"] = capture != nullptr;
  const std::optional<Hz> rate =
      capture != nullptr ? std::optional<Hz>{capture->rate} : contents.rate;
  json["rate_hz"] = rate ? Json(rate->value()) : Json{};
  json["duration_s"] = capture != nullptr
                           ? Json(static_cast<double>(capture->samples) / capture->rate.value())
                           : Json{};
  json["samples_per_channel"] = capture != nullptr ? Json(capture->samples) : Json{};
  const auto& start = capture != nullptr ? capture->start_utc : contents.start_utc;
  json["start_utc"] = start ? Json(*start) : Json{};
  const auto& speed = capture != nullptr ? capture->noted_speed : contents.noted_speed;
  json["noted_speed_rpm"] = speed ? Json(speed->value()) : Json{};
  json["channels"] = Json::array();
  if (capture != nullptr)
    for (const RecordingLevels::Row& channel : capture->channels)
      json["channels"].push_back(channel_json(channel));
  json["items"] = Json::array();
  for (const ContentItem& item : contents.items) json["items"].push_back(item_json(item));
  json["notes"] = contents.notes;
  json["findings"] = findings_json(findings);
  json["trail"] = capture != nullptr ? trail_json(capture->trail) : Json::array();
  return dumped(json, options.pretty);
}

}  // namespace

std::string contents_json(const Contents& contents, const Capture* capture,
                          const Findings& findings, const JsonOptions& options) {
  if (capture == nullptr) return json_of(contents, nullptr, findings, options);
  return contents_json(contents, recording_levels(*capture), findings, options);
}

std::string contents_json(const Contents& contents, const RecordingLevels& recording,
                          const Findings& findings, const JsonOptions& options) {
  return json_of(contents, &recording, findings, options);
}

}  // namespace bearingdsp
