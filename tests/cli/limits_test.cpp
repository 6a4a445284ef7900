// Input without bounds is refused at once, in one line.
#include <doctest/doctest.h>
#include <sys/stat.h>

#include <algorithm>
#include <string>
#include <vector>

#include "cli/run.hpp"

using test::Folder;
using test::has;
using test::run;

namespace {

void refused(const std::vector<std::string>& arguments, const std::string& what) {
  std::string line;
  for (const auto& a : arguments) line += a + " ";
  CAPTURE(line);
  const auto ran = run(arguments);
  CAPTURE(ran.err);
  CHECK(ran.code == 2);
  // `inspect` lists what the file holds all the same.
  if (arguments.front() != "inspect") CHECK(ran.out.empty());
  CHECK(std::count(ran.err.begin(), ran.err.end(), '\n') == 1);
  CHECK(has(ran.err, what));
  CHECK_FALSE(has(ran.err, "internal"));
}

}  // namespace

TEST_CASE("limits: devices and pipes as plan, catalogue, machine, route, manifest, results") {
  const Folder folder;
  const std::string wav = folder.simulated("a.wav", {"--duration", "1"});
  const std::string pipe = folder.file("pipe");
  REQUIRE(mkfifo(pipe.c_str(), 0600) == 0);
  for (const auto& [path, what] :
       {std::pair<std::string, std::string>{"/dev/zero", "is a device"}, {pipe, "is a pipe"}}) {
    refused({"simulate", "--plan", path, "--out", folder.file("b.wav")}, what);
    refused({"frequencies", "--bearing", "6205", "--catalogue", path}, what);
    refused({"diagnose", wav, "--machine", path}, what);
    refused({"route", "run", folder.file(""), "--route", path, "--store", folder.file("h.db")},
            what);
    refused({"validate", path}, what);
    refused({"cause", "--diagnosis", path}, what);
  }
}

TEST_CASE("limits: a sample rate that no recorder has is refused, one too low cannot tell") {
  const Folder folder;
  std::string text = "x [m/s2]\n";
  for (int i = 0; i < 4096; ++i) text += std::to_string(i * i % 101 - 50) + "\n";
  folder.write("a.csv", text);
  const std::string csv = folder.file("a.csv");
  refused({"diagnose", csv, "--rate", "1e308", "--rpm", "1480"}, "not possible");
  refused({"diagnose", csv, "--rate", "1e10"}, "not possible");
  folder.write("b.csv", "# sample rate: 1e300 Hz\n" + text);
  refused({"diagnose", folder.file("b.csv"), "--rpm", "1480"}, "sample rate");
  for (const std::string rate : {"1", "0.5", "1e-3", "1e9"})
    for (const std::string speed : {"--rpm=1480", "--rpm-range=1000,2000", "--line-frequency=50"}) {
      CAPTURE(rate);
      CAPTURE(speed);
      const auto ran =
          run({"diagnose", csv, "--rate", rate, "--bearing", "6205", "--elements", "9", speed});
      CAPTURE(ran.err);
      CHECK(ran.code == 3);
      CHECK(has(ran.out, "Cannot tell"));
    }
}
