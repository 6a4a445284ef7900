#pragma once
/// Results as JSON for programs. The documents are versioned and described in docs/json-schema.md:
/// "schema" comes first, units are part of the key names, numbers carry full round-trip digits and
/// what is not a finite number is null.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

struct JsonOptions {
  bool pretty{true};           ///< indented; false: one line, for JSON Lines
  bool curves{false};          ///< include the arrays of the pictures
  std::string_view bearing{};  ///< the bearing as the user named it; empty: left out (null)
};

/// "bearingdsp.diagnosis/2". Ends without a newline.
[[nodiscard]] std::string diagnosis_json(const Diagnosis& diagnosis,
                                         const JsonOptions& options = {});
/// "bearingdsp.error/1": a file that could not be diagnosed. source is the file as given.
[[nodiscard]] std::string error_json(std::string_view source, const Error& error,
                                     const JsonOptions& options = {});
/// "bearingdsp.frequencies/1": one or several variants of a bearing, in Hz where a speed is given.
[[nodiscard]] std::string frequencies_json(std::string_view bearing,
                                           const std::vector<DefectOrders>& variants,
                                           std::optional<Rpm> speed,
                                           const JsonOptions& options = {});
/// "bearingdsp.contents/1": what a file holds; capture is null where the samples were not read.
[[nodiscard]] std::string contents_json(const Contents& contents, const Capture* capture,
                                        const Findings& findings, const JsonOptions& options = {});

}  // namespace bearingdsp
