#include "bearingdsp/verdict/assessment.hpp"

#include <doctest/doctest.h>

#include <array>
#include <fstream>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

#include "paths.hpp"
#include "support/close.hpp"
#include "support/made_diagnosis.hpp"

using namespace bearingdsp;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string trimmed(const std::string& text) {
  const auto begin = text.find_first_not_of(' ');
  return begin == std::string::npos ? std::string{}
                                    : text.substr(begin, text.find_last_not_of(' ') - begin + 1);
}

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells;
  for (std::size_t at = 1; at < line.size();) {
    const std::size_t end = line.find('|', at);
    if (end == std::string::npos) break;
    cells.push_back(trimmed(line.substr(at, end - at)));
    at = end + 1;
  }
  return cells;
}

/// The rows of the table in docs/urgency.md whose first cell is a number.
std::vector<std::map<std::string, std::string>> table() {
  std::ifstream page{TESTS_SOURCE_DIR "/../docs/urgency.md"};
  std::vector<std::string> head;
  std::vector<std::map<std::string, std::string>> rows;
  for (std::string line; std::getline(page, line);) {
    if (!line.starts_with("| ")) continue;
    const auto cells = cells_of(line);
    if (cells.front() == "#") head = cells;
    if (head.empty() || cells.front().find_first_not_of("0123456789") != std::string::npos)
      continue;
    std::map<std::string, std::string> row;
    for (std::size_t i = 0; i < head.size(); ++i) row[head[i]] = cells.at(i);
    rows.push_back(std::move(row));
  }
  return rows;
}

constexpr std::array all_causes{OtherCause::unbalance,
                                OtherCause::misalignment_or_bent_shaft,
                                OtherCause::looseness,
                                OtherCause::rubbing,
                                OtherCause::twice_line_frequency,
                                OtherCause::rotor_bars,
                                OtherCause::electrical_erosion,
                                OtherCause::poor_lubrication};

OtherCause cause_named(const std::string& word) {
  for (const OtherCause c : all_causes)
    if (token(c) == word) return c;
  throw std::invalid_argument{word};
}

PointEvidence healthy() {
  PointEvidence e;
  e.verdict = Verdict::no_fault;
  e.place = Place::none;
  e.probability_of_damage = 0.1;
  e.stage = {Stage::none, ""};
  e.vibration.why_not = "the unit is not known";
  return e;
}

PointEvidence damaged(double probability, Stage stage) {
  PointEvidence e = healthy();
  e.verdict = Verdict::fault;
  e.place = Place::inner_ring;
  e.probability_of_damage = probability;
  e.probability_of_place = 0.9 * probability;
  e.stage = {stage, ""};
  return e;
}

void put_zone(PointEvidence& e, Zone zone) {
  constexpr std::array velocity{0.5, 1.2, 3.0, 7.0};  // in the zones of class I
  e.vibration.velocity = mm_per_s_rms(velocity.at(static_cast<std::size_t>(zone)));
  e.vibration.limits = *class_limits(1);
  e.vibration.zone = zone;
  e.vibration.why_not.clear();
}

