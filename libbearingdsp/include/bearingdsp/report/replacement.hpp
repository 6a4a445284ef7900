#pragma once
/// A replacement plan and its job card, as a report, as JSON and for print.
#include <string>

#include "bearingdsp/replacement/job_card.hpp"
#include "bearingdsp/replacement/plan.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// Points that need a decision first, then the rest by topic; every line with its source.
[[nodiscard]] Report replacement_report(const ReplacementPlan& plan);
/// "bearingdsp.replacement/1"
[[nodiscard]] std::string replacement_json(const ReplacementPlan& plan,
                                           const JsonOptions& options = {});
/// The card as Markdown that reads well as plain text too; boxes to tick.
[[nodiscard]] std::string job_card_markdown(const JobCard& card,
                                            CardForm form = CardForm::long_form);
/// The card as one HTML page for print: no script, nothing loaded from elsewhere, text escaped. On
/// one sheet the steps are in brief and every caution stands; it prints on two sides of A4.
[[nodiscard]] std::string job_card_html(const JobCard& card, CardForm form = CardForm::long_form);

}  // namespace bearingdsp
