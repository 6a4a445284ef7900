#include "bearingdsp/history/change_test.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <vector>

#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

/// Mean number of independent standard normal readings until the first alert of a plain CUSUM, the
/// baseline known.
double mean_run(double reference, double threshold, double shift) {
  constexpr std::size_t runs = 1500;
  constexpr std::size_t length = 8000;
  const ChangeTestOptions plain{threshold, reference, 0, 0,
                                std::numeric_limits<double>::infinity()};
  double sum = 0;
  for (std::size_t k = 0; k < runs; ++k) {
    Random random{k, 71};
    std::vector<double> z(shift > 0 ? 400 : length);
    for (double& v : z) v = shift + random.normal();
    const std::vector<bool> active = lasting_rise({z, 0, 0, 1, 1}, plain);
    sum +=
        1.0 + static_cast<double>(std::find(active.begin(), active.end(), true) - active.begin());
  }
  return sum / static_cast<double>(runs);
}

std::vector<bool> rise_of(const std::vector<double>& db) { return lasting_rise({db, 0, 0, 1, 8}); }

bool ends_active(const std::vector<double>& db) { return rise_of(db).back(); }

std::vector<double> repeated(double db, std::size_t n) { return std::vector<double>(n, db); }

}  // namespace

TEST_CASE(
    "lasting rise: a plain CUSUM has the run lengths of its theory [src:siegmund1985, from memory, "
    "corrected "
    "diffusion: 335.4 and 930.9 readings unchanged, 8.34 after a rise of one sigma]") {
  // (exp(b) - b - 1) / (2 k^2), b = 2 k (h + 1.166), and for a rise of 2 k the same with -b.
  CHECK(test::close_rel(mean_run(0.5, 4, 0), 335.4, 0.08));
  CHECK(test::close_rel(mean_run(0.5, 5, 0), 930.9, 0.08));
  CHECK(test::close_rel(mean_run(0.5, 4, 1), 8.34, 0.04));
}

TEST_CASE("lasting rise: 4 dB that no limit sees are found, 1.5 dB and one knock are not") {
  std::vector<double> up = repeated(0, 5);
  up.insert(up.end(), 12, 4.0);
  const std::vector<bool> found = rise_of(up);
  CHECK_FALSE(found[6]);
  CHECK(found.back());
  CHECK_FALSE(ends_active(repeated(1.5, 200)));
  std::vector<double> knock = repeated(0, 5);
  knock.push_back(40);
  CHECK_FALSE(ends_active(knock));
  knock.push_back(40);
  CHECK_FALSE(ends_active(knock));
}

TEST_CASE("lasting rise: a level that fell back is no change, and begins at nothing again") {
  std::vector<double> db = repeated(8, 40);
  CHECK(ends_active(db));
  for (int i = 0; i < 2; ++i) db.push_back(0);
  CHECK(ends_active(db));
  db.push_back(0);
  CHECK_FALSE(ends_active(db));
  db.push_back(8);
  db.push_back(8);
  CHECK_FALSE(ends_active(db));
}

TEST_CASE("lasting rise: of fewer readings the baseline is less certain, and more is needed") {
  const std::vector<double> db = repeated(3.2, 60);
  CHECK(lasting_rise({db, 0, 0, 1, 8}).back());
  CHECK_FALSE(lasting_rise({db, 0, 0, 1, 3}).back());
  CHECK_THROWS_AS(static_cast<void>(lasting_rise({db, 0, 0, 0, 8})), std::invalid_argument);
  CHECK_THROWS_AS(static_cast<void>(lasting_rise({db, 0, 0, 1, 0})), std::invalid_argument);
}
