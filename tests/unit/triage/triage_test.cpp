#include "bearingdsp/triage/triage.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "paths.hpp"
#include "support/close.hpp"
#include "support/made_diagnosis.hpp"
#include "triage/tables.hpp"

using namespace bearingdsp;

namespace {

using Answers = std::vector<std::pair<std::string, std::string>>;

TriageInquiry inquiry(const Answers& answers) {
  TriageInquiry i;
  for (const auto& [question, word] : answers)
    i.answers.push_back(triage_answer(question, word).value());
  return i;
}

Triage of(const Answers& answers, const Diagnosis* recording = nullptr) {
  return triage(inquiry(answers), recording).value();
}

const TriageFault& fault(const Triage& t, const std::string& name) {
  const auto at = std::find_if(t.faults.begin(), t.faults.end(),
                               [&](const TriageFault& f) { return f.name == name; });
  REQUIRE_MESSAGE(at != t.faults.end(), name);
  return *at;
}

double odds_between(const Triage& t, const std::string& a, const std::string& b) {
  return fault(t, a).probability / fault(t, b).probability;
}

/// A recording that says nothing: it cannot tell, and has no speed.
Diagnosis silent() {
  Diagnosis d;
  d.source = "silent.wav";
  return d;
}

constexpr const char* damage = "raceway or rolling element damage";

/// Every answer of the list.
std::vector<std::pair<std::string, std::string>> all_answers() {
  std::vector<std::pair<std::string, std::string>> all;
  for (const TriageQuestion& q : triage_questions())
    for (const TriageAnswer& a : q.answers) all.emplace_back(q.name, a.name);
  return all;
}

}  // namespace

TEST_CASE("triage: the rules name faults and answers that exist, each once, with a reason") {
  std::set<std::string> answers, faults, used;
  std::set<std::pair<std::string, std::string>> seen;
  for (const auto& [question, answer] : all_answers()) answers.insert(answer);
  for (const auto& f : triage_tables::faults()) faults.insert(f.name);
  for (const auto& r : triage_tables::rules()) {
    INFO(r.fault << ", " << r.answer);
    CHECK(faults.contains(r.fault));
    CHECK(answers.contains(r.answer));
    CHECK(seen.emplace(r.fault, r.answer).second);
    CHECK(std::abs(r.points) >= 1);
    CHECK(std::abs(r.points) <= 6);
    CHECK_FALSE(r.why.empty());
    used.insert(r.answer);
  }
  for (const auto& pair : all_answers()) {
    const std::string& question = pair.first;
    const std::string& answer = pair.second;
    INFO("an answer without a rule changes nothing: " << answer);
    CHECK((used.contains(answer) ||
           triage_answer(question, answer).value().state != ObservedState::nothing));
  }
  for (const auto& c : triage_tables::conflicts()) {
    CHECK(answers.contains(c.one));
    CHECK(answers.contains(c.other));
  }
  CHECK(triage_rule_count() > 200);
}

TEST_CASE("triage: every source of the data files is described in docs/sources.md") {
  std::ifstream in{TESTS_SOURCE_DIR "/../docs/sources.md"};
  const std::string page{std::istreambuf_iterator<char>{in}, {}};
  const auto check = [&](const std::string& source) {
    if (source == "practice" || source == "physics") return;
    CHECK_MESSAGE(page.find("| " + source + " |") != std::string::npos, source);
  };
  for (const auto& r : triage_tables::rules()) check(r.source);
  for (const auto& l : triage_limits()) check(l.source);
}

TEST_CASE("triage: without evidence the shares are the probabilities [src:Bayes' rule]") {
  const Diagnosis d = silent();
  const Triage t = of({}, &d);
  double sum = 0;
  for (const TriageFault& f : t.faults) {
    CHECK(test::close_rel(f.probability, f.share, 1e-12));
    sum += f.probability;
  }
  CHECK(test::close_rel(sum, 1.0, 1e-12));
  CHECK(triage({}).error().code == Errc::bad_argument);
}

