#include <string>

#include "bearingdsp/report/history.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

Json reach_json(const std::optional<ReachRange>& reach) {
  if (!reach) return {};
  return {{"earliest_days", reach->earliest_days},
          {"likely_days", reach->likely_days},
          {"latest_days", or_null(reach->latest_days)}};
}

Json reference_json(const std::optional<ReferenceShare>& r) {
  if (!r) return {};
  return {{"part", token(r->part)},
          {"strength", r->strength},
          {"strength_when_healthy", r->before},
          {"healthy_readings", r->readings},
          {"log_odds", r->log_odds},
          {"verdict_by_itself", token(r->by_itself)},
          {"place_by_itself", token(r->place_by_itself)},
          {"probability_by_itself", r->probability_by_itself},
          {"why", r->why}};
}

Json end_recording_json(const EndRecording& r) {
  return {{"point", r.point},
          {"taken_utc", format_time(r.taken)},
          {"source", r.share.source},
          {"verdict", token(r.share.verdict)},
          {"place", token(r.share.place)},
          {"place_set", names_of(r.share.place_set)},
          {"probability_of_damage", r.share.probability_of_damage},
          {"counted", r.share.counted},
          {"not_counted_because", or_null(r.share.why_not_counted)},
          {"contradicts", r.share.contradicts}};
}

Json end_json(const EndStanding& e) {
  Json recordings = Json::array();
  for (const EndRecording& r : e.recordings) recordings.push_back(end_recording_json(r));
  return {{"machine", e.machine},
          {"end", token(e.end)},
          {"urgency", token(e.assessment.urgency)},
          {"headline", e.assessment.headline},
          {"assessment", assessment_json(e.assessment)},
          {"verdict", token(e.verdict)},
          {"place", token(e.place)},
          {"place_set", names_of(e.place_set)},
          {"probability_of_damage", e.probability_of_damage},
          {"recordings", std::move(recordings)}};
}

Json standing_json(const Standing& s) {
  return {{"machine", s.at.machine},
          {"point", s.at.point},
          {"urgency", token(s.assessment.urgency)},
          {"headline", s.assessment.headline},
          {"assessment", assessment_json(s.assessment)},
          {"acknowledged", s.acknowledged},
          {"since_utc", s.since ? Json(format_time(*s.since)) : Json{}},
          {"bearing_to_order", or_null(s.order)},
          {"why", s.why},
          {"own_reference", reference_json(s.reference)},
          {"changed", s.changed},
          {"dates_in_doubt", or_null(s.dates)},
          {"verdict", token(s.verdict)},
          {"place", token(s.place)},
          {"place_set", names_of(s.place_set)},
          {"probability_of_damage", s.probability_of_damage},
          {"stage", token(s.stage)},
          {"alarm", token(s.alarm)},
          {"change_db", or_null(s.change_db)},
          {"velocity_rms_mm_s", or_null(s.velocity_mm_s)},
          {"zone", s.zone ? Json(token(*s.zone)) : Json{}},
          {"zone_absent_because", or_null(s.no_zone)},
          {"reaches_12_db", reach_json(s.reach)},
          {"readings", s.readings},
          {"latest_utc", s.readings == 0 ? Json{} : Json(format_time(s.latest))}};
}

Json error_object(const Error& e) {
  return {{"code", token(e.code)}, {"where", e.where}, {"what", e.what}, {"advice", e.advice}};
}

Json run_json(const RouteRun& run) {
  Json failures = Json::array();
  for (const Error& e : run.failures) failures.push_back(error_object(e));
  Json without = Json::array();
  for (const PointKey& p : run.without_recording)
    without.push_back({{"machine", p.machine}, {"point", p.point}});
  return {{"recordings", run.recordings},
          {"stored", run.stored},
          {"reanalysed", run.reanalysed},
          {"were_there", run.were_there},
          {"left_out", run.left_out},
          {"notes", run.notes.empty() ? Json::array() : Json(run.notes)},
          {"failures", std::move(failures)},
          {"unmatched", run.unmatched.empty() ? Json::array() : Json(run.unmatched)},
          {"points_without_recording", std::move(without)}};
}