PointEvidence evidence_of(const std::map<std::string, std::string>& row) {
  PointEvidence e = healthy();
  const std::string& bearing = row.at("bearing");
  if (bearing.starts_with("damaged")) {
    const std::string& stage = row.at("stage");
    e = damaged(row.at("probability").starts_with("below") ? 0.79 : 0.80,
                stage == "advanced"    ? Stage::advanced
                : stage == "developed" ? Stage::developed
                                       : Stage::early);
  }
  if (bearing.ends_with("another bearing")) {
    e.place = Place::another_bearing;
    e.stage = {Stage::unknown, ""};
  }
  if (bearing == "cannot tell") {
    e.verdict = Verdict::indeterminate;
    e.place = Place::cannot_tell;
  }
  if (bearing == "healthy, contradicted")
    e.findings.push_back(
        {FindingKind::speed_disagrees, Weight::caution, "", "1480 or 1450 rpm", "", ""});
  if (bearing.ends_with("implausible speed"))
    e.findings.push_back({FindingKind::speed_implausible, Weight::caution, "",
                          "no motor runs at 4449 rpm", "", "give the speed"});
  if (bearing == "unusable recording")
    e.findings.push_back({FindingKind::clipped, Weight::blocking, "", "a third is clipped", "",
                          "set a wider range"});
  if (const std::string& zone = row.at("zone"); !zone.empty())
    put_zone(e, static_cast<Zone>(zone.front() - 'A'));
  if (row.at("level").starts_with("no limits"))
    e.vibration.velocity = mm_per_s_rms(row.at("level").ends_with("above 2.8 mm/s") ? 2.81 : 2.79);
  if (const std::string& cause = row.at("other fault"); !cause.empty())
    e.causes.push_back({cause_named(cause), 0.9, "numbers"});
  const std::string& change = row.at("change");
  if (change == "alert") e.change = LevelChangeSeen::alert;
  if (change == "alarm") e.change = LevelChangeSeen::alarm;
  e.damage_disappeared = change == "damage disappeared";
  const std::string& noticed = row.at("noticed");
  for (const ObservedState s :
       {ObservedState::suspicion, ObservedState::warning, ObservedState::danger})
    if (token(s) == noticed) e.observed = {s, "smoke", "Regrease it."};
  return e;
}

}  // namespace

TEST_CASE("assessment: a band too low for a bearing still holds the lines of the shaft") {
  PointEvidence e = healthy();
  e.verdict = Verdict::indeterminate;
  e.place = Place::cannot_tell;
  e.causes.push_back({OtherCause::unbalance, 0.9, "1x"});
  e.findings.push_back({FindingKind::low_bandwidth, Weight::blocking, "", "the band ends at 50 Hz",
                        "", "record at 20 kHz or more"});
  const auto low = assess(e);
  REQUIRE(low.others.size() == 1);
  CHECK(low.others.front().cause == OtherCause::unbalance);
  CHECK(low.urgency != Urgency::none);
  // Clipped besides, nothing in it can be used.
  e.findings.push_back({FindingKind::clipped, Weight::blocking, "", "a third is clipped", "", ""});
  CHECK(assess(e).others.empty());
}

TEST_CASE("assessment: every row of the table of urgencies holds [docs/urgency.md]") {
  const auto rows = table();
  REQUIRE(rows.size() == 31);
  for (const auto& row : rows) {
    CAPTURE(row.at("#"));
    const Assessment a = assess(evidence_of(row));
    CHECK(token(a.urgency) == row.at("urgency"));
    CHECK(a.deadline == row.at("by when"));
    CHECK(a.actions.empty() == (a.urgency == Urgency::none));
    if (const std::string& level = row.at("level"); !level.empty()) {
      REQUIRE(a.others.size() == 1);
      CHECK(level.starts_with(token(a.others.front().level)));
    }
  }
}

TEST_CASE(
    "assessment: from 0.50 on another fault is named, from 0.70 on it asks for a check "
    "[docs/urgency.md]") {
  PointEvidence e = healthy();
  const auto at = [&](double probability) {
    e.causes = {{OtherCause::rotor_bars, probability, ""}};
    return assess(e);
  };
  CHECK(at(0.49).others.empty());
  CHECK(at(0.50).others.size() == 1);
  CHECK(at(0.69).urgency == Urgency::none);
  CHECK(at(0.70).urgency == Urgency::check);
  // The words of the same scale.
  CHECK(likelihood_words(0.69) == "possible");
  CHECK(likelihood_words(0.70) == "likely");
  CHECK(likelihood_words(0.89) == "likely");
  CHECK(likelihood_words(0.90) == "very likely");
}