TEST_CASE("triage: each point doubles the odds, whatever the order [src:Bayes' rule]") {
  const Triage one = of({{"power-off", "fades"}});
  // quiet for good: +5 for dry bearing, -3 for damage.
  const Triage two = of({{"power-off", "fades"}, {"grease shot", "quiet for good"}});
  CHECK(test::close_rel(
      odds_between(two, "dry bearing", damage) / odds_between(one, "dry bearing", damage), 256.0,
      1e-9));
  const Answers many{{"heard", "whine"},
                     {"heard", "rattle"},
                     {"known", "long without grease"},
                     {"with load", "louder"},
                     {"felt", "gritty"}};
  Answers turned(many.rbegin(), many.rend());
  const Triage a = of(many);
  const Triage b = of(turned);
  for (const TriageFault& f : a.faults)
    CHECK(test::close_rel(f.probability, fault(b, f.name).probability, 1e-12));
}

TEST_CASE("triage: any single answer keeps a distribution, and reasons add up to the points") {
  for (const auto& answer : all_answers()) {
    const Triage t = of({answer});
    double sum = 0;
    for (const TriageFault& f : t.faults) {
      sum += f.probability;
      double points = 0;
      for (const TriageReason& r : f.reasons) points += r.points;
      CHECK(test::close_abs(points, f.points, 1e-12));
      CHECK_FALSE(f.places.empty());
      CHECK_FALSE(f.remedy.empty());
      CHECK_FALSE(f.record.empty());
      CHECK_FALSE(f.cautions.empty());
    }
    CHECK(test::close_rel(sum, 1.0, 1e-12));
    CHECK(std::is_sorted(t.faults.begin(), t.faults.end(), [](const auto& x, const auto& y) {
      return x.probability > y.probability;
    }));
  }
}

TEST_CASE("triage: sounds that overlap do not add up") {
  // whine +2, chirp +2, rattle +2: the strongest in full, all others together one point.
  CHECK(fault(of({{"heard", "whine"}}), "dry bearing").points == 2);
  CHECK(fault(of({{"heard", "whine"}, {"heard", "chirp"}}), "dry bearing").points == 3);
  CHECK(fault(of({{"heard", "whine"}, {"heard", "chirp"}, {"heard", "rattle"}}), "dry bearing")
            .points == 3);
}

TEST_CASE(
    "triage: what the handbooks list is evidence for the fault that they list [workshop practice "
    "T1, "
    "T2, T3: two sound tables, a problem table, a Navy text]") {
  const std::vector<std::pair<std::pair<std::string, std::string>, std::string>> rows{
      {{"power-off", "stops at once"}, "supply or air gap"},
      {{"heard", "growl"}, damage},
      {{"heard", "crackle"}, "dirt in the bearing"},
      {{"felt", "gritty"}, "dirt in the bearing"},
      {{"heard", "rattle"}, "cage damage"},
      {{"heard", "rattle"}, "dry bearing"},
      {{"heard", "hiss"}, "dirt in the bearing"},
      {{"heard", "hiss"}, "rubbing"},
      {{"heard", "squeal"}, "ring turns on its seat"},
      {{"heard", "squeal"}, "too little load on a roller bearing"},
      {{"heard", "squeak"}, "dry bearing"},
      {{"heard", "popping"}, "normal noise"},
      {{"heard", "whine"}, "dry bearing"},
      {{"heard", "whine"}, "too little clearance or axial force"},
      {{"heard", "rumble"}, "standstill marks or dents"},
      {{"heard", "rumble"}, damage},
      {{"heard", "roar"}, "resonance of frame or base"},
      {{"known", "hot soon after start"}, "too little clearance or axial force"},
      {{"known", "sounds like its twin"}, "normal noise"}};
  for (const auto& row : rows) {
    const auto& answer = row.first;
    const std::string& name = row.second;
    INFO(answer.second << " -> " << name);
    const Triage t = of({answer});
    CHECK(fault(t, name).points > 0);
    CHECK(fault(t, name).probability > fault(t, name).share);
  }
}

