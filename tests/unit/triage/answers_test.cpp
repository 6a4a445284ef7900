#include "bearingdsp/triage/answers.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "bearingdsp/replacement/cause.hpp"
#include "triage/tables.hpp"

using namespace bearingdsp;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::vector<std::string> names(const HandReadings& readings) {
  std::vector<std::string> out;
  const auto answers = answers_of_readings(readings).value();
  for (const TriageAnswer& a : answers) out.push_back(a.name);
  return out;
}

using Names = std::vector<std::string>;

}  // namespace

TEST_CASE("triage: every answer has its question, and every name is used once") {
  std::set<std::string> used;
  std::size_t answers = 0;
  for (const TriageQuestion& q : triage_questions()) {
    CAPTURE(q.name);
    CHECK_FALSE(q.ask.empty());
    CHECK_FALSE(q.answers.empty());
    for (const TriageAnswer& a : q.answers) {
      CHECK_MESSAGE(used.insert(a.name).second, a.name);
      CHECK(triage_answer(q.name, a.name).value().name == a.name);
      for (const std::string& other : a.also)
        CHECK(triage_answer(q.name, other).value().name == a.name);
      ++answers;
    }
  }
  CHECK(answers > 60);
  CHECK_THROWS_AS((void)triage_question("moonshine"), std::invalid_argument);
}

TEST_CASE("triage: words are taken in any case, and an unknown one is answered by what it means") {
  CHECK(triage_answer("heard", "SCREECH").value().name == "squeal");
  CHECK(triage_answer("power-off", "at-once").value().name == "stops at once");
  CHECK(triage_answer("heard", "growk").error().advice == "did you mean growl?");
  CHECK(has(triage_answer("heard", "shrill whistles").error().advice, "chirp"));
  CHECK(triage_answer("seen", "moonshine").error().code == Errc::not_found);
  // What counts as smell is no sound.
  CHECK_FALSE(triage_answer("heard", "burnt grease").has_value());
}

TEST_CASE("triage: it knows the facts of a machine that 'cause' knows") {
  for (const char* fact :
       {"variable-frequency drive", "insulated bearing", "shaft grounded", "hot surroundings",
        "dusty surroundings", "wet surroundings", "stands idle", "belt drive", "coupled drive",
        "cylindrical roller bearing", "failed soon after fitting", "ran for years"}) {
    CAPTURE(fact);
    CHECK(std::count(cause_facts().begin(), cause_facts().end(), fact) == 1);
    CHECK(triage_answer("known", fact).has_value());
  }
}

TEST_CASE(
    "triage: temperatures at and on both sides of the limits [workshop practice T4: alarm 100, "
    "trip 110 degC; T8: rise 55 K; T5: 10 to 30 K above ambient is normal]") {
  CHECK(names({Celsius{99.9}, {}, {}, {}, {}}).empty());
  CHECK(names({Celsius{100}, {}, {}, {}, {}}) == Names{"bearing too hot"});
  CHECK(names({Celsius{109.9}, {}, {}, {}, {}}) == Names{"bearing too hot"});
  CHECK(names({Celsius{110}, {}, {}, {}, {}}) == Names{"bearing dangerously hot"});
  CHECK(names({{}, Celsius{110}, {}, {}, {}}) == Names{"bearing dangerously hot"});
  CHECK(names({Celsius{85}, {}, {}, Celsius{30}, {}}).empty());
  CHECK(names({Celsius{85.1}, {}, {}, Celsius{30}, {}}) == Names{"bearing too hot"});
  CHECK(names({Celsius{60}, {}, {}, Celsius{30}, {}}) == Names{"bearing temperature normal"});
  CHECK(names({Celsius{60.1}, {}, {}, Celsius{30}, {}}).empty());
  // Both ends too hot count once, with both numbers.
  const auto both = answers_of_readings({Celsius{104}, Celsius{102}, {}, {}, {}}).value();
  REQUIRE(both.size() == 1);
  CHECK(has(both.front().meaning, "DE bearing at 104"));
  CHECK(has(both.front().meaning, "NDE bearing at 102"));
  CHECK(answers_of_readings({Celsius{900}, {}, {}, {}, {}}).error().code == Errc::bad_argument);
}

