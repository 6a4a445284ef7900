#include "bearingdsp/report/json.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>

#include "paths.hpp"
#include "report/sections.hpp"
#include "support/made_diagnosis.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

/// The part of JSON Schema that docs/diagnosis.schema.json uses; the first breach found, or empty.
std::string breach(const json& value, const json& schema, const json& root,
                   const std::string& path) {
  if (schema.contains("$ref")) {
    const std::string name = schema["$ref"].get<std::string>().substr(8);  // after "#/$defs/"
    return breach(value, root["$defs"].at(name), root, path);
  }
  if (schema.contains("const") && value != schema["const"]) return path + ": not the constant";
  if (schema.contains("enum") &&
      std::find(schema["enum"].begin(), schema["enum"].end(), value) == schema["enum"].end())
    return path + ": " + value.dump() + " is not listed";
  if (schema.contains("type")) {
    const json types = schema["type"].is_array() ? schema["type"] : json::array({schema["type"]});
    const bool fits = std::any_of(types.begin(), types.end(), [&](const json& t) {
      return (t == "null" && value.is_null()) || (t == "string" && value.is_string()) ||
             (t == "boolean" && value.is_boolean()) || (t == "number" && value.is_number()) ||
             (t == "integer" && value.is_number_integer()) || (t == "array" && value.is_array()) ||
             (t == "object" && value.is_object());
    });
    if (!fits) return path + ": wrong type, " + value.dump();
  }
  if (value.is_array() && schema.contains("items"))
    for (std::size_t i = 0; i < value.size(); ++i) {
      const auto found =
          breach(value[i], schema["items"], root, path + "[" + std::to_string(i) + "]");
      if (!found.empty()) return found;
    }
  if (!value.is_object() || !schema.contains("properties")) return "";
  for (const auto& key : schema["required"])
    if (!value.contains(key.get<std::string>())) return path + ": no " + key.dump();
  for (const auto& [key, item] : value.items()) {
    if (!schema["properties"].contains(key)) return path + ": unlisted " + key;
    const auto found = breach(item, schema["properties"][key], root, path + "." + key);
    if (!found.empty()) return found;
  }
  return "";
}

json read_schema() {
  std::ifstream in{std::string{TESTS_SOURCE_DIR} + "/../docs/diagnosis.schema.json"};
  return json::parse(in);
}

}  // namespace

TEST_CASE("diagnosis json keeps docs/diagnosis.schema.json, full or bare, and a breach is seen") {
  const json schema = read_schema();
  JsonOptions options;
  options.curves = true;
  options.bearing = "6205";
  const json full = json::parse(diagnosis_json(test::made_diagnosis(), options));
  CHECK(breach(full, schema, schema, "") == "");
  CHECK(breach(json::parse(diagnosis_json(Diagnosis{})), schema, schema, "") == "");
  // Every listed key is written: nothing in the document is out of date.
  for (const auto& [key, unused] : schema["properties"].items()) CHECK(full.contains(key));

  json wrong = full;
  wrong["verdict"] = "maybe";
  CHECK(breach(wrong, schema, schema, "") == ".verdict: \"maybe\" is not listed");
  wrong = full;
  wrong["families"][0]["lines"][0].erase("order");
  CHECK(breach(wrong, schema, schema, "") == ".families[0].lines[0]: no \"order\"");
  wrong = full;
  wrong["speed"]["extra"] = 1;
  CHECK(breach(wrong, schema, schema, "") == ".speed: unlisted extra");
  wrong = full;
  wrong["rate_hz"] = "fast";
  CHECK(breach(wrong, schema, schema, "") == ".rate_hz: wrong type, \"fast\"");
}

TEST_CASE("diagnosis json: schema is the first key and the values come back bit by bit") {
  Diagnosis d = test::made_diagnosis();
  d.probability_of_damage = 0.1 + 0.2;  // 0.30000000000000004: needs all 17 digits
  d.speed.rate = Hz{29.0 / 3.0};
  const std::string text = diagnosis_json(d);
  const auto ordered = nlohmann::ordered_json::parse(text);
  CHECK(ordered.begin().key() == "schema");
  const json j = json::parse(text);
  CHECK(j["schema"] == "bearingdsp.diagnosis/2");
  CHECK(j["probability_of_damage"].get<double>() == 0.1 + 0.2);
  CHECK(j["speed"]["shaft_rate_hz"].get<double>() == 29.0 / 3.0);
  CHECK(j["speed"]["speed_rpm"].get<double>() == 60.0 * (29.0 / 3.0));
  CHECK(j["bearing"]["bpfo_hz"].get<double>() == 3.5848 * (29.0 / 3.0));
  CHECK(j["verdict"] == "fault");
  CHECK(j["place"] == "outer ring");
  CHECK(j["probability_of_part"]["rolling_element"].get<double>() == 0.01);
  CHECK(j["figures"][0]["velocity_rms_mm_s"].get<double>() == 0.00231 * 1e3);
  CHECK(j["families"][0]["lines"].size() == 4);
  CHECK(j["source"] == d.source);
  CHECK_FALSE(j.contains("curves"));
}

TEST_CASE("diagnosis json: version 2 has the keys renamed since version 1 [docs/json-schema.md]") {
  const json family = json::parse(diagnosis_json(test::made_diagnosis()))["families"][0];
  for (const char* key : {"harmonics_detected", "sidebands_detected"}) CHECK(family.contains(key));
  CHECK(family["lines"][0].contains("detected"));
  for (const json& object : {family, family["lines"][0]})
    for (const auto& [key, unused] : object.items()) CHECK(key.find("stand") == std::string::npos);
}