TEST_CASE(
    "triage: the shot of grease [workshop practice T0, from memory]: quiet for good was dry, back "
    "is damage or dirt, louder is overfull, no change is not the bearing") {
  CHECK(of({{"grease shot", "quiet for good"}}).faults.front().name == "dry bearing");
  const Triage back = of({{"grease shot", "comes back"}});
  CHECK(back.faults[0].name == damage);
  CHECK(back.faults[1].name == "dirt in the bearing");
  CHECK(of({{"grease shot", "louder"}}).faults.front().name == "too much grease");
  const Triage none = of({{"grease shot", "no change"}});
  CHECK(fault(none, "unbalance").probability > fault(none, "unbalance").share);
  CHECK(fault(none, "dry bearing").probability < fault(none, "dry bearing").share);
  CHECK(fault(none, damage).probability < fault(none, damage).share);
}

TEST_CASE(
    "triage: electrical causes vanish at once at power-off, mechanical ones do not [workshop "
    "practice T1]") {
  const Triage t = of({{"heard", "hum"}, {"power-off", "stops at once"}});
  CHECK(t.faults.front().name == "supply or air gap");
  CHECK(t.faults.front().probability > 0.8);
  for (const char* mechanical : {damage, "dry bearing", "unbalance", "rubbing"})
    CHECK(fault(t, mechanical).probability < 0.01);
}

TEST_CASE("triage: a typical case ranks its fault first [common practice, no source]") {
  const std::vector<std::pair<std::string, Answers>> cases{
      {"current through the bearing",
       {{"heard", "whine"}, {"power-off", "fades"}, {"felt", "washboard"}, {"known", "vfd"}}},
      {"dry bearing",
       {{"heard", "whine"},
        {"power-off", "fades"},
        {"grease shot", "quiet for good"},
        {"known", "long without grease"}}},
      {"too much grease",
       {{"known", "greased recently"},
        {"grease shot", "louder"},
        {"temperature", "bearing too hot"}}},
      {"belt too tight",
       {{"known", "belt drive"},
        {"known", "belt changed or tensioned"},
        {"heard", "whine"},
        {"temperature", "one bearing much hotter"}}},
      {"soft foot",
       {{"felt", "strong vibration"},
        {"felt", "better with one foot loose"},
        {"known", "motor or coupling worked on"}}},
      {"unbalance",
       {{"felt", "strong vibration"}, {"seen", "dirt on the fan"}, {"power-off", "fades"}}},
      {"wrong bearing or fit after a replacement",
       {{"known", "bearing replaced recently"},
        {"known", "louder than its twin"},
        {"heard", "rumble"}}},
      {"standstill marks or dents",
       {{"known", "from the store or transport"},
        {"known", "bearing replaced recently"},
        {"felt", "notches at ball spacing"}}},
      {"broken rotor bar",
       {{"heard", "beating hum"},
        {"seen", "ammeter swings"},
        {"with load", "louder"},
        {"power-off", "stops at once"}}},
      {"loose foot or base",
       {{"felt", "one foot moves"}, {"felt", "strong vibration"}, {"heard", "rattle"}}},
      {"dirt in the bearing",
       {{"heard", "crackle"}, {"felt", "gritty"}, {"known", "dusty surroundings"}}},
      {"ring turns on its seat", {{"heard", "squeal"}, {"seen", "red-brown powder"}}},
      {"cage damage",
       {{"heard", "rattle"},
        {"known", "started suddenly"},
        {"seen", "dark grease"},
        {"known", "greased recently"}}},
      {"belt slips or is worn",
       {{"heard", "chirp"}, {"known", "belt drive"}, {"seen", "belt dust"}}},
      {"misalignment or bent shaft",
       {{"felt", "axial vibration"}, {"known", "coupled drive"}, {"seen", "coupling dust"}}},
      {"rubbing", {{"heard", "scraping"}, {"seen", "bright rub mark"}}},
      {"resonance of frame or base", {{"heard", "roar"}, {"power-off", "swells"}}},
      {"blocked cooling or overload",
       {{"seen", "air inlet blocked"}, {"temperature", "frame hotter than the bearings"}}},
      {"winding fault or missing phase",
       {{"smelt", "burnt varnish"}, {"current", "currents unequal"}, {"heard", "hum"}}},
      {"too little load on a roller bearing",
       {{"heard", "howl"}, {"known", "roller bearing"}, {"with load", "louder without"}}},
      {"too little clearance or axial force",
       {{"known", "hot soon after start"}, {"felt", "stiff"}, {"temperature", "bearing too hot"}}},
      {"normal noise", {{"known", "sounds like its twin"}, {"current", "currents equal"}}},
      {"supply or air gap", {{"heard", "hum"}, {"power-off", "stops at once"}}},
      {damage, {{"heard", "growl"}, {"power-off", "fades"}, {"grease shot", "comes back"}}}};
  for (const auto& row : cases) {
    const std::string& name = row.first;
    const Answers& answers = row.second;
    const Triage t = of(answers);
    INFO(name << " has " << fault(t, name).probability << ", first is " << t.faults.front().name
              << " with " << t.faults.front().probability);
    CHECK(t.faults.front().name == name);
  }
  // Every fault has a case above.
  std::set<std::string> tried;
  for (const auto& c : cases) tried.insert(c.first);
  CHECK(tried.size() == triage_tables::faults().size());
}