TEST_CASE("triage: one end hotter by 15 K, a frame hotter by 10 K [triage_limits.csv]") {
  CHECK_FALSE(hotter_end({Celsius{64.9}, Celsius{50}, {}, {}, {}}));
  CHECK(hotter_end({Celsius{65}, Celsius{50}, {}, {}, {}}) == MachineEnd::drive_end);
  CHECK(hotter_end({Celsius{50}, Celsius{65}, {}, {}, {}}) == MachineEnd::non_drive_end);
  CHECK_FALSE(hotter_end({Celsius{65}, {}, {}, {}, {}}));
  CHECK(names({Celsius{65}, Celsius{50}, {}, {}, {}}) == Names{"one bearing much hotter"});
  CHECK(names({Celsius{60}, Celsius{58}, Celsius{70}, {}, {}}) ==
        Names{"frame hotter than the bearings"});
  CHECK(names({Celsius{60}, Celsius{58}, Celsius{69.9}, {}, {}}).empty());
}

TEST_CASE("triage: three currents, unequal beyond 10 % of their mean [triage_limits.csv]") {
  const auto of = [](std::vector<double> amperes) {
    return answers_of_readings({{}, {}, {}, {}, std::move(amperes)});
  };
  CHECK(of({20, 20, 20}).value().front().name == "currents equal");
  CHECK(of({22, 19, 19}).value().front().name == "currents equal");      // 10.0 %
  CHECK(of({22.1, 19, 19}).value().front().name == "currents unequal");  // 10.3 %
  CHECK(of({0, 30, 30}).value().front().name == "currents unequal");     // a phase is missing
  for (const std::vector<double>& bad :
       {std::vector<double>{1, 2}, {1, 2, -3}, {0, 0, 0}, {1, 2, 3, 4}})
    CHECK(of(bad).error().code == Errc::bad_argument);
}

TEST_CASE("triage: limits and cautions have source and status") {
  for (const TriageLimit& l : triage_limits()) {
    CAPTURE(l.name);
    CHECK_FALSE(l.meaning.empty());
    CHECK_FALSE(l.source.empty());
    CHECK(std::set<std::string>{"confirmed", "memory", "derived", "ours"}.contains(l.status));
  }
  CHECK_THROWS_AS((void)triage_tables::limit("moonshine"), std::invalid_argument);
  CHECK_THROWS_AS((void)triage_tables::cautions_of("moonshine"), std::invalid_argument);
}

TEST_CASE("triage: a step that can hurt someone carries its caution") {
  const auto carries = [](const std::vector<Caution>& cautions, StepKind step) {
    const std::vector<Caution> needed = cautions_for(step, {});
    return std::all_of(needed.begin(), needed.end(), [&](const Caution& n) {
      return std::any_of(cautions.begin(), cautions.end(),
                         [&](const Caution& c) { return c.text == n.text; });
    });
  };
  const std::vector<std::pair<std::string, StepKind>> questions{
      {"heard", StepKind::running_machine},
      {"power-off", StepKind::coast_down},
      {"grease shot", StepKind::grease_running},
      {"felt", StepKind::touch_shaft},
      {"felt", StepKind::hot_surface},
      {"smelt", StepKind::burning},
      {"seen", StepKind::burning},
      {"temperature", StepKind::hot_surface},
      {"current", StepKind::live_measurement}};
  for (const auto& row : questions) {
    const std::string& question = row.first;
    const StepKind key = row.second;
    CAPTURE(question);
    CHECK(carries(triage_question(question).cautions, key));
  }
  // Words of a step, and the caution that it then needs.
  const std::vector<std::pair<std::string, StepKind>> words{
      {"isten", StepKind::running_machine},    {"by hand", StepKind::touch_shaft},
      {"standstill", StepKind::touch_shaft},   {"loosen", StepKind::touch_shaft},
      {"air inlet", StepKind::touch_shaft},    {"lost weight", StepKind::touch_shaft},
      {"egrease", StepKind::grease_running},   {"outlet", StepKind::grease_running},
      {"current", StepKind::live_measurement}, {"voltage", StepKind::live_measurement},
      {"ammeter", StepKind::live_measurement}, {"running motor", StepKind::coast_down},
      {"coast-down", StepKind::coast_down},    {"temperature", StepKind::hot_surface},
      {"at the cap", StepKind::hot_surface},   {"easure axially", StepKind::mount_sensor},
      {"at each foot", StepKind::mount_sensor}};
  for (const auto& fault : triage_tables::faults())
    for (const auto& row : words)
      if (has(fault.confirm, row.first)) {
        const std::string& word = row.first;
        const StepKind key = row.second;
        INFO(fault.name << ": " << word << " needs " << token(key));
        CHECK(carries(fault.cautions, key));
      }
}