Json levels_json(const Levels& l) {
  const auto velocity = l.at(Indicator::velocity);
  return {{"unit", symbol(l.unit)},
          {"velocity_rms_mm_s", velocity ? Json(in_mm_per_s(*velocity)) : Json{}},
          {"overall_rms_in_unit", or_null(l.at(Indicator::overall))},
          {"peak_in_unit", or_null(l.at(Indicator::peak))},
          {"high_band_rms_in_unit", or_null(l.at(Indicator::high_band))},
          {"envelope_rms_in_unit", or_null(l.at(Indicator::envelope))},
          {"noise_floor_rms_in_unit", or_null(l.at(Indicator::floor))},
          {"kurtosis", or_null(l.at(Indicator::kurtosis))},
          {"crest_factor", or_null(l.at(Indicator::crest_factor))},
          {"high_band_low_hz", l.high_band.low.value()},
          {"high_band_high_hz", l.high_band.high.value()}};
}

/// With the orders of the likeliest variant.
Json fitted_json(const FittedBearing& b) {
  if (b.variants.empty()) return {};
  const DefectOrders& o = b.variants.front().orders;
  return {{"number", or_null(b.number)},   {"bpfo_orders", o.bpfo.value()},
          {"bpfi_orders", o.bpfi.value()}, {"bsf_orders", o.bsf.value()},
          {"ftf_orders", o.ftf.value()},   {"relative_uncertainty", o.relative_uncertainty}};
}

Json reading_object(const Reading& r) {
  Json parts;
  for (int i = 0; i < part_count; ++i) {
    const PartReading& p = r.parts.at(static_cast<std::size_t>(i));
    parts[key_of(static_cast<Part>(i))] = {{"strength", p.strength},
                                           {"depth", p.depth},
                                           {"harmonics_detected", p.harmonics},
                                           {"sidebands_detected", p.sidebands}};
  }
  return {{"entry", r.id == 0 ? Json{} : Json(name(EntryId{false, r.id}))},
          {"taken_utc", format_time(r.taken)},
          {"time_from", token(r.time_source)},
          {"added_utc", r.added ? Json(format_time(*r.added)) : Json{}},
          {"date_in_doubt", r.doubt == DateDoubt::none ? Json{} : Json(token(r.doubt))},
          {"path", r.path},
          {"sha256", r.hash},
          {"settings", r.settings},
          {"analysed_by", r.version},
          {"duration_s", r.duration.value()},
          {"rate_hz", r.rate.value()},
          {"speed_rpm", r.speed ? Json(r.speed->value()) : Json{}},
          {"load_percent", or_null(r.load_percent)},
          {"verdict", token(r.verdict)},
          {"place", token(r.place)},
          {"place_set", names_of(r.place_set)},
          {"probability_of_damage", r.probability_of_damage},
          {"probability_of_place", r.probability_of_place},
          {"stage", token(judge_stage(r.stage).stage)},
          {"headline", r.headline},
          {"levels", levels_json(r.levels)},
          {"parts", std::move(parts)},
          {"bearing", fitted_json(r.bearing)}};
}

Json event_object(const Event& e) {
  return {{"entry", e.id == 0 ? Json{} : Json(name(EntryId{true, e.id}))},
          {"kind", token(e.kind)},
          {"when_utc", format_time(e.when)},
          {"point", e.point.empty() ? Json{} : Json(e.point)},
          {"note", e.note},
          {"temperature_celsius", or_null(e.temperature_celsius)}};
}

Json level_trend_json(const LevelTrend& l) {
  Json times = Json::array();
  for (const UtcTime t : l.time) times.push_back(format_time(t));
  Json baseline;
  if (l.baseline)
    baseline = {
        {"level_db", l.baseline->level_db},         {"sigma_db", l.baseline->sigma_db},
        {"readings", l.baseline->readings},         {"provisional", l.baseline->provisional},
        {"drift_db", l.baseline->drift_db},         {"first_utc", format_time(l.baseline->first)},
        {"last_utc", format_time(l.baseline->last)}};
  return {{"level", token(l.what)},
          {"baseline", std::move(baseline)},
          {"change_db", l.baseline ? Json(l.change_db) : Json{}},
          {"significance", l.baseline ? Json(l.significance) : Json{}},
          {"slope_db_per_day", l.db_per_day},
          {"rise_by_chance", l.by_chance},
          {"state", token(l.state)},
          {"state_since_utc", l.since ? Json(format_time(*l.since)) : Json{}},
          {"time_utc", std::move(times)},
          {"level_db", l.level_db}};
}

