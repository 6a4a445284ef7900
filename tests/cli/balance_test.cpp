#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"

using nlohmann::json;
using test::Folder;
using test::has;
using test::run;

namespace {

/// Recordings of a simulated rotor: acceleration at 1x by unbalance, 0.05 m/s2 per gram.
void record(const Folder& f, const std::string& file, double amplitude, double lag_deg) {
  f.write("plan.json", json{{"rate_hz", 8192},
                            {"duration_s", 8},
                            {"speed_rpm", 1480},
                            {"noise_rms_m_s2", 0.3},
                            {"shaft_harmonics_m_s2", {amplitude}},
                            {"shaft_phases_deg", {-lag_deg}},
                            {"tacho_pulses", 1}}
                           .dump());
  const auto made = run({"simulate", "--plan", f.file("plan.json"), "--out", f.file(file)});
  REQUIRE_MESSAGE(made.code == 0, made.err);
}

}  // namespace

TEST_CASE(
    "balance: a worked example from the command line [src:workshop references rows 5.10-5.14, "
    "derived]") {
  const auto r = run({"balance", "solve", "--run", "6.0@40", "--run", "4.5@110:20@0"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "19.5 g at 43.5"));
  CHECK(has(r.out, "lock out"));
  const json j = json::parse(
      run({"balance", "solve", "--run", "6.0@40", "--run", "4.5@110:20@0", "--json"}).out);
  CHECK(std::abs(j["planes"][0]["added_to_last_run"]["mass_g"].get<double>() - 14.6) < 0.1);
}

TEST_CASE("balance: runs that cannot tell end with 3") {
  const auto r = run({"balance", "solve", "--run", "6.0@40", "--run", "6.1@45:20@0"});
  CHECK(r.code == 3);
  CHECK(has(r.out, "CANNOT TELL"));
  CHECK(run({"balance", "four-run", "--found", "6", "--trial", "15", "--run", "4@0", "--run",
             "4.2@120", "--run", "4.1@240"})
            .code == 3);
}

TEST_CASE("balance: four runs without phase [src:workshop references rows 5.18-5.22, derived]") {
  const json j =
      json::parse(run({"balance", "four-run", "--found", "6.00", "--trial", "15", "--run", "3.34@0",
                       "--run", "7.16@120", "--run", "8.52@240", "--json"})
                      .out);
  CHECK(std::abs(j["weight"]["mass_g"].get<double>() - 30.0) < 0.1);
  CHECK(std::abs(j["weight"]["angle_deg"].get<double>() - 20.0) < 0.1);
}

TEST_CASE("balance: --repeatability sets the range of both methods, and is said") {
  const auto four = [](const std::string& percent) {
    return json::parse(
        run({"balance", "four-run", "--found", "6.00", "--trial", "15", "--run", "3.34@0", "--run",
             "7.16@120", "--run", "8.52@240", "--repeatability", percent, "--json"})
            .out);
  };
  CHECK(four("4")["repeatability_percent"] == 4.0);
  // Linear propagation: half of it, half the range, but for what the step of differences bends.
  const double ratio =
      four("2")["mass_uncertainty_g"].get<double>() / four("1")["mass_uncertainty_g"].get<double>();
  CHECK(std::abs(ratio - 2) < 0.01);
  const auto solve =
      run({"balance", "solve", "--run", "6.0@40", "--run", "4.5@110:20@0", "--repeatability", "2"});
  CHECK(solve.code == 0);
  CHECK(has(solve.out, "repeats within 2 %"));
  for (const char* wrong : {"0", "51", "x"}) {
    const auto r = run({"balance", "four-run", "--found", "6", "--trial", "15", "--run", "3.34@0",
                        "--run", "7.16@120", "--run", "8.52@240", "--repeatability", wrong});
    CHECK(r.code == 2);
    CHECK(has(r.err, "--repeatability"));
  }
}

TEST_CASE("balance: plan by numbers and by a machine file") {
  const auto r = run({"balance", "plan", "--mass", "120", "--rpm", "1480", "--grade", "2.5",
                      "--radius", "140", "--planes", "2"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "1936 g"));
  CHECK(has(r.out, "soft foot") != has(r.out, "Soft foot"));
  const Folder f;
  f.write("m.toml",
          "[[machine]]\nname = \"fan\"\npower_kw = 30\nrated_rpm = 1480\ndriven = \"fan\"\n"
          "fan_category = \"BV-4\"\n");
  const json j = json::parse(
      run({"balance", "plan", "--mass", "120", "--machine", f.file("m.toml") + "#fan", "--json"})
          .out);
  CHECK(j["grade"] == 2.5);
  CHECK(j["rpm"] == 1480);
  CHECK(has(j["grade_source"].get<std::string>(), "memory"));
}

TEST_CASE("balance: a job of recordings, with report and picture") {
  const Folder f;
  // Unbalance 50 g at 200 degrees, lag of the machine 120; trial 30 g at 90 degrees.
  record(f, "found.csv", 2.5, 320);
  const double x = 50 * std::cos(200 * 3.14159265358979 / 180);
  const double y = 50 * std::sin(200 * 3.14159265358979 / 180) + 30;
  record(f, "trial.csv", 0.05 * std::hypot(x, y), 120 + std::atan2(y, x) * 180 / 3.14159265358979);
  f.write("job.toml",
          "recordings = { tacho = \"tacho\" }\n"
          "plane = [{ name = \"impeller\", positions = 12 }]\n"
          "[[run]]\nname = \"as found\"\nrecording = \"found.csv\"\n"
          "[[run]]\nname = \"trial\"\nweight = \"30@90\"\nrecording = \"trial.csv\"\n");
  const auto r = run({"balance", "solve", f.file("job.toml"), "--json", "--report",
                      f.file("page.html"), "--picture", f.file("page.svg")});
  REQUIRE_MESSAGE(r.code == 0, r.err);
  const json j = json::parse(r.out);
  CHECK(std::abs(j["planes"][0]["weight"]["mass_g"].get<double>() - 50) < 0.5);
  CHECK(std::abs(j["planes"][0]["weight"]["angle_deg"].get<double>() - 20) < 0.5);
  CHECK(j["unit"] == "mm/s rms");
  CHECK(has(f.read("page.html"), "Where the weight goes: impeller"));
  CHECK(has(f.read("page.svg"), "mark</text>"));
}

TEST_CASE("balance: a weight is split onto blades") {
  const auto r = run({"balance", "split", "10@30", "--positions", "4"});
  CHECK(r.code == 0);
  CHECK(has(r.out, "8.66 g at position 1"));
  CHECK(has(r.out, "5.00 g at position 2"));
}

TEST_CASE("balance: wrong input ends with 2 and one line") {
  const Folder f;
  f.write("job.toml", "[[run]]\nvibration = \"6\"\n");
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"balance", "solve"},
        {"balance", "solve", "--run", "6.0"},
        {"balance", "solve", "--run", "6.0@40"},
        {"balance", "solve", f.file("job.toml")},
        {"balance", "solve", f.file("none.toml")},
        {"balance", "solve", f.file("job.toml"), "--run", "6@40"},
        {"balance", "plan", "--mass", "120"},
        {"balance", "split", "10", "--positions", "4"},
        {"balance", "four-run", "--found", "6", "--trial", "15", "--run", "4@0"}}) {
    const auto r = run(words);
    INFO(words.back());
    CHECK(r.code == 2);
    CHECK(r.out.empty());
    CHECK(r.err.rfind("bearingdsp: ", 0) == 0);
    CHECK(std::count(r.err.begin(), r.err.end(), '\n') == 1);
  }
}
