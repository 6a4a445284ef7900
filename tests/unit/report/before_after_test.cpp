#include "bearingdsp/report/before_after.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "bearingdsp/report/acceptance.hpp"
#include "support/close.hpp"
#include "support/made_diagnosis.hpp"
#include "support/made_recording.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

ComparedRecording with_curves(ComparedRecording r, double depth) {
  r.orders = test::made_orders();
  r.curves = {{"envelope spectrum, whole band", "", "orders", "modulation depth", {}, {}},
              {"envelope spectrum, strongest band", "", "orders", "modulation depth", {}, {}},
              {"spectrum", "DE", "Hz", "m/s2 rms", {}, {}}};
  for (int i = 1; i < 4000; ++i) {
    for (std::size_t c = 0; c < 2; ++c) {
      r.curves[c].x.push_back(0.01 * i);
      r.curves[c].y.push_back(i == 358 ? depth : 0.01);
    }
    r.curves[2].x.push_back(0.5 * i);
    r.curves[2].y.push_back(i == 100 ? depth : 0.001);
  }
  return r;
}

}  // namespace

TEST_CASE("comparison plots: both sides over each other, velocity from acceleration") {
  const BeforeAfter result = compare_sides({with_curves(test::damaged_recording(), 1.5)},
                                           {with_curves(test::sound_recording(), 0.1)});
  const Report r = before_after_report(result);
  REQUIRE(r.plots.size() == 3);  // the strongest bands differ and are not laid over each other
  const ReportPlot& envelope = r.plots[0];
  CHECK(envelope.x_unit == "orders");
  CHECK(envelope.name == "after: sound.wav");
  REQUIRE(envelope.behind);
  CHECK(envelope.behind->name == "before: damaged.wav");
  CHECK(*std::max_element(envelope.behind->y.begin(), envelope.behind->y.end()) == 1.5);
  CHECK(*std::max_element(envelope.y.begin(), envelope.y.end()) == 0.1);
  CHECK(std::any_of(envelope.markers.begin(), envelope.markers.end(), [](const PlotMarker& m) {
    return m.kind == MarkerKind::outer_ring && test::close_rel(m.x, 3.5848, 1e-9);
  }));
  const ReportPlot& velocity = r.plots[1];
  CHECK(velocity.title == "velocity spectrum, DE");
  CHECK(velocity.y_unit == "mm/s rms");
  // 50 Hz: a / w, in mm/s
  const double per_acceleration = 1e3 / (2 * std::numbers::pi * 50);
  CHECK(test::close_rel(*std::max_element(velocity.y.begin(), velocity.y.end()),
                        0.1 * per_acceleration, 1e-9));
  CHECK(test::close_rel(*std::max_element(velocity.behind->y.begin(), velocity.behind->y.end()),
                        1.5 * per_acceleration, 1e-9));
  CHECK(velocity.behind->x.front() == 10);
  CHECK(r.plots[2].title == "acceleration spectrum, DE");
}

TEST_CASE("comparison plots: of several recordings the median one, without curves none") {
  Side before;
  for (const double db : {0.0, 9.0, 3.0}) {
    ComparedRecording r = with_curves(test::louder(test::damaged_recording(), db), 1);
    r.reading.path = "rounds/" + std::to_string(static_cast<int>(db)) + ".wav";
    before.push_back(r);
  }
  const BeforeAfter result = compare_sides(before, {with_curves(test::sound_recording(), 0.1)});
  CHECK(before_after_report(result).plots.at(0).behind->name == "before: 3.wav");
  const Report none =
      before_after_report(compare_sides({test::damaged_recording()}, {test::sound_recording()}));
  CHECK(none.plots.empty());
  REQUIRE(none.changes);
}

TEST_CASE("comparison chart: every level with its change, what chance does and both values") {
  const BeforeAfter result = compare_sides({test::damaged_recording()}, {test::sound_recording()});
  const auto changes = before_after_report(result).changes;
  REQUIRE(changes);
  REQUIRE(changes->rows.size() == result.levels.size());
  for (std::size_t i = 0; i < result.levels.size(); ++i) {
    CHECK(changes->rows[i].change == result.levels[i].change_db);
    CHECK(changes->rows[i].chance == std::max(1.0, 3 * result.levels[i].scatter_db));
    CHECK(changes->rows[i].beyond == result.levels[i].beyond);
    CHECK(changes->rows[i].harmless == (result.levels[i].counts ? result.levels[i].alone_db : 0));
  }
  const auto high = std::find_if(changes->rows.begin(), changes->rows.end(),
                                 [](const ChangeRow& r) { return r.name == "high band"; });
  REQUIRE(high != changes->rows.end());
  CHECK(high->before == "4.00");
  CHECK(high->after == "1.00");
  CHECK(high->own_unit == "m/s²");
  CHECK(high->harmless > high->chance);
  REQUIRE(changes->notes.size() == 2);
  CHECK(changes->notes[0].find("Filled dot: the change is larger") != std::string::npos);
}