TEST_CASE("assessment: the worst row decides, and everything that applies is named") {
  PointEvidence e = damaged(0.95, Stage::early);
  put_zone(e, Zone::d);
  e.causes = {{OtherCause::unbalance, 0.94, "1x carries 99 %"}};
  const Assessment a = assess(e);
  CHECK(a.urgency == Urgency::act);
  CHECK(a.headline ==
        "Inner ring of the bearing damaged (86 %), early stage; unbalance very likely (94 %), "
        "vibration in zone D (7.0 mm/s rms).");
  REQUIRE(a.actions.size() == 2);
  CHECK(has(a.actions[0], "Stop the machine or find the cause"));
  CHECK(has(a.actions[0], std::string{remedy(OtherCause::unbalance)}));
  CHECK(has(a.actions[1], "Order the bearing"));
  CHECK(a.safety.size() == 2);
  e.causes.push_back({OtherCause::rotor_bars, 0.8, ""});
  e.causes.push_back({OtherCause::electrical_erosion, 0.8, ""});
  CHECK(assess(e).actions.size() == 3);
}

TEST_CASE("assessment: a pattern without a level is a pattern, never a repair") {
  PointEvidence e = healthy();
  e.causes = {{OtherCause::unbalance, 0.94, ""}};
  const Assessment a = assess(e);
  CHECK(a.headline == "No bearing fault found; pattern of unbalance (94 %), level not known.");
  CHECK(a.actions.empty());
  // A level that nobody can believe is no level.
  put_zone(e, Zone::d);
  e.findings.push_back({FindingKind::implausible_level, Weight::blocking, "", "3 m/s rms", "", ""});
  CHECK(assess(e).urgency == Urgency::measure_again);
  CHECK(assess(e).others.empty());
  e.findings.front().weight = Weight::caution;
  e.findings.front().kind = FindingKind::unit_disagrees;
  CHECK(assess(e).others.front().level == LevelJudged::unknown);
}

TEST_CASE(
    "assessment: without the machine's size only what holds for every class counts "
    "[src:iso10816-1 table B.1, secondary: I 1.8, 4.5; IV 7.1, 18 mm/s]") {
  PointEvidence e = healthy();
  const auto at = [&](double mm_s) {
    e.vibration.velocity = mm_per_s_rms(mm_s);
    return assess(e);
  };
  CHECK(at(1.7).urgency == Urgency::none);
  CHECK(at(5).urgency == Urgency::none);
  CHECK_FALSE(at(5).zone);
  // Both sides of each of them.
  CHECK(at(1.79).zone == Zone::b);
  CHECK_FALSE(at(1.81).zone);
  CHECK_FALSE(at(7.09).zone);
  CHECK(at(7.11).zone == Zone::c);
  CHECK(at(17.9).zone == Zone::c);
  CHECK(at(18.1).zone == Zone::d);
  CHECK(at(8).urgency == Urgency::plan);
  CHECK(has(at(8).headline, "zone C or worse for every machine class (8.0 mm/s rms)"));
  CHECK(at(19).urgency == Urgency::act);
  e.causes = {{OtherCause::unbalance, 0.9, ""}};
  CHECK(at(1.7).urgency == Urgency::none);
  CHECK(at(5).urgency == Urgency::check);
}

TEST_CASE("assessment: doubt about bearing, speed or unit is in the headline") {
  PointEvidence e = damaged(0.9, Stage::early);
  e.findings.push_back({FindingKind::speed_disagrees, Weight::caution, "",
                        "the speed given is 1480 rpm, the recording shows 1450 rpm", "", ""});
  CHECK(
      has(assess(e).headline, "Doubt: the speed given is 1480 rpm, the recording shows 1450 rpm."));
  CHECK(assess(e).doubts.size() == 1);
  e.findings.front().weight = Weight::note;
  CHECK_FALSE(has(assess(e).headline, "Doubt"));
}

TEST_CASE("assessment: a speed that no motor has is a doubt, and changes no damage found") {
  PointEvidence e = damaged(0.95, Stage::developed);
  const Assessment before = assess(e);
  e.findings.push_back({FindingKind::speed_implausible, Weight::caution, "",
                        "no motor on 50 or 60 Hz mains runs at 4449 rpm", "", ""});
  const Assessment a = assess(e);
  CHECK(a.bearing == before.bearing);
  CHECK(a.urgency == before.urgency);
  CHECK(a.deadline == before.deadline);
  CHECK(a.headline == before.headline + " Doubt: " + e.findings.front().what + ".");
  REQUIRE(a.actions.size() == 2);
  CHECK(has(a.actions[1], "give it (--rpm or a machine file)"));
  // It comes before other doubts in the headline.
  e.findings.insert(e.findings.begin(),
                    {FindingKind::ambiguous, Weight::caution, "", "two bearings fit", "", ""});
  CHECK(has(assess(e).headline, "Doubt: no motor"));
}

