#include "bearingdsp/history/features.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "bearingdsp/history/route_run.hpp"
#include "bearingdsp/machine/route.hpp"
#include "paths.hpp"
#include "support/close.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {
const std::string testdata = std::string{TESTS_SOURCE_DIR} + "/../testdata/";
}

TEST_CASE("features: of a recording alone they are those that a route run keeps [src:two roads]") {
  const auto route = read_route(testdata + "route.toml").value();
  const test::Scratch scratch;
  auto history = History::open(scratch.path("h.db"), Access::read_write).value();
  REQUIRE(run_route(route, testdata, history));
  const auto stored = history.point({"planer-feed", "DE horizontal"}).value().readings.back();

  const RoutePoint* stop = nullptr;
  for (const RoutePoint& p : route.points)
    if (route.machine_of(p).name == "planer-feed" && route.point_of(p).name == "DE horizontal")
      stop = &p;
  REQUIRE(stop != nullptr);
  const auto setup = point_setup(route.machine_of(*stop), route.point_of(*stop)).value();
  FftPlans plans;
  const auto alone = recording_features(stored.path, setup,
                                        KnownPoint{route.machine_of(*stop), route.point_of(*stop),
                                                   setup.other_end},
                                        plans, stored.taken)
                         .value();
  CHECK(alone.hash == stored.hash);
  CHECK(alone.taken == stored.taken);
  CHECK(alone.verdict == stored.verdict);
  CHECK(stored.settings.starts_with(alone.settings));  // then the load
  CHECK(test::close_rel(alone.probability_of_damage, stored.probability_of_damage, 1e-9));
  for (std::size_t i = 0; i < alone.levels.value.size(); ++i)
    if (alone.levels.value.at(i))
      CHECK(test::close_rel(*alone.levels.value.at(i), stored.levels.value.at(i).value(), 1e-6));
  for (std::size_t i = 0; i < alone.parts.size(); ++i)
    CHECK(test::close_abs(alone.parts.at(i).strength, stored.parts.at(i).strength, 1e-9));
  REQUIRE(alone.bearing.variants.size() == 1);
  // 9 elements: BPFO + BPFI = 9, whichever variant fits [src:closed-form].
  const DefectOrders& o = alone.bearing.variants.front().orders;
  CHECK(test::close_rel(o.bpfo.value() + o.bpfi.value(), 9.0, 1e-3));
}

TEST_CASE("features: a file that is not there is an error [src:contract]") {
  FftPlans plans;
  CHECK(recording_features("/nowhere.wav", {}, std::nullopt, plans).error().code == Errc::io);
}
