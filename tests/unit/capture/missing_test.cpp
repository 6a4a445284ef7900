#include "bearingdsp/capture/missing.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <vector>

using namespace bearingdsp;

namespace {

constexpr double gone = std::numeric_limits<double>::quiet_NaN();

Capture ramp(std::size_t n) {
  Capture capture;
  capture.source = "memory";
  capture.rate = Hz{100};
  capture.channels.resize(1);
  capture.channels[0].name = "x";
  for (std::size_t i = 0; i < n; ++i) capture.channels[0].samples.push_back(static_cast<double>(i));
  return capture;
}

}  // namespace

TEST_CASE("missing samples: a straight line between the neighbours [src:closed-form]") {
  Capture capture = ramp(1000);
  const std::vector<double> whole = capture.channels[0].samples;
  capture.channels[0].samples[10] = gone;
  capture.channels[0].samples[11] = std::numeric_limits<double>::infinity();
  REQUIRE(fill_missing(capture));
  // A ramp is its own straight line.
  CHECK(capture.channels[0].samples == whole);
  REQUIRE(capture.findings.size() == 1);
  CHECK(capture.findings[0].kind == FindingKind::repaired);
  CHECK(capture.findings[0].weight == Weight::note);
  CHECK(capture.findings[0].what.find("2 of 1000") != std::string::npos);
}

TEST_CASE("missing samples: nothing is said where none is missing") {
  Capture capture = ramp(100);
  REQUIRE(fill_missing(capture));
  CHECK(capture.findings.empty());
}

TEST_CASE("missing samples: up to 1 % of a channel, and a long run is a caution") {
  Capture capture = ramp(1000);
  for (std::size_t i = 500; i < 510; ++i) capture.channels[0].samples[i] = gone;
  REQUIRE(fill_missing(capture));
  CHECK(capture.findings.at(0).weight == Weight::caution);

  Capture too_many = ramp(1000);
  for (std::size_t i = 500; i < 511; ++i) too_many.channels[0].samples[i] = gone;
  const auto refused = fill_missing(too_many);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == Errc::corrupt_file);
  CHECK(refused.error().what.find("sample 501") != std::string::npos);
  CHECK(std::isnan(too_many.channels[0].samples[500]));
}
