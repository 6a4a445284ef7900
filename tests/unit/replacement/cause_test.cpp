#include "bearingdsp/replacement/cause.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "bearingdsp/report/cause.hpp"
#include "bearingdsp/report/json.hpp"
#include "support/made_diagnosis.hpp"

using namespace bearingdsp;

namespace {

using Words = std::vector<std::string>;

std::string first(const Words& seen, const Words& facts = {}) {
  const auto q = find_causes(seen, facts).value();
  REQUIRE_FALSE(q.causes.empty());
  return q.causes.front().name;
}

}  // namespace

TEST_CASE(
    "all modes of ISO 15243 are known by name [src:iso15243 names as in manufacturers' posters]") {
  for (const char* mode :
       {"subsurface initiated fatigue", "surface initiated fatigue", "abrasive wear",
        "adhesive wear", "moisture corrosion", "fretting corrosion", "false brinelling",
        "excessive current erosion", "current leakage erosion", "overload deformation",
        "indentations from particles", "forced fracture", "fatigue fracture", "thermal cracking"}) {
    CAPTURE(mode);
    const auto q = find_causes(Words{mode}, {}).value();
    CHECK(q.seen.front().name == mode);
    CHECK_FALSE(q.causes.empty());
  }
  CHECK(damage_modes().size() == 14);
}

TEST_CASE("common words mean the standard's modes, whatever their case") {
  CHECK(find_causes(Words{"Fluting"}, {}).value().seen.front().name == "current leakage erosion");
  CHECK(find_causes(Words{"TRUE-BRINELLING"}, {}).value().seen.front().name ==
        "overload deformation");
  CHECK(find_causes(Words{"rust", "moisture corrosion"}, {}).value().seen.size() == 1);
}

TEST_CASE("what is typical of a cause ranks it first [src:iso15243 by the look of each mode]") {
  CHECK(first({"fluting"}, {"variable-frequency drive"}) == "current through the bearing");
  CHECK(first({"rust"}, {"wet surroundings"}) == "water gets in");
  CHECK(first({"red powder"}) == "loose fit on the shaft or in the housing");
  CHECK(first({"false brinelling"}, {"stands idle"}) == "vibration at standstill");
  CHECK(first({"true brinelling"}, {"failed soon after fitting"}) ==
        "impact or force through the balls during mounting");
  CHECK(first({"dents", "abrasive wear"}) == "dirt gets in");
  CHECK(first({"micropitting", "smearing"}) == "too little or wrong grease");
  CHECK(first({"spalling"}, {"ran for years"}) == "end of its life");
  CHECK(first({"spalling"}, {"belt drive"}) == "too much load from a belt");
}

TEST_CASE("facts against a cause count") {
  const auto points = [](const Words& facts) {
    return find_causes(Words{"fluting"}, facts).value().causes.front().points;
  };
  CHECK(points({}) == 3);
  CHECK(points({"variable-frequency drive"}) == 5);
  CHECK(points({"insulated bearing"}) == 1);
}

TEST_CASE("points are the sum of the reasons, ranked, and each has reason, source and change") {
  Words seen;
  for (const auto& m : damage_modes()) seen.push_back(m.name);
  const auto q = find_causes(seen, cause_facts()).value();
  CHECK(q.causes.size() >= 10);
  int last = 1000;
  for (const auto& c : q.causes) {
    int sum = 0;
    for (const auto& r : c.reasons) {
      sum += r.points;
      CHECK_FALSE(r.why.empty());
      CHECK_FALSE(r.source.empty());
    }
    CHECK(sum == c.points);
    CHECK(c.points <= last);
    CHECK_FALSE(c.change.empty());
    last = c.points;
  }
}

TEST_CASE("words that are none are refused with the nearest") {
  CHECK(find_causes({}, {}).error().code == Errc::bad_argument);
  const auto e = find_causes(Words{"fluteing"}, {}).error();
  CHECK(e.code == Errc::not_found);
  CHECK(e.advice.find("fluting") != std::string::npos);
  CHECK(find_causes(Words{"rust"}, Words{"belt drve"}).error().advice.find("belt drive") !=
        std::string::npos);
}

TEST_CASE("a diagnosis gives its place and its likely other causes") {
  const auto signs =
      signs_of_diagnosis(diagnosis_json(test::made_diagnosis()), "made.json").value();
  CHECK(signs == Words{"outer ring", "unbalance"});
  // A document of version 1 says the same.
  std::string old = diagnosis_json(test::made_diagnosis());
  old.replace(old.find("diagnosis/2") + 10, 1, "1");
  CHECK(signs_of_diagnosis(old, "old.json").value() == signs);
  const auto q = find_causes(Words{"spalling"}, {}, signs).value();
  CHECK(q.causes.front().name == "too much load from a belt");
  CHECK(std::any_of(q.causes.begin(), q.causes.end(),
                    [](const RootCause& c) { return c.name == "unbalance" && c.points == 3; }));
  for (const char* bad : {"", "{", "[]", "{\"schema\":\"bearingdsp.diagnosis/2\"}",
                          "{\"schema\":\"bearingdsp.error/1\"}"})
    CHECK(signs_of_diagnosis(bad, "x").error().code == Errc::corrupt_file);
}