Json end_list(std::span<const EndStanding> ends) {
  Json json = Json::array();
  for (const EndStanding& e : ends) json.push_back(end_json(e));
  return json;
}

}  // namespace

std::string standings_json(const std::vector<Standing>& standings, const RouteRun* run,
                           const JsonOptions& options, std::span<const EndStanding> ends) {
  Json json = headed("bearingdsp.standings/2");
  json["points"] = Json::array();
  for (const Standing& s : standings) json["points"].push_back(standing_json(s));
  json["ends"] = end_list(ends);
  json["run"] = run != nullptr ? run_json(*run) : Json{};
  return dumped(json, options.pretty);
}

std::string record_json(const RouteRecord& record) {
  Json json = headed("bearingdsp.record/2");
  json["file"] = record.file;
  json["machine"] = record.at.machine;
  json["point"] = record.at.point;
  json["outcome"] = token(record.outcome);
  json["reading"] = record.reading ? reading_object(*record.reading) : Json{};
  json["error"] = record.error ? error_object(*record.error) : Json{};
  return dumped(json, false);
}

std::string trend_json(const PointHistory& history, const Standing& standing, const Trend& trend,
                       const Forecast& forecast, const JsonOptions& options,
                       std::span<const EndStanding> ends) {
  Json json = headed("bearingdsp.trend/2");
  json["machine"] = history.at.machine;
  json["point"] = history.at.point;
  json["standing"] = standing_json(standing);
  json["ends"] = end_list(ends);
  json["vibration"] = vibration_json(judge_vibration(history));
  json["alarms"] = Json::array();
  for (const Alarm& a : trend.alarms)
    json["alarms"].push_back({{"level", token(a.level)},
                              {"rule", token(a.rule)},
                              {"of", a.indicator ? Json(token(*a.indicator))
                                     : a.part    ? Json(token(*a.part))
                                                 : Json{}},
                              {"since_utc", format_time(a.since)},
                              {"why", a.why}});
  json["levels"] = Json::array();
  for (const LevelTrend& l : trend.levels) json["levels"].push_back(level_trend_json(l));
  json["remark"] = trend.remark;
  json["not_compared"] = trend.other;
  json["unusable"] = trend.unusable;
  json["forecast"] = {{"reaches_12_db", reach_json(forecast.reach)},
                      {"probability", forecast.probability},
                      {"limit", forecast.limit},
                      {"why", forecast.why}};
  json["events"] = Json::array();
  for (const Event& e : history.events) json["events"].push_back(event_object(e));
  json["readings"] = Json::array();
  for (const Reading& r : history.readings) json["readings"].push_back(reading_object(r));
  json["dated_in_the_future"] = Json::array();
  for (const Reading& r : history.readings_ahead)
    json["dated_in_the_future"].push_back(reading_object(r));
  for (const Event& e : history.events_ahead)
    json["dated_in_the_future"].push_back(event_object(e));
  return dumped(json, options.pretty);
}

std::string reading_json(const PointKey& at, const Reading& reading) {
  Json json = headed("bearingdsp.reading/2");
  json["machine"] = at.machine;
  json["point"] = at.point;
  json.update(reading_object(reading));
  return dumped(json, false);
}

std::string entry_json(const HistoryEntry& e) {
  Json json = headed("bearingdsp.entry/1");
  json.update({{"entry", name(e.id)},
               {"machine", e.at.machine},
               {"point", or_null(e.at.point)},
               {"when_utc", format_time(e.when)},
               {"removed", e.removed},
               {"date_in_doubt", e.doubt == DateDoubt::none ? Json{} : Json(token(e.doubt))},
               {"what", e.what},
               {"from", e.detail}});
  return dumped(json, false);
}

std::string change_json(const JournalEntry& e) {
  Json json = headed("bearingdsp.change/1");
  json.update({{"when_utc", format_time(e.when)},
               {"action", e.action},
               {"entry", or_null(e.entry)},
               {"machine", e.at.machine},
               {"point", or_null(e.at.point)},
               {"before", or_null(e.before)},
               {"after", or_null(e.after)},
               {"why", or_null(e.why)}});
  return dumped(json, false);
}

std::string event_json(std::string_view machine, const Event& event) {
  Json json = headed("bearingdsp.event/1");
  json["machine"] = machine;
  json.update(event_object(event));
  return dumped(json, false);
}

}  // namespace bearingdsp
