#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/simulate/truth.hpp"
#include "paths.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

std::string text_of(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  REQUIRE(file);
  return {std::istreambuf_iterator<char>{file}, {}};
}

struct Made {
  std::string plan;
  std::string capture;
};

/// The pairs that testdata/make.sh makes.
std::vector<Made> made() {
  std::istringstream script{text_of(TESTDATA_DIR "/make.sh")};
  std::vector<Made> all;
  std::string line;
  while (std::getline(script, line)) {
    std::istringstream words{line};
    std::string make, plan, capture, more;
    if (words >> make >> plan >> capture && make == "make" && !(words >> more))
      all.push_back({"plans/" + plan, capture});
  }
  return all;
}

}  // namespace

TEST_CASE("simulated recordings are what their plans give, and small") {
  const auto all = made();
  CHECK(all.size() == 10);
  std::uintmax_t bytes = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator{TESTDATA_DIR})
    if (entry.is_regular_file()) bytes += entry.file_size();
  CHECK(bytes < 3'000'000);

  const auto readme = text_of(TESTDATA_DIR "/README.md");
  for (const auto& m : all) {
    CAPTURE(m.capture);
    CHECK(readme.find("`" + m.capture + "`") != std::string::npos);
    CHECK(readme.find("--plan " + m.plan + " --out " + m.capture) != std::string::npos);
    const std::string path = std::string{TESTDATA_DIR "/"} + m.capture;
    const auto plan = plan_from_json(text_of(std::string{TESTDATA_DIR "/"} + m.plan), m.plan);
    REQUIRE(plan);
    const auto s = simulate(*plan).value();
    ReadOptions options;
    if (m.capture.ends_with(".wav")) {
      options.units = {"m/s2"};
      options.full_scale = plan->range;
    }
    const auto read = read_capture(path, options);
    REQUIRE(read);
    CHECK(read->rate == plan->rate);
    const auto& x = read->channels.at(0).samples;
    const auto& y = s.capture.channels.at(0).samples;
    REQUIRE(x.size() == y.size());
    // One step of the converter: another machine's mathematical functions may round the other way.
    const double step = plan->range / std::ldexp(1.0, plan->bits - 1);
    std::size_t apart = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
      REQUIRE(test::close_abs(x[i], y[i], 1.01 * step));
      if (!test::close_abs(x[i], y[i], 0.01 * step)) ++apart;
    }
    CHECK(apart <= x.size() / 1000);

    const auto truth =
        nlohmann::json::parse(text_of(path.substr(0, path.rfind('.')) + ".truth.json"));
    CHECK(truth["invented"] == true);
    CHECK(truth["damaged"].size() == s.truth.damaged.size());
    if (!s.truth.damaged.empty()) CHECK(truth["damaged"][0] == token(s.truth.damaged[0]));
    CHECK(test::close_rel(truth["mean_shaft_rate_hz"], s.truth.mean_shaft_rate_hz, 1e-9));
  }
}