TEST_CASE("every level of a channel has its key in the JSON and its column in the report") {
  Diagnosis d = test::made_diagnosis();
  const Report report = diagnosis_report(d);
  const auto levels = std::find_if(report.sections.begin(), report.sections.end(),
                                   [](const ReportSection& s) { return s.id == "levels"; });
  REQUIRE(levels != report.sections.end());
  const json known = json::parse(diagnosis_json(d))["figures"][0];
  d.figures[0] = {};
  const json unknown = json::parse(diagnosis_json(d))["figures"][0];
  std::size_t column = 3;  // behind channel, unit and velocity
  for (const FigureColumn& c : figure_columns()) {
    CAPTURE(c.key);
    const auto value = c.of(test::made_diagnosis().figures[0]);
    REQUIRE(value);  // give made_diagnosis() one
    CHECK(known.at(std::string{c.key}).get<double>() == *value);
    if (!c.acceleration_key.empty()) {
      CHECK(known.at(std::string{c.acceleration_key}).get<double>() == *value);
      CHECK(unknown.at(std::string{c.acceleration_key}).is_null());
    }
    CHECK(unknown.at(std::string{c.key}).is_null() == !c.of(d.figures[0]));
    CHECK(levels->table->columns.at(column).title == c.title);
    CHECK(levels->table->rows.at(0).at(column++) == significant(*value));
  }
  CHECK(levels->table->columns.size() == column);
}

TEST_CASE("diagnosis json: what is not a number or not known is null") {
  Diagnosis d = test::made_diagnosis();
  d.figures[0].kurtosis = std::numeric_limits<double>::quiet_NaN();
  d.figures[0].peak = std::numeric_limits<double>::infinity();
  d.figures[0].velocity_rms.reset();
  d.figures[0].unit = SampleUnit::volt;
  d.orders.reset();
  d.speed = {};
  const json j = json::parse(diagnosis_json(d));
  CHECK(j["figures"][0]["kurtosis"].is_null());
  CHECK(j["figures"][0]["peak_in_unit"].is_null());
  CHECK(j["figures"][0]["velocity_rms_mm_s"].is_null());
  CHECK(j["figures"][0]["velocity_rms_absent_because"].is_string());
  CHECK(j["figures"][0]["acceleration_rms_m_s2"].is_null());
  CHECK(j["figures"][0]["rms_in_unit"].get<double>() == 6.5);
  CHECK(j["bearing"].is_null());
  CHECK(j["bearing_name"].is_null());
  CHECK(j["speed"]["speed_rpm"].is_null());
  CHECK(j["families"][0]["fitted_hz"].is_null());
}

TEST_CASE("diagnosis json: one line on request, curves on request, broken names survive") {
  Diagnosis d = test::made_diagnosis();
  d.source = "a\xff\nb";
  JsonOptions options;
  options.pretty = false;
  options.curves = true;
  options.bearing = "6205";
  const std::string text = diagnosis_json(d, options);
  CHECK(text.find('\n') == std::string::npos);
  const json j = json::parse(text);
  CHECK(j["source"] == "a\xef\xbf\xbd\nb");
  CHECK(j["bearing_name"] == "6205");
  REQUIRE(j["curves"].size() == 2);
  CHECK(j["curves"][0]["x"].size() == 20000);
  CHECK(j["curves"][0]["x_unit"] == "s");
}

TEST_CASE("error json carries code, place, matter and advice") {
  const json j = json::parse(
      error_json("x.wav", Error{Errc::corrupt_file, "x.wav", "the file is empty", "record again"}));
  CHECK(j["schema"] == "bearingdsp.error/1");
  CHECK(j["source"] == "x.wav");
  CHECK(j["code"] == "corrupt_file");
  CHECK(j["what"] == "the file is empty");
  CHECK(j["advice"] == "record again");
}

TEST_CASE("frequencies json: Hz only with a speed [src:closed-form f = k n / 60]") {
  const json still = json::parse(frequencies_json("6205", {test::made_orders()}, std::nullopt));
  CHECK(still["schema"] == "bearingdsp.frequencies/1");
  CHECK(still["variants"][0]["bpfo_hz"].is_null());
  const json turning = json::parse(frequencies_json("6205", {test::made_orders()}, Rpm{1800}));
  CHECK(turning["variants"][0]["bpfo_hz"].get<double>() == 3.5848 * 30.0);
  CHECK(turning["variants"][0]["rolling_elements"] == 9);
  CHECK(turning["speed_rpm"] == 1800.0);
}

TEST_CASE("contents json: channels with unit and levels") {
  Capture c;
  c.source = "a.wav";
  c.format = "WAV PCM 16";
  c.rate = Hz{1000};
  c.channels.push_back({"x", SampleUnit::acceleration, {1, -1, 1, -1}, 78.5});
  Finding f;
  f.kind = FindingKind::too_short;
  Contents file;
  file.source = "a.wav";
  file.items.push_back({1, "x", "PCM 16", {4}, "", true, false, {}});
  const json j = json::parse(contents_json(file, &c, {f}));
  CHECK(j["schema"] == "bearingdsp.contents/1");
  CHECK(j["samples_per_channel"] == 4);
  CHECK(j["duration_s"].get<double>() == 0.004);
  CHECK(j["channels"][0]["unit"] == "m/s2");
  CHECK(j["channels"][0]["rms_in_unit"].get<double>() == 1.0);
  CHECK(j["channels"][0]["full_scale_in_unit"].get<double>() == 78.5);
  CHECK(j["findings"][0]["kind"] == "too_short");
  CHECK(j["start_utc"].is_null());
  CHECK(j["items"][0]["dimensions"][0] == 4);
  CHECK(j["usable"] == true);
  const json unread = json::parse(contents_json(file, nullptr, {}));
  CHECK(unread["usable"] == false);
  CHECK(unread["rate_hz"].is_null());
  CHECK(unread["channels"].empty());
}
