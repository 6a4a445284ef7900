#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/speed/estimate.hpp"
#include "support/scratch.hpp"

using namespace bearingdsp;

// The listed speed is to one revolution a minute in one set (0.06 %) and nominal in the others (off
// by up to several per cent), so "right" is asked only of the former and "not wrong" of all.
TEST_CASE("open recordings: speed withheld and given [src:datasets' manifest]") {
  const auto folder = test::datasets();
  if (!folder) return;
  const auto manifest = read_manifest((*folder / "manifest.csv").string());
  REQUIRE(manifest.has_value());
  FftPlans plans;
  int listed = 0;
  int right_blind = 0;
  int right_given = 0;
  int records = 0;
  int found_blind = 0;
  int far_off = 0;
  for (const LabelledRecord& record : manifest->records) {
    if (!record.speed || !record.orders) continue;
    ReadOptions read;
    read.rate = record.rate;
    read.select = record.signal.select;
    read.time_column = record.signal.time_column;
    const auto capture = read_capture(record.path, read);
    REQUIRE_MESSAGE(capture.has_value(), record.path);
    std::vector<SignalView> axes;
    for (std::size_t i = 0; i < std::min<std::size_t>(capture->channels.size(), 3); ++i)
      axes.push_back(capture->view(i));
    const double stated = shaft_rate(*record.speed).value();
    SpeedOptions options;
    options.orders = record.orders;
    const auto blind = estimate_speed(axes, plans, options);
    options.given = Hz{stated};
    const auto given = estimate_speed(axes, plans, options);
    ++records;
    const double off = std::abs(blind.best.rate.value() / stated - 1);
    if (blind.best.found()) {
      ++found_blind;
      far_off += off > 0.05 ? 1 : 0;
    }
    const double rpm = record.speed->value();
    const bool nominal = std::fmod(rpm, 50.0) == 0;
    if (record.dataset == "cwru" && !nominal) {
      ++listed;
      right_blind += blind.best.found() && off < 1.5e-3 ? 1 : 0;
      right_given += given.best.method == SpeedMethod::given_refined &&
                             std::abs(given.best.rate.value() / stated - 1) < 1.5e-3
                         ? 1
                         : 0;
    }
  }
  MESSAGE("speed withheld: found " << found_blind << " of " << records << ", further than 5 % off "
                                   << far_off << "; to one rpm: withheld " << right_blind
                                   << ", given " << right_given << " of " << listed);
  REQUIRE(records > 0);
  CHECK(far_off <= records / 50);
  CHECK(found_blind >= records / 2);
  CHECK(right_given * 100 >= 90 * listed);
  CHECK(right_blind * 100 >= 65 * listed);
}