TEST_CASE("assessment: why there is no level names what is missing and the option that gives it") {
  Diagnosis d = test::made_diagnosis();
  d.machine.reset();
  CHECK(point_evidence(d).vibration.why_not ==
        "the machine is not known, give its file with --machine");
  for (SignalFigures& f : d.figures) {
    f.velocity_rms.reset();
    f.unit = SampleUnit::uncalibrated;
  }
  CHECK(has(point_evidence(d).vibration.why_not, "--unit"));
  // Of audio it is the value of full scale, which a unit alone does not give.
  d.findings.push_back({FindingKind::uncalibrated, Weight::note, "radial",
                        "the value of full scale is not known", "", "give --full-scale"});
  CHECK(point_evidence(d).vibration.why_not == "the value of full scale is not known");
}

TEST_CASE("assessment: sets of components and open ones have their words") {
  PointEvidence e = damaged(0.9, Stage::early);
  e.place = Place::unclear;
  e.probability_of_place = 0.8;
  CHECK(has(assess(e).headline, "Bearing damaged (90 %), component not identified"));
  e.place_set = {Part::rolling_element, Part::cage};
  CHECK(has(assess(e).headline, "Rolling element or cage of the bearing damaged (80 %)"));
  CHECK(component_words(Place::several, {}) == "both rings");
  CHECK(component_words(Place::none, {}).empty());
}

TEST_CASE("assessment: what the other end's bearing explains is measured there") {
  PointEvidence e = healthy();
  OtherEnd o;
  o.bearing = "6206";
  o.verdict = Verdict::fault;
  o.probability_of_damage = 0.9;
  e.other_end = o;
  const Assessment a = assess(e);
  CHECK(a.urgency == Urgency::measure_again);
  CHECK(has(a.actions.front(), "6206"));
}

TEST_CASE("assessment: a machine is as urgent as its worst point") {
  PointEvidence zone_c = healthy();
  put_zone(zone_c, Zone::c);
  const Assessment fine = assess(healthy());
  const Assessment early = assess(damaged(0.9, Stage::early));
  const Assessment loud = assess(zone_c);
  const std::array<const Assessment*, 3> points{&fine, &early, &loud};
  const MachineAssessment m = assess_machine(points);
  CHECK(m.urgency == Urgency::plan);
  CHECK(m.decided_by == 2);  // as urgent as the second, and in the worse zone
  CHECK(m.zone == Zone::c);
  CHECK_THROWS_AS(static_cast<void>(assess_machine({})), std::invalid_argument);
}

TEST_CASE(
    "assessment: what remains possible where nothing is found follows the prior [src:Bayes' "
    "rule]") {
  PointEvidence e = healthy();
  e.probability_of_damage = 0.18;
  // Odds 0.18/0.82 x 0.1/0.9 / (82/32) = 0.00952.
  CHECK(test::close_rel(assess(e).remaining_damage.value(), 0.00952 / 1.00952, 1e-3));
  e.excluded_depth = 0.31;
  CHECK(test::close_abs(assess(e).excluded_depth.value(), 0.31, 1e-12));
  // Odds 0.18/0.82 x 1 / (82/32) = 0.0857.
  CHECK(test::close_rel(assess(e).remaining_if_suspected.value(), 0.0857 / 1.0857, 1e-3));
  CHECK(healthy_words(assess(e)) == "> 99 % on a routine survey, 92 % if you suspect it");
  e.prior = 0.2;
  CHECK(has(healthy_words(assess(e)), "if 20 % of such bearings are damaged"));
  e.prior = 82.0 / 114;
  CHECK(test::close_rel(assess(e).remaining_damage.value(), 0.18, 1e-9));
  CHECK_FALSE(assess(damaged(0.9, Stage::early)).remaining_damage);
}
