// A validation gives a row for each recording, whatever the recordings do.
#include "bearingdsp/dataset/validate.hpp"

#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <stdexcept>
#include <string>
#include <vector>

#include "bearingdsp/capture/write.hpp"
#include "bearingdsp/simulate/save.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/memory_limit.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

namespace {

void make_recording(const std::string& path) {
  SimulationPlan plan;
  plan.rate = Hz{12800};
  plan.duration = Seconds{2};
  const auto made = simulate(plan);
  REQUIRE(made);
  REQUIRE(save(*made, path));
}

Manifest manifest_of(const test::Scratch& scratch, const std::vector<std::string>& files) {
  std::string rows = "dataset,file,signal,unit,rate_hz,rpm,bearing,fault\n";
  for (const std::string& file : files) rows += "made," + file + ",,m/s2,,1480,6205,none\n";
  static_cast<void>(scratch.file(
      "bearings.csv",
      "name,rolling_elements,element_diameter,pitch_diameter,contact_angle_deg,source\n"
      "6205,9,7.94,39.04,0,test\n"));
  auto manifest = read_manifest(scratch.file("manifest.csv", rows));
  if (!manifest) throw BadResult{manifest.error()};
  return std::move(manifest).value();
}

}  // namespace

TEST_CASE("validate: each recording's failure is a row, a pipe is not waited for") {
  const test::Scratch scratch;
  make_recording(scratch.path("good.wav"));
  REQUIRE(mkfifo(scratch.path("pipe.wav").c_str(), 0600) == 0);
  static_cast<void>(scratch.file("junk.wav", std::string("RIFF\x04\0\0\0WAVE", 12)));
  const auto outcomes = validate(
      manifest_of(scratch, {"pipe.wav", "good.wav", "junk.wav", "none.wav", "../../../dev/zero"}),
      {.jobs = 2});
  REQUIRE(outcomes.size() == 5);
  CHECK(outcomes[0].named == "failed");
  CHECK(outcomes[0].reason.find("is a pipe") != std::string::npos);
  CHECK(outcomes[1].named != "failed");
  for (const std::size_t i : {2U, 3U, 4U}) {
    CHECK(outcomes[i].named == "failed");
    CHECK_FALSE(outcomes[i].reason.empty());
  }
}

TEST_CASE("validate: each diagnosis is handed over, with the index of its record") {
  const test::Scratch scratch;
  make_recording(scratch.path("good.wav"));
  make_recording(scratch.path("same.wav"));
  std::vector<double> seen(3, -1);
  ValidateOptions options;
  options.jobs = 2;
  options.diagnosed = [&](std::size_t i, const Diagnosis& d) {
    seen.at(i) = d.probability_of_damage;
  };
  const auto outcomes =
      validate(manifest_of(scratch, {"good.wav", "none.wav", "same.wav"}), options);
  CHECK(seen[0] == outcomes[0].probability_damage);
  CHECK(seen[1] == -1);  // it cannot be read
  CHECK(seen[2] == outcomes[2].probability_damage);
}

TEST_CASE("validate: a detector of the caller's judges the samples, its failures are rows") {
  const test::Scratch scratch;
  make_recording(scratch.path("a.wav"));
  make_recording(scratch.path("b.wav"));
  make_recording(scratch.path("c.wav"));
  make_recording(scratch.path("d.wav"));
  ValidateOptions options;
  options.jobs = 3;
  options.blind_speed = true;
  options.detector = [](const LabelledRecord& r, const Capture& c) -> Result<DetectorAnswer> {
    if (r.file == "b.wav") return Error{Errc::too_short, r.file, "says the detector", ""};
    if (r.file == "c.wav") throw std::runtime_error{"boom"};
    if (r.file == "d.wav") return DetectorAnswer{"the gear", 0.5, 0, ""};
    return DetectorAnswer{"outer ring", r.speed ? 0.1 : 0.9, static_cast<double>(c.channels.size()),
                          "loud"};
  };
  const auto outcomes =
      validate(manifest_of(scratch, {"a.wav", "b.wav", "c.wav", "d.wav", "none.wav"}), options);
  CHECK(outcomes[0].named == "outer ring");
  CHECK(outcomes[0].probability_damage == 0.9);  // the speed was withheld
  CHECK(outcomes[0].probability_place == 1);
  CHECK(outcomes[0].reason == "loud");
  CHECK(grade(outcomes[0]) == Grade::false_alarm);
  for (std::size_t i = 1; i < 5; ++i) CHECK(outcomes[i].named == "failed");
  CHECK(outcomes[1].reason.find("says the detector") != std::string::npos);
  CHECK(outcomes[2].reason.find("boom") != std::string::npos);
  CHECK(outcomes[3].reason.find("the gear") != std::string::npos);
}

#if TEST_MEMORY_LIMIT
TEST_CASE("validate: a recording that does not fit into memory is a row, and the others go on") {
  const test::Scratch scratch;
  make_recording(scratch.path("good.wav"));
  Capture big;
  big.rate = Hz{25600};
  big.channels.push_back({"x", SampleUnit::acceleration, std::vector<double>(16000000, 0.5), {}});
  REQUIRE(write_wav(big, scratch.path("big.wav")));
  big = {};
  const Manifest manifest = manifest_of(scratch, {"big.wav", "good.wav"});
  const int code = test::in_child_with_memory(48U << 20U, [&] {
    const auto outcomes = validate(manifest, {.jobs = 1});
    return outcomes[0].reason == "is too large for the memory" && outcomes[1].named != "failed" ? 0
                                                                                                : 1;
  });
  CHECK(code == 0);
}
#endif
