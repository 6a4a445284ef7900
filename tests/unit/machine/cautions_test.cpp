#include "bearingdsp/machine/cautions.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>

using namespace bearingdsp;

namespace {

bool says(const std::vector<Caution>& cautions, const std::string& words) {
  return std::any_of(cautions.begin(), cautions.end(),
                     [&](const Caution& c) { return c.text.find(words) != std::string::npos; });
}

Dangers all_dangers() { return {true, true, true, true, true, true}; }

}  // namespace

TEST_CASE("every kind of step has a caution, with its source and a brief form not longer than it") {
  std::set<std::string_view> names;
  for (int k = 0; k < step_kind_count; ++k) {
    const auto kind = static_cast<StepKind>(k);
    CAPTURE(token(kind));
    names.insert(token(kind));
    CHECK_FALSE(cautions_for(kind, {}).empty());
    for (const Caution& c : cautions_for(kind, all_dangers())) {
      CHECK_FALSE(c.source.empty());
      CHECK_FALSE(c.brief.empty());
      CHECK(c.brief.size() <= c.text.size());
    }
  }
  CHECK(names.size() == step_kind_count);
}

TEST_CASE("what the motor has adds its dangers where they are met [common practice]") {
  Dangers magnet;
  magnet.magnet_rotor = true;
  CHECK(says(cautions_for(StepKind::isolate, magnet), "makes voltage"));
  CHECK(says(cautions_for(StepKind::lift_rotor, magnet), "pacemaker"));
  CHECK(says(cautions_for(StepKind::lift_rotor, magnet), "pulls itself aside"));
  CHECK_FALSE(says(cautions_for(StepKind::lift_rotor, {}), "agnet"));
  Dangers area;
  area.explosion_protected = true;
  CHECK(says(cautions_for(StepKind::open_motor, area), "IEC 60079-19"));
  CHECK(says(cautions_for(StepKind::open_motor, area), "flame paths"));
  CHECK(says(cautions_for(StepKind::running_machine, area), "ignition sources"));
  Dangers drive;
  drive.variable_speed = true;
  CHECK(says(cautions_for(StepKind::prove_dead, drive), "drive stays charged"));
  CHECK_FALSE(says(cautions_for(StepKind::prove_dead, {}), "drive stays charged"));
}

TEST_CASE(
    "figures of cautions [src:workshop practice 12, 14, 15, 20: 1.2 cal/cm2, a third at 45 "
    "degrees, 0.5 mT, 1000 bar, confirmed]") {
  CHECK(says(cautions_for(StepKind::prove_dead, {}), "1.2 cal/cm²"));
  CHECK(says(cautions_for(StepKind::lift_motor, {}), "45°"));
  CHECK(says(cautions_for(StepKind::lift_rotor, all_dangers()), "0.5 mT"));
  CHECK(says(cautions_for(StepKind::grease_gun, {}), "1000 bar"));
  CHECK(says(cautions_for(StepKind::running_machine, {}), "80 dB(A)"));
}

TEST_CASE("a step of several kinds has each caution once") {
  const auto once = cautions_for({StepKind::pull, StepKind::pull, StepKind::hot_surface}, {});
  CHECK(once.size() ==
        cautions_for(StepKind::pull, {}).size() + cautions_for(StepKind::hot_surface, {}).size());
  CHECK(cautions_for(std::vector<StepKind>{}, all_dangers()).empty());
}

TEST_CASE("one sentence before work on one machine and on several") {
  CHECK(before_work() ==
        "Before work on the machine: stop it, isolate and lock it out, by your local rules.");
  CHECK(before_work(true).find("on a machine") != std::string::npos);
}

TEST_CASE("an instruction comes after its caution, in full or in brief") {
  CHECK(cautioned(StepKind::work, "Then look.") == before_work() + " Then look.");
  CHECK(cautioned(StepKind::work, "Then look.", true) == "Isolate and lock out first. Then look.");
  CHECK(cautioned(StepKind::work, "") == before_work());
}