TEST_CASE("triage: contradictions are named, others are not") {
  const Triage t = of({{"grease shot", "quiet for good"}, {"known", "sealed bearing"}});
  REQUIRE(t.conflicts.size() == 1);
  CHECK(t.conflicts.front().one == "quiet for good");
  CHECK(t.conflicts.front().other == "sealed bearing");
  CHECK_FALSE(t.conflicts.front().why.empty());
  CHECK(of({{"heard", "growl"}, {"power-off", "fades"}}).conflicts.empty());
  CHECK(of({{"heard", "growl"}, {"power-off", "stops at once"}}).conflicts.size() == 1);
}

TEST_CASE("triage: urgency is that of the one table [docs/urgency.md]") {
  const Triage smoke = of({{"seen", "smoke"}});
  CHECK(smoke.assessment.urgency == Urgency::act);
  CHECK(smoke.assessment.actions.front() == "Stop the motor now: smoke.");
  CHECK(smoke.assessment.actions.size() == 1);  // nobody records there
  const Triage hot = of({{"smelt", "burnt grease"}, {"heard", "whine"}});
  CHECK(hot.assessment.urgency == Urgency::check);
  CHECK(hot.assessment.deadline == "today");
  const Triage growl = of({{"heard", "growl"}, {"power-off", "fades"}, {"grease shot", "back"}});
  CHECK(growl.assessment.urgency == Urgency::check);
  CHECK(growl.assessment.deadline == "within a week");
  // Not clear which, but not normal: a suspicion too.
  const Triage grumble = of({{"heard", "growl"}});
  CHECK(grumble.faults.front().probability < 0.5);
  CHECK(grumble.assessment.urgency == Urgency::check);
  // Not clear, or nothing wrong: only a recording can tell.
  const Triage twin = of({{"known", "sounds like its twin"}});
  CHECK(twin.faults.front().name == "normal noise");
  CHECK(twin.assessment.urgency == Urgency::measure_again);
  CHECK(of({{"known", "ran for years"}}).assessment.urgency == Urgency::measure_again);
  // A missing phase is dangerous by itself once it is likely.
  CHECK(of({{"current", "currents unequal"},
            {"heard", "hum"},
            {"power-off", "stops at once"},
            {"known", "started suddenly"}})
            .assessment.urgency >= Urgency::check);
}

