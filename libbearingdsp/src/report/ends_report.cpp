#include <fmt/format.h>

#include "bearingdsp/report/ends.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {

Report ends_report(const EndsCompared& ends, const std::string& machine) {
  Report r;
  r.title = ends.carrier ? fmt::format("WHICH END: {}", words(*ends.carrier))
            : ends.both  ? "WHICH END: both"
                         : "WHICH END";
  r.source = machine;
  r.tone = ends.carrier || ends.both ? Tone::bad : Tone::neutral;
  r.headline = ends.headline;
  if (!ends.advice.empty()) {
    ReportSection s;
    s.id = "advice";
    s.title = "What to do";
    s.items = {ends.advice};
    r.sections.push_back(std::move(s));
  }
  return r;
}

std::string ends_json(const EndsCompared& ends, const std::string& machine,
                      const JsonOptions& options) {
  Json json = headed("bearingdsp.ends/1");
  json["machine"] = machine;
  json["end"] = ends.carrier ? Json(token(*ends.carrier)) : Json{};
  json["both"] = ends.both;
  json["strength_ratio"] = ends.strength_ratio ? Json(*ends.strength_ratio) : Json{};
  json["level_db"] = ends.level_db ? Json(*ends.level_db) : Json{};
  json["headline"] = ends.headline;
  json["advice"] = ends.advice;
  return dumped(json, options.pretty);
}

}  // namespace bearingdsp