TEST_CASE("comparison: a change that rounds to nothing has no sign") {
  const BeforeAfter result =
      compare_sides({test::louder(test::sound_recording(), 0.04)}, {test::sound_recording()});
  const Report r = before_after_report(result);
  const auto levels = std::find_if(r.sections.begin(), r.sections.end(),
                                   [](const ReportSection& s) { return s.id == "levels"; });
  REQUIRE(levels != r.sections.end());
  REQUIRE(levels->table);
  const auto velocity =
      std::find_if(levels->table->rows.begin(), levels->table->rows.end(),
                   [](const std::vector<std::string>& row) { return row.front() == "velocity"; });
  REQUIRE(velocity != levels->table->rows.end());
  CHECK(velocity->at(2) == "2.01");
  CHECK(velocity->at(4) == "0.0");
}

TEST_CASE("acceptance pictures: of the damaged recording, else of the one that shakes most") {
  const auto named = [](ComparedRecording r, const std::string& path, double depth) {
    r.reading.path = path;
    return with_curves(std::move(r), depth);
  };
  const Side run{named(test::sound_recording(), "quiet.wav", 0.2),
                 named(test::louder(test::sound_recording(), 6), "loud.wav", 0.3)};
  const Report r = acceptance_report({}, "motor", run);
  // The envelope once, since the strongest band is the whole one; velocity, acceleration.
  REQUIRE(r.plots.size() == 3);
  CHECK(*std::max_element(r.plots[0].y.begin(), r.plots[0].y.end()) == 0.3);
  CHECK(r.plots[1].title == "velocity spectrum, DE");
  CHECK_FALSE(r.plots[0].behind);
  CHECK(r.plots[0].markers.size() > 3);
  CHECK(r.sections.back().notes.back() ==
        "The charts show loud.wav, the worst of these recordings.");
  Side with_damage = run;
  with_damage.push_back(named(test::damaged_recording(), "damaged.wav", 1.5));
  CHECK(acceptance_report({}, "motor", with_damage)
            .sections.back()
            .notes.back()
            .find("damaged.wav") != std::string::npos);
  CHECK(acceptance_report({}, "motor", {test::sound_recording()}).plots.empty());
}

TEST_CASE("comparison as JSON: both sides, every level and family, what is not known is null") {
  ComparedRecording shaking = test::damaged_recording();
  shaking.reading.causes.push_back({OtherCause::unbalance, 0.8, "made up"});
  const BeforeAfter r = compare_sides({shaking}, {test::sound_recording()});
  const auto j = json::parse(before_after_json(r));
  CHECK(j["schema"] == "bearingdsp.comparison/1");
  CHECK(j["change"] == "cured");
  CHECK(j["before"]["verdict"] == "fault");
  CHECK(j["before"]["place"] == "outer ring");
  CHECK(j["before"]["speed_rpm"] == 1480);
  CHECK(j["before"]["other_causes"].size() == 1);
  CHECK(j["after"]["verdict"] == "no fault found");
  REQUIRE(j["levels"].size() == r.levels.size());
  const auto high = std::find_if(j["levels"].begin(), j["levels"].end(),
                                 [](const json& l) { return l["level"] == "high band"; });
  REQUIRE(high != j["levels"].end());
  CHECK((*high)["unit"] == "m/s2");
  CHECK((*high)["before_in_unit"].get<double>() > (*high)["after_in_unit"].get<double>());
  CHECK(test::close_abs((*high)["change_db"].get<double>(), -12.0412, 1e-4));  // 20 lg (1/4)
  const auto kurtosis = std::find_if(j["levels"].begin(), j["levels"].end(),
                                     [](const json& l) { return l["level"] == "kurtosis"; });
  REQUIRE(kurtosis != j["levels"].end());
  CHECK((*kurtosis)["unit"].is_null());
  REQUIRE(j["families"].size() == 4);
  CHECK(j["families"][0]["part"] == "outer ring");
  CHECK(j["families"][0]["fate"] == "gone");
  CHECK(j["families"][0]["before"]["strength"] == 1.5);
  CHECK(j["taken_as_the_same"] == json{"load", "sensor", "fixing of the sensor"});
  CHECK(j["would_have_shown"].is_null());  // damage was named
  CHECK(j["suspicions"].empty());
  CHECK(j["hits"].is_null());
}

