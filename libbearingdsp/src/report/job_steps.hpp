#pragma once
/// Steps of work to tick off, each under its cautions: of the job card, the check sheets and the
/// greasing.
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/replacement/job_card.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// A place to write on.
inline constexpr std::string_view line_to_write_on = "____________________";
/// To be ticked; it is printed in the margin, also under a caution.
inline constexpr std::string_view box_to_tick = "<span class=\"box\">&#9744;</span>";
/// Style of the elements that these functions write.
inline constexpr std::string_view steps_style =
    "ul.steps{list-style:none;padding:0}ul.steps li{margin:.35em 0 .35em 1.7em;break-inside:avoid}"
    ".box{display:inline-block;width:1.7em;margin-left:-1.7em}"
    "p.caution{margin:.2em 0;padding:.2em .6em;border:2px solid #000;font-weight:bold}"
    "table.fields{width:100%;margin:.5em 0;break-inside:avoid}";

/// Markup of a text whose numbers keep their units: "40 %" does not part at the end of a line.
[[nodiscard]] std::string with_units(std::string_view text);
/// <ul class="steps">: text of a form, escaped.
[[nodiscard]] std::string steps_html(std::span<const JobStep> steps, CardForm form);
/// The same as Markdown.
[[nodiscard]] std::string steps_markdown(std::span<const JobStep> steps, CardForm form);
/// What, must be, measured.
[[nodiscard]] std::string readings_html(std::span<const JobReading> readings);
[[nodiscard]] std::string readings_markdown(std::span<const JobReading> readings);
/// Numbered items of a report; the cautions of a step before it, in brief.
[[nodiscard]] std::vector<std::string> step_items(std::span<const JobStep> steps);

}  // namespace bearingdsp
