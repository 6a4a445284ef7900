#pragma once
/// What every JSON document of ours begins and ends with.
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/verdict/assessment.hpp"

namespace bearingdsp {

using Json = nlohmann::ordered_json;

/// A document begun: which schema, which version of this library.
inline Json headed(std::string_view schema) {
  Json json;
  json["schema"] = schema;
  json["version"] = BEARINGDSP_VERSION;
  return json;
}

/// Indented, or in one line. Bytes that are not UTF-8 (file names may hold any) become U+FFFD
/// instead of an exception; what could steer a terminal that shows the document is escaped.
inline std::string dumped(const Json& json, bool pretty) {
  return safe_text(json.dump(pretty ? 2 : -1, ' ', false, Json::error_handler_t::replace),
                   Medium::json);
}

inline Json or_null(const std::optional<double>& value) { return value ? Json(*value) : Json{}; }
inline Json or_null(std::string_view text) {
  return text.empty() ? Json{} : Json(std::string{text});
}

/// A component as a key: "outer_ring".
inline std::string key_of(Part part) {
  std::string key{token(part)};
  for (char& c : key)
    if (c == ' ') c = '_';
  return key;
}

/// Names of components, a list.
inline Json names_of(const std::vector<Part>& parts) {
  Json names = Json::array();
  for (const Part part : parts) names.push_back(token(part));
  return names;
}

/// An assessment: what every document says of a point.
Json assessment_json(const Assessment& assessment);
/// A velocity compared with the limits of a standard.
Json vibration_json(const VelocityJudgement& vibration);

}  // namespace bearingdsp
