#include "bearingdsp/report/cause.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "report/damage_sketch.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

CauseInquiry inquiry(const std::vector<std::string>& seen,
                     const std::vector<std::string>& facts = {}) {
  return find_causes(seen, facts).value();
}

RootCause made(std::string name, int points) {
  return {std::move(name), points, {{"a sign", points, "why", "source"}}, "a change"};
}

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("causes: what was seen, then the likeliest with what to change and each reason") {
  const Report r = cause_report(inquiry({"fluting"}, {"variable-frequency drive"}));
  CHECK(r.headline == "Most likely cause: current through the bearing.");
  REQUIRE(r.sections.size() >= 3);
  CHECK(r.sections[0].id == "seen");
  CHECK(r.sections[0].figures[0].label == "current leakage erosion");
  CHECK(has(r.sections[0].figures[0].text, "(clause "));
  const auto& first = r.sections[1];
  CHECK(first.id == "cause-1");
  CHECK(first.title.starts_with("1. current through the bearing ("));
  CHECK(first.figures[0].label == "Change");
  CHECK_FALSE(first.figures[0].text.empty());
  // Two reasons: 3 points for the mode, 2 for the drive.
  CHECK(has(first.figures[1].text, "(+3: current leakage erosion) [ISO 15243:2017, from memory]"));
  CHECK(has(first.figures[2].text, "(+2: variable-frequency drive) [common practice, no source]"));
  CHECK(has(r.sections.back().notes.back(), "they are not a probability"));
}

TEST_CASE(
    "causes: hints are called hints, equals stand together, what is evidence against says so") {
  CauseInquiry q;
  CHECK(cause_report(q).headline == "The rules have no explanation for this.");
  q.causes = {made("dirt", 1), made("water", 1), made("age", 0)};
  q.causes[0].reasons.push_back({"another sign", -2, "why not", "source"});
  const Report hints = cause_report(q);
  CHECK(hints.headline ==
        "Only weak indications, most for: dirt; water. Examine the bearing more closely.");
  CHECK(hints.sections[0].title == "1. dirt (1 point)");
  CHECK(hints.sections[0].figures[1].label == "For");
  CHECK(hints.sections[0].figures[2].label == "Against");
  CHECK(has(hints.sections[0].figures[2].text, "(-2: another sign)"));

  q.causes = {made("a", 6), made("b", 5), made("c", 4), made("d", 3), made("e", 2), made("f", 1)};
  const Report many = cause_report(q);
  CHECK(many.headline == "Most likely cause: a.");
  CHECK(many.sections.size() == 5);  // four causes and the note
  CHECK(many.sections.back().notes.front() == "Also possible: e; f.");
}

TEST_CASE("causes as JSON hold every reason") {
  const CauseInquiry q = inquiry({"fluting", "rust"}, {"wet surroundings"});
  const auto j = json::parse(cause_json(q));
  CHECK(j["schema"] == "bearingdsp.cause/1");
  CHECK(j["seen"].size() == 2);
  REQUIRE(j["causes"].size() == q.causes.size());
  for (std::size_t i = 0; i < q.causes.size(); ++i) {
    CHECK(j["causes"][i]["cause"] == q.causes[i].name);
    int sum = 0;
    for (const auto& reason : j["causes"][i]["reasons"]) sum += reason["points"].get<int>();
    CHECK(sum == j["causes"][i]["points"]);
  }
}

TEST_CASE("the question before anything was seen: every mode and fact, for readers and programs") {
  const Report r = damage_modes_report();
  REQUIRE(r.sections.size() == 4);
  CHECK(r.sections[0].figures.size() == 14);
  CHECK(r.sections[0].figures.size() + r.sections[1].figures.size() +
            r.sections[2].figures.size() ==
        damage_modes().size());
  CHECK(r.sections[3].items == cause_facts());
  const auto fluting =
      std::find_if(r.sections[0].figures.begin(), r.sections[0].figures.end(),
                   [](const KeyFigure& k) { return k.label == "current leakage erosion"; });
  REQUIRE(fluting != r.sections[0].figures.end());
  CHECK(has(fluting->text, "fluting"));
  const auto j = json::parse(damage_modes_json());
  CHECK(j["schema"] == "bearingdsp.damage-modes/1");
  CHECK(j["modes"].size() == damage_modes().size());
  CHECK(j["facts"] == json(cause_facts()));
}

TEST_CASE("the page of drawings has a different one for each row, and frames what was seen") {
  std::vector<std::string> drawn;
  for (const DamageMode& m : damage_modes()) {
    CAPTURE(m.name);
    const std::string picture = svg::damage_sketch(m.name);
    CHECK(picture.starts_with("<svg "));
    CHECK(picture.ends_with("</svg>\n"));
    CHECK(std::count(drawn.begin(), drawn.end(), picture) == 0);
    drawn.push_back(picture);
  }
  CHECK(svg::damage_sketch("moonshine").empty());
  const std::string page =
      damage_pictures_html(find_causes(std::vector<std::string>{"rust"}, {}).value().seen);
  for (const std::string& picture : drawn) CHECK(has(page, picture));
  CHECK(has(page, "class=\"seen\""));
  CHECK(has(page, "Seen: moisture corrosion"));
  CHECK_FALSE(has(damage_pictures_html(), "class=\"seen\""));
  // The caution is before the first picture.
  CHECK(page.find("Caution: Wear gloves") < page.find("<svg "));
  CHECK_FALSE(has(page, "<script"));
}
