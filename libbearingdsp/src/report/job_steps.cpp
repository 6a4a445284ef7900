#include "report/job_steps.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/letters.hpp"
#include "markup.hpp"

namespace bearingdsp {
namespace {

const std::string& step_words(const JobStep& step, CardForm form) {
  return form == CardForm::one_sheet && !step.brief.empty() ? step.brief : step.text;
}

const std::string& caution_words(const Caution& caution, CardForm form) {
  return form == CardForm::one_sheet ? caution.brief : caution.text;
}

}  // namespace

std::string with_units(std::string_view text) {
  constexpr std::array<std::string_view, 16> units{
      "%", "mm", "µm", "mm/s", "°C", "K", "N", "kN", "Nm", "g", "rpm", "s", "h", "V", "MΩ", "m/s²"};
  const auto is_unit = [&](std::string_view word) {
    while (!word.empty() && std::string_view{".,;:)"}.find(word.back()) != std::string_view::npos)
      word.remove_suffix(1);
    return std::find(units.begin(), units.end(), word) != units.end();
  };
  const std::string markup = escaped(text);
  std::string out;
  for (std::size_t i = 0; i < markup.size(); ++i) {
    const bool behind_number = i > 0 && markup[i] == ' ' && is_digit(markup[i - 1]);
    const std::size_t end = std::min(markup.find(' ', i + 1), markup.size());
    if (behind_number && is_unit(std::string_view{markup}.substr(i + 1, end - i - 1)))
      out += "\u00a0";
    else
      out += markup[i];
  }
  return out;
}

std::string steps_html(std::span<const JobStep> steps, CardForm form) {
  std::string out = "<ul class=\"steps\">\n";
  for (const JobStep& step : steps) {
    out += "<li>";
    for (const Caution& caution : step.cautions)
      out += "<p class=\"caution\">Caution: " + with_units(caution_words(caution, form)) + "</p>";
    out += std::string{box_to_tick} + with_units(step_words(step, form)) + "</li>\n";
  }
  return out + "</ul>\n";
}

std::string steps_markdown(std::span<const JobStep> steps, CardForm form) {
  std::string out;
  for (const JobStep& step : steps) {
    if (&step != &steps.front() && !step.cautions.empty()) out += "\n";
    for (const Caution& caution : step.cautions)
      out += "> **CAUTION:** " + in_markdown(caution_words(caution, form)) + "\n\n";
    out += "- [ ] " + in_markdown(step_words(step, form)) + "\n";
  }
  return out;
}

std::string readings_html(std::span<const JobReading> readings) {
  std::string out =
      "<table class=\"fields\">\n<tr><th>What</th><th>Must be</th><th>Measured</th></tr>\n";
  for (const JobReading& r : readings)
    out += fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td></tr>\n", escaped(r.label),
                       with_units(r.limit), escaped(r.unit));
  return out + "</table>\n";
}

std::string readings_markdown(std::span<const JobReading> readings) {
  std::string out;
  for (const JobReading& r : readings)
    out += fmt::format("- {}{}: {} {}\n", in_markdown(r.label),
                       r.limit.empty() ? "" : fmt::format(" ({})", in_markdown(r.limit)),
                       line_to_write_on, in_markdown(r.unit));
  return out;
}

std::vector<std::string> step_items(std::span<const JobStep> steps) {
  std::vector<std::string> items;
  for (const JobStep& step : steps) {
    std::string text;
    for (const Caution& caution : step.cautions) text += "CAUTION: " + caution.brief + " ";
    items.push_back(text + step.text);
  }
  return items;
}

}  // namespace bearingdsp
