#include "bearingdsp/capture/length.hpp"

#include <doctest/doctest.h>

#include <vector>

using namespace bearingdsp;

namespace {

DefectOrders bearing(double bpfo, double bpfi, double bsf) {
  DefectOrders o;
  o.bpfo = Order{bpfo};
  o.bpfi = Order{bpfi};
  o.bsf = Order{bsf};
  return o;
}

}  // namespace

TEST_CASE("length: ten seconds, or forty revolutions of a slow shaft [src:contract]") {
  CHECK(length_to_record(std::nullopt).value() == 10);
  CHECK(length_to_record(Hz{25}).value() == 10);
  CHECK(length_to_record(Hz{4}).value() == 10);
  CHECK(length_to_record(Hz{2}).value() == 20);     // 40 revolutions
  CHECK(length_to_record(Hz{0.3}).value() == 134);  // 133.3 s
  CHECK(length_to_record(Hz{0}).value() == 10);
}

TEST_CASE(
    "length: orders near a whole one need more revolutions, up to a minute "
    "[src:closed-form T = 4 / (distance * rate)]") {
  // 0.42 orders apart: 9.5 revolutions.
  CHECK(length_to_record(Hz{25}, std::vector{bearing(3.58, 5.42, 2.29)}).value() == 10);
  // BPFI 0.01 orders from 5: 400 revolutions, 16 s at 25 Hz.
  CHECK(length_to_record(Hz{25}, std::vector{bearing(3.58, 5.01, 2.29)}).value() == 16);
  // Elements strike twice a turn: 2 x 2.495 = 4.99, the same.
  CHECK(length_to_record(Hz{25}, std::vector{bearing(3.58, 5.42, 2.495)}).value() == 16);
  // Nearer than 0.005 orders nothing separates them: 800 revolutions, and 60 s at most.
  CHECK(revolutions_to_separate(0.01) == 400);
  CHECK(revolutions_to_separate(0) == 800);
  CHECK(length_to_record(Hz{25}, std::vector{bearing(3, 5, 2.3)}).value() == 32);
  CHECK(length_to_record(Hz{10}, std::vector{bearing(3, 5, 2.3)}).value() == 60);
  // The slow shaft needs more than a minute by itself.
  CHECK(length_to_record(Hz{0.3}, std::vector{bearing(3, 5, 2.3)}).value() == 134);
  // Of several bearings the one that needs most.
  CHECK(length_to_record(Hz{25}, std::vector{bearing(3.58, 5.42, 2.29), bearing(3.58, 5.01, 2.29)})
            .value() == 16);
}
