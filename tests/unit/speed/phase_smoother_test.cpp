#include "speed/phase_smoother.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using speed_detail::smoothed_phase;

TEST_CASE("phases of an even rotation come out as they are [src:closed form]") {
  std::vector<double> phase;
  for (int k = 0; k < 100; ++k) phase.push_back(0.3 + 0.01 * k);
  const auto smooth = smoothed_phase(phase);
  REQUIRE(smooth.size() == phase.size());
  for (std::size_t k = 0; k < phase.size(); ++k) CHECK(test::close_abs(smooth[k], phase[k], 1e-6));
}

// A line through n points of scatter s is known to s sqrt(2 / n), root mean square [src:closed
// form, least squares].
TEST_CASE("scatter about an even rotation is averaged as by a straight line") {
  constexpr int n = 200;
  constexpr double scatter = 0.01;
  Random random{1, 1};
  std::vector<double> phase;
  for (int k = 0; k < n; ++k) phase.push_back(0.01 * k + scatter * random.normal());
  const auto smooth = smoothed_phase(phase);
  double square = 0;
  for (int k = 0; k < n; ++k)
    square += std::pow(smooth[static_cast<std::size_t>(k)] - 0.01 * k, 2) / n;
  CHECK(std::sqrt(square) < 3 * scatter * std::sqrt(2.0 / n));
}

TEST_CASE("a rate that swings is followed, with less than half the scatter [src:closed form]") {
  constexpr int n = 240;
  constexpr double scatter = 0.003;
  Random random{2, 1};
  const auto truth = [](int k) { return 0.05 * std::sin(0.1 * k); };
  std::vector<double> phase;
  for (int k = 0; k < n; ++k) phase.push_back(truth(k) + scatter * random.normal());
  const auto smooth = smoothed_phase(phase);
  double square = 0;
  for (int k = 0; k < n; ++k)
    square += std::pow(smooth[static_cast<std::size_t>(k)] - truth(k), 2) / n;
  CHECK(std::sqrt(square) < 0.6 * scatter);
}

TEST_CASE("too few phases are left alone") {
  CHECK(smoothed_phase({}).empty());
  CHECK(smoothed_phase({1, 5, 2}) == std::vector<double>{1, 5, 2});
}