TEST_CASE("comparison as JSON: differences, hits, suspicions and what would have shown") {
  const auto hitting = [](double kurtosis) {
    ComparedRecording c = test::sound_recording();
    Levels piece = c.reading.levels;
    piece.at(Indicator::kurtosis) = kurtosis;
    c.pieces.assign(8, piece);
    return c;
  };
  ComparedRecording faster = hitting(15);
  faster.reading.speed = Rpm{1480 * 1.08};
  const auto j = json::parse(before_after_json(compare_sides({hitting(3)}, {faster})));
  REQUIRE(j["differences"].size() == 1);
  CHECK(j["differences"][0]["kind"] == "speed");
  CHECK(j["differences"][0]["bar"] == "allowed for");
  CHECK(j["hits"]["kurtosis_before"] == 3);
  CHECK(j["hits"]["kurtosis_after"] == 15);
  CHECK(j["hits"]["fate"] == "new");
  CHECK(j["change"] == "new problem");
  CHECK(j["suspicions"].size() >= 2);
  CHECK(j["would_have_shown"]["strength"].get<double>() > 0);
  CHECK(j["would_have_shown"]["level_change_db"].get<double>() >= 1);
}

TEST_CASE("acceptance, for readers and programs: each criterion with what was found and allowed") {
  AcceptanceResult a;
  a.headline = "Too much vibration.";
  a.advice = {"Balance it."};
  a.criteria = {{CriterionKind::vibration, "Velocity, rms", "2.00 mm/s", "1.30 mm/s",
                 Acceptance::fail, "above the limit"},
                {CriterionKind::bearing, "Bearing", "no damage found", "no defect family",
                 Acceptance::pass, ""}};
  a.source = "a standard";
  a.notes = {"a note"};
  for (const auto& [outcome, title, tone] :
       {std::tuple{Acceptance::pass, "PASS", Tone::good},
        std::tuple{Acceptance::fail, "FAIL", Tone::bad},
        std::tuple{Acceptance::repeat, "REPEAT", Tone::doubt}}) {
    a.outcome = outcome;
    const Report r = acceptance_report(a, "motor");
    CHECK(r.title == title);
    CHECK(r.tone == tone);
  }
  const Report r = acceptance_report(a, "motor");
  CHECK(r.sections[0].items == a.advice);
  REQUIRE(r.sections[2].table->rows.size() == 2);
  CHECK(r.sections[2].table->rows[0] ==
        std::vector<std::string>{"Velocity, rms", "2.00 mm/s", "1.30 mm/s", "fail"});
  CHECK(r.sections[2].items == std::vector<std::string>{"Velocity, rms: above the limit"});
  CHECK(r.sections[2].notes == std::vector<std::string>{"Limits: a standard.", "a note"});
  const auto j = json::parse(acceptance_json(a, "motor"));
  CHECK(j["schema"] == "bearingdsp.acceptance/1");
  CHECK(j["source"] == "motor");
  CHECK(j["outcome"] == "repeat");
  CHECK(j["criteria"][0]["outcome"] == "fail");
  CHECK(j["criteria"][0]["why"] == "above the limit");
  CHECK(j["criteria"][1]["why"].is_null());
  CHECK(j["limits_source"] == "a standard");
  CHECK(j["present"]["urgency"] == "OK");

  // A motor that passes, but of which something is to be done, is not shown as if all was well.
  a.outcome = Acceptance::pass;
  a.present.urgency = Urgency::check;
  a.present.headline = "No bearing fault found; electrical erosion likely (80 %).";
  a.present.actions = {"Check the shaft's earthing."};
  const Report but = acceptance_report(a, "motor");
  CHECK(but.title == "PASS, BUT CHECK");
  CHECK(but.tone == Tone::check);
  CHECK(but.brief == "Check: Check the shaft's earthing.");
  CHECK(but.sections[1].figures[0].text == a.present.headline);
  CHECK(json::parse(acceptance_json(a, "motor"))["present"]["actions"].size() == 1);
}
