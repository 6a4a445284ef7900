#pragma once
/// The work around a replacement as reports, JSON and sheets for print: checks, greasing, spares.
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/replacement/check_sheets.hpp"
#include "bearingdsp/replacement/greasing.hpp"
#include "bearingdsp/replacement/spares.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// The readings as judged: the worst first in the headline, every limit with its source. `source`
/// names the motor.
/// Shape: checks [n]; [0] says that no reading was given.
/// Errors: none
[[nodiscard]] Report checks_report(const std::vector<JudgedCheck>& checks, std::string_view source);
/// The sheets on a terminal: each with steps, readings and limits.
/// Shape: sheets [n].
/// Errors: none
[[nodiscard]] Report check_sheets_report(const std::vector<CheckSheet>& sheets,
                                         std::string_view source);
/// "bearingdsp.checks/1": sheets, and the readings as far as there are some.
/// Shape: sheets [n], checks [m]; either may be [0].
/// Errors: none
[[nodiscard]] std::string checks_json(const std::vector<CheckSheet>& sheets,
                                      const std::vector<JudgedCheck>& checks,
                                      std::string_view source, const JsonOptions& options = {});
/// The sheets for print, to be written on: no script, nothing loaded from elsewhere, text escaped.
/// Shape: sheets [n].
/// Errors: none
[[nodiscard]] std::string check_sheets_html(const std::vector<CheckSheet>& sheets,
                                            std::string_view source);
/// The same as Markdown, text escaped.
/// Shape: sheets [n].
/// Errors: none
[[nodiscard]] std::string check_sheets_markdown(const std::vector<CheckSheet>& sheets,
                                                std::string_view source);

/// How one bearing is greased; `title` names bearing and machine.
/// Errors: none
[[nodiscard]] Report grease_report(const GreaseJob& job, std::string_view title);
/// "bearingdsp.grease/1": one bearing.
/// Units: as the names of the keys say (docs/json-schema.md)
/// Errors: none
[[nodiscard]] std::string grease_json(const GreaseJob& job, std::string_view title,
                                      const JsonOptions& options = {});
/// The fleet: a row a bearing.
/// Shape: plan [n], one for each bearing.
/// Errors: none
[[nodiscard]] Report grease_plan_report(const std::vector<GreaseDue>& plan,
                                        std::string_view source);
/// "bearingdsp.grease-plan/1"
/// Shape: plan [n], one for each bearing.
/// Errors: none
[[nodiscard]] std::string grease_plan_json(const std::vector<GreaseDue>& plan,
                                           std::string_view source,
                                           const JsonOptions& options = {});

/// Bearings and seals to keep, with equivalents and storage.
/// Errors: none
[[nodiscard]] Report spares_report(const SpareList& list, std::string_view source);
/// "bearingdsp.spares/1"
/// Errors: none
[[nodiscard]] std::string spares_json(const SpareList& list, std::string_view source,
                                      const JsonOptions& options = {});

}  // namespace bearingdsp
