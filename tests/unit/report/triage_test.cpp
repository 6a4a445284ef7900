#include "bearingdsp/report/triage.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/text.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

Triage growling() {
  TriageInquiry i;
  i.answers = {triage_answer("heard", "growl").value(), triage_answer("power-off", "fades").value(),
               triage_answer("grease shot", "comes back").value()};
  return triage(i).value();
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("triage report: the answer first, then what to do, reasons, where to put the sensor") {
  const Triage t = growling();
  const Report r = triage_report(t);
  CHECK(r.title == "LIKELY: RACEWAY OR ROLLING ELEMENT DAMAGE");
  CHECK(r.tone == Tone::check);
  CHECK(r.sections.front().id == "advice");
  const std::string text = to_text(r);
  CHECK(has(text, "1 DE horizontal"));
  CHECK(has(text, "not measured yet"));
  // The caution is before the step.
  const auto& first = *std::find_if(r.sections.begin(), r.sections.end(),
                                    [](const ReportSection& s) { return s.id == "fault-1"; });
  CHECK(first.figures.front().label == "For");
  CHECK(has(first.figures.front().text, "(+3) [workshop practice T0]"));
  const auto label = [&](const std::string& word) {
    return std::find_if(first.figures.begin(), first.figures.end(),
                        [&](const KeyFigure& k) { return k.label == word; });
  };
  REQUIRE(label("CAUTION") != first.figures.end());
  CHECK(label("CAUTION") < label("First"));
}

TEST_CASE("triage page: a drawing of the motor with the places that matter marked") {
  const Triage t = growling();
  const std::string page = to_html(triage_report(t));
  CHECK(has(page, "aria-label=\"Motor with the places for a sensor\""));
  // A marked place is a filled circle: both radial places, the axial one; two of them drawn twice.
  std::size_t marked = 0;
  for (std::size_t at = 0;
       (at = page.find("fill=\"#D55E00\" stroke=\"#D55E00\"", at)) != std::string::npos; ++at)
    ++marked;
  CHECK(marked == 4);
}

TEST_CASE("triage JSON: faults, reasons, answers and the urgency") {
  const Triage t = growling();
  const auto j = json::parse(triage_json(t));
  CHECK(j["schema"] == "bearingdsp.triage/1");
  CHECK(j["urgency"] == "check");
  REQUIRE(j["faults"].size() == t.faults.size());
  for (std::size_t i = 0; i < t.faults.size(); ++i) {
    CHECK(j["faults"][i]["fault"] == t.faults[i].name);
    CHECK(j["faults"][i]["probability"].get<double>() == t.faults[i].probability);
    CHECK(j["faults"][i]["reasons"].size() == t.faults[i].reasons.size());
    CHECK_FALSE(j["faults"][i]["sensor_places"].empty());
  }
  CHECK(j["answers"].size() == 3);
  CHECK(j["contradictions"].empty());
  CHECK(j["recording"].is_null());
}

TEST_CASE("triage questions: every question with its words and cautions") {
  const Report r = triage_questions_report();
  CHECK(r.sections.size() == triage_questions().size());
  const auto j = json::parse(triage_questions_json());
  CHECK(j["schema"] == "bearingdsp.triage-questions/1");
  REQUIRE(j["questions"].size() == triage_questions().size());
  for (std::size_t i = 0; i < r.sections.size(); ++i) {
    CHECK(j["questions"][i]["answers"].size() == triage_questions()[i].answers.size());
    CHECK(j["questions"][i]["cautions"].size() == triage_questions()[i].cautions.size());
    for (const Caution& c : triage_questions()[i].cautions)
      CHECK(has(to_text(r, {}), c.text.substr(0, 20)));
  }
}
