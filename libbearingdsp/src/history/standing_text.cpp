#include "history/standing_text.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <stdexcept>

#include "history/lists.hpp"
#include "history/store_rows.hpp"

namespace bearingdsp::standing_text {
namespace {

using Json = nlohmann::json;

/// What the standing depends on besides the history.
std::string found_with(const TrendOptions& o) {
  return fmt::format(BEARINGDSP_VERSION "/10 {} {} {} {} {} {} {} {} {} {} {}", o.speed_tolerance,
                     o.load_tolerance, o.baseline_readings, o.min_baseline, o.alert_db, o.alarm_db,
                     o.alert_sigmas, o.alarm_sigmas, o.hysteresis_db, o.velocity_alert.value_or(0),
                     o.velocity_alarm.value_or(0));
}

Json or_null(const std::optional<double>& value) { return value ? Json(*value) : Json{}; }

std::int64_t whole(const Json& json) {
  if (!json.is_number_integer()) throw std::out_of_range{"no whole number"};
  return json.get<std::int64_t>();
}

/// An enumerator by its number.
template <class Enum>
Enum one_of(const Json& json, Enum last) {
  const std::int64_t number = whole(json);
  if (number < 0 || number > static_cast<std::int64_t>(last))
    throw std::out_of_range{"no enumerator has this number"};
  return static_cast<Enum>(number);
}

UtcTime time_of(const Json& json) { return rows::from_ms(whole(json)); }

std::optional<double> maybe(const Json& json) {
  return json.is_number() ? std::optional{json.get<double>()} : std::nullopt;
}

Json assessment_json(const Assessment& a) {
  Json others = Json::array();
  for (const OtherFault& f : a.others)
    others.push_back({static_cast<int>(f.cause), f.probability, static_cast<int>(f.level), f.why});
  return {{"urgency", static_cast<int>(a.urgency)},
          {"headline", a.headline},
          {"bearing", a.bearing},
          {"component", a.component},
          {"deadline", a.deadline},
          {"actions", a.actions},
          {"others", std::move(others)},
          {"doubts", a.doubts},
          {"safety", a.safety},
          {"verdict", static_cast<int>(a.verdict)},
          {"remaining", a.remaining_damage ? Json(*a.remaining_damage) : Json{}},
          {"suspected", a.remaining_if_suspected ? Json(*a.remaining_if_suspected) : Json{}},
          {"excluded", a.excluded_depth ? Json(*a.excluded_depth) : Json{}},
          {"stage", static_cast<int>(a.stage)},
          {"zone", a.zone ? Json(static_cast<int>(*a.zone)) : Json{}}};
}

Assessment assessment_from(const Json& j) {
  Assessment a;
  a.urgency = one_of(j.at("urgency"), Urgency::act);
  a.headline = j.at("headline").get<std::string>();
  a.bearing = j.at("bearing").get<std::string>();
  a.component = j.at("component").get<std::string>();
  a.deadline = j.at("deadline").get<std::string>();
  a.actions = j.at("actions").get<std::vector<std::string>>();
  for (const Json& f : j.at("others"))
    a.others.push_back({one_of(f.at(0), OtherCause::poor_lubrication), f.at(1).get<double>(),
                        one_of(f.at(2), LevelJudged::independent), f.at(3).get<std::string>()});
  a.doubts = j.at("doubts").get<std::vector<std::string>>();
  a.safety = j.at("safety").get<std::vector<std::string>>();
  a.verdict = one_of(j.at("verdict"), Verdict::indeterminate);
  if (const Json& p = j.at("remaining"); p.is_number()) a.remaining_damage = p.get<double>();
  if (const Json& p = j.at("suspected"); p.is_number()) a.remaining_if_suspected = p.get<double>();
  if (const Json& depth = j.at("excluded"); depth.is_number())
    a.excluded_depth = depth.get<double>();
  a.stage = one_of(j.at("stage"), Stage::advanced);
  if (const Json& zone = j.at("zone"); zone.is_number_integer()) a.zone = one_of(zone, Zone::d);
  return a;
}

Json reference_text(const std::optional<ReferenceShare>& r) {
  if (!r) return {};
  return Json::array({static_cast<int>(r->part), r->strength, r->before, r->readings, r->log_odds,
                      static_cast<int>(r->by_itself), static_cast<int>(r->place_by_itself),
                      r->probability_by_itself, r->why});
}

std::optional<ReferenceShare> reference_from(const Json& j) {
  if (!j.is_array()) return std::nullopt;
  ReferenceShare r;
  r.part = one_of(j.at(0), Part::cage);
  r.strength = j.at(1).get<double>();
  r.before = j.at(2).get<double>();
  r.readings = j.at(3).get<std::size_t>();
  r.log_odds = j.at(4).get<double>();
  r.by_itself = one_of(j.at(5), Verdict::indeterminate);
  r.place_by_itself = one_of(j.at(6), Place::cannot_tell);
  r.probability_by_itself = j.at(7).get<double>();
  r.why = j.at(8).get<std::string>();
  return r;
}

Standing from_json(const Json& j, const PointKey& at) {
  Standing s;
  s.at = at;
  s.readings = j.at("readings").get<std::size_t>();
  s.latest = time_of(j.at("latest_ms"));
  if (const Json& since = j.at("since_ms"); since.is_number_integer()) s.since = time_of(since);
  s.order = j.at("order").get<std::string>();
  s.assessment = assessment_from(j.at("assessment"));
  s.acknowledged = j.at("acknowledged").get<bool>();
  s.verdict = one_of(j.at("verdict"), Verdict::indeterminate);
  s.place = one_of(j.at("place"), Place::cannot_tell);
  s.place_set = lists::read_parts(j.at("place_set").get<std::string>());
  s.probability_of_damage = j.at("damage").get<double>();
  s.stage = one_of(j.at("stage"), Stage::advanced);
  s.alarm = one_of(j.at("alarm"), AlarmLevel::alarm);
  s.change_db = maybe(j.at("change_db"));
  s.velocity_mm_s = maybe(j.at("velocity_mm_s"));
  if (const Json& zone = j.at("zone"); zone.is_number_integer()) s.zone = one_of(zone, Zone::d);
  s.no_zone = j.at("no_zone").get<std::string>();
  if (const Json& reach = j.at("reach"); reach.is_array())
    s.reach = ReachRange{reach.at(0).get<double>(), reach.at(1).get<double>(), maybe(reach.at(2))};
  s.why = j.at("why").get<std::string>();
  s.reference = reference_from(j.at("reference"));
  s.changed = j.at("changed").get<std::string>();
  s.dates = j.at("dates").get<std::string>();
  return s;
}

}  // namespace

std::string write(const Standing& s, const TrendOptions& options) {
  const Json json = {{"with", found_with(options)},
                     {"readings", s.readings},
                     {"latest_ms", s.latest.time_since_epoch().count()},
                     {"since_ms", s.since ? Json(s.since->time_since_epoch().count()) : Json{}},
                     {"order", s.order},
                     {"assessment", assessment_json(s.assessment)},
                     {"acknowledged", s.acknowledged},
                     {"verdict", static_cast<int>(s.verdict)},
                     {"place", static_cast<int>(s.place)},
                     {"place_set", lists::write(s.place_set)},
                     {"damage", s.probability_of_damage},
                     {"stage", static_cast<int>(s.stage)},
                     {"alarm", static_cast<int>(s.alarm)},
                     {"change_db", or_null(s.change_db)},
                     {"velocity_mm_s", or_null(s.velocity_mm_s)},
                     {"zone", s.zone ? Json(static_cast<int>(*s.zone)) : Json{}},
                     {"no_zone", s.no_zone},
                     {"reach", s.reach ? Json::array({s.reach->earliest_days, s.reach->likely_days,
                                                      or_null(s.reach->latest_days)})
                                       : Json{}},
                     {"why", s.why},
                     {"reference", reference_text(s.reference)},
                     {"changed", s.changed},
                     {"dates", s.dates}};
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::optional<Standing> read(std::string_view text, const PointKey& at,
                             const TrendOptions& options) {
  if (text.empty()) return std::nullopt;
  try {
    const Json json = Json::parse(text);
    if (json.at("with").get<std::string>() != found_with(options)) return std::nullopt;
    return from_json(json, at);
  } catch (const std::exception&) {
    return std::nullopt;  // it is derived, and will be found again
  }
}

}  // namespace bearingdsp::standing_text