TEST_CASE("triage: the recording multiplies in [src:Bayes' rule, 82 of 114 damaged]") {
  Diagnosis d = silent();
  d.verdict = Verdict::fault;
  d.place = Place::outer_ring;
  d.probability_of_damage = 0.97;
  const Answers heard{{"heard", "growl"}};
  const Triage before = of(heard);
  const Triage after = of(heard, &d);
  const double ratio = (0.97 / 0.03) / ((82.0 / 114) / (32.0 / 114));
  CHECK(test::close_rel(damage_likelihood_ratio(0.97), ratio, 1e-12));
  CHECK(test::close_rel(odds_between(after, damage, "belt too tight") /
                            odds_between(before, damage, "belt too tight"),
                        ratio, 1e-9));
  CHECK(after.recorded);
  CHECK(after.faults.front().name == damage);
  // The urgency is that of the diagnosis, and the prior is what was heard.
  CHECK(after.assessment.urgency >= Urgency::plan);
  CHECK(test::close_rel(after.assessment.prior, before.damage_by_answers, 1e-12));

  d.verdict = Verdict::no_fault;
  d.place = Place::none;
  d.probability_of_damage = 0.05;
  const Triage healthy = of(heard, &d);
  CHECK(fault(healthy, damage).probability < fault(before, damage).probability);
  CHECK(test::close_rel(healthy.assessment.prior, before.damage_by_answers, 1e-12));
}

TEST_CASE("triage: other faults of the spectrum count by their odds, not beyond the limit") {
  Diagnosis d = silent();
  d.speed.confidence = 0.9;
  d.other_causes = {{OtherCause::unbalance, 0.94, "1x"}};
  const Answers heard{{"felt", "strong vibration"}};
  const Triage before = of(heard);
  const Triage after = of(heard, &d);
  const double ratio = (0.94 / 0.06) / (0.25 / 0.75);
  CHECK(test::close_rel(odds_between(after, "unbalance", "belt too tight") /
                            odds_between(before, "unbalance", "belt too tight"),
                        ratio, 1e-9));
  // What the spectrum does not show becomes less likely.
  CHECK(fault(after, "rubbing").points < fault(before, "rubbing").points);
  d.other_causes.front().probability = 0.99;
  CHECK(fault(of(heard, &d), "unbalance").points - fault(before, "unbalance").points <= 6);
  // A recording that cannot be used says nothing.
  d.findings.push_back({FindingKind::clipped, Weight::blocking, "", "clipped", "", ""});
  CHECK(fault(of(heard, &d), "unbalance").points == fault(before, "unbalance").points);
}

TEST_CASE("triage: impacts at no frequency of the bearing given are evidence for a wrong bearing") {
  Diagnosis d = silent();
  d.verdict = Verdict::fault;
  d.place = Place::another_bearing;
  d.probability_of_damage = 0.9;
  const Triage t = of({{"known", "bearing replaced recently"}}, &d);
  CHECK(t.faults.front().name == "wrong bearing or fit after a replacement");
}

TEST_CASE("triage: the sensor goes to the hotter or the given end, to both where it is not known") {
  TriageInquiry i = inquiry({{"heard", "growl"}});
  const auto places = [&] { return fault(triage(i).value(), damage).places; };
  CHECK(places().front() == MotorPlace::de_horizontal);
  CHECK(places()[1] == MotorPlace::nde_horizontal);
  i.end = MachineEnd::non_drive_end;
  CHECK(places().front() == MotorPlace::nde_horizontal);
  CHECK(places()[1] == MotorPlace::nde_axial);
  std::set<std::string> words;
  for (std::size_t p = 0; p < motor_place_count; ++p) {
    words.emplace(token(static_cast<MotorPlace>(p)));
    CHECK_FALSE(place_words(static_cast<MotorPlace>(p)).empty());
  }
  CHECK(words.size() == motor_place_count);
}
