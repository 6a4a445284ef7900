#pragma once
/// Which end of a motor it is, for readers and programs.
#include <string>

#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/verdict/ends.hpp"

namespace bearingdsp {

/// The answer in a sentence, with what it stands on. `machine` is shown as the source.
[[nodiscard]] Report ends_report(const EndsCompared& ends, const std::string& machine);

/// "bearingdsp.ends/1", described in docs/json-schema.md. Ends without a newline.
[[nodiscard]] std::string ends_json(const EndsCompared& ends, const std::string& machine,
                                    const JsonOptions& options = {});

}  // namespace bearingdsp
