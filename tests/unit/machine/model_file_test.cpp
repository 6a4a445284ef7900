#include "bearingdsp/machine/model_file.hpp"

#include <doctest/doctest.h>

#include <string>

#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/orders.hpp"

using namespace bearingdsp;

TEST_CASE("what a file of constants does not name keeps its shipped value") {
  const auto m = parse_model("# tried\nname,value\nslip.reach,0.03\n", "my.csv");
  REQUIRE(m);
  CHECK(m->slip.reach == 0.03);
  CHECK(m->judgement.even_strength == ModelParameters{}.judgement.even_strength);
}

TEST_CASE("a bad file of constants is one line that names it, the row and what to do") {
  const auto refused = [](const std::string& text, Errc code, const std::string& part) {
    const auto m = parse_model(text, "my.csv");
    REQUIRE_FALSE(m);
    CAPTURE(m.error().message());
    CHECK(m.error().code == code);
    CHECK(m.error().message().find("my.csv") == 0);
    CHECK(m.error().message().find(part) != std::string::npos);
  };
  refused("name\nslip.reach\n", Errc::corrupt_file, "value");
  refused("name,value\nslip.reah,0.03\n", Errc::not_found, "slip.reach");
  refused("name,value\nslip.reach,3\n", Errc::bad_argument, "my.csv:2");
  refused("name,value\nslip.reach,much\n", Errc::corrupt_file, "2");
  refused("name,value\nslip.reach,0.03\nslip.reach,0.04\n", Errc::corrupt_file, "twice");
  refused("name,value\nslip.reach,0.01\n", Errc::bad_argument, "slip.spread");
  CHECK(read_model("/no/such/model.csv").error().code == Errc::io);
}

TEST_CASE("a diagnosis is made with the constants given [src:the simulation's truth]") {
  SimulationPlan plan;
  plan.orders = test::nine_elements();
  plan.defects = {{.part = Part::outer_ring, .severity = 8}};
  const auto made = simulate(plan);
  REQUIRE(made);
  FftPlans plans;
  DiagnoseOptions options;
  options.bearings = {test::nine_elements()};
  options.speed = Rpm{1480};
  const auto shipped = diagnose(made->capture, plans, options);
  REQUIRE(shipped);
  CHECK(shipped->verdict == Verdict::fault);
  // Where only much stronger impacts are even, these are none.
  options.model.judgement.even_strength = 2;
  const auto other = diagnose(made->capture, plans, options);
  REQUIRE(other);
  CHECK(other->probability_of_damage < shipped->probability_of_damage);
  // Lines that may hardly weigh make no evidence.
  options.model = {};
  options.model.family.line_cap = 1;
  CHECK(diagnose(made->capture, plans, options)->probability_of_damage <
        shipped->probability_of_damage);
}
