#include "bearingdsp/report/calibration.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "bearingdsp/report/text.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using Json = nlohmann::json;

namespace {

CalibrationResult made(SampleUnit unit, bool fractions, double scale) {
  CalibrationResult c;
  c.source = "cal.wav";
  c.tone = {Hz{159.15}, 0.11, 0.002, 0.01};
  c.level = AccelerationRms{10};
  c.unit = unit;
  c.fractions = fractions;
  c.scale = scale;
  return c;
}

}  // namespace

TEST_CASE("a calibration says what to type next [src:1 g = 9.80665 m/s2]") {
  const Report audio = calibration_report(made(SampleUnit::uncalibrated, true, 128.6));
  CHECK(audio.title == "FULL SCALE = 128.6 m/s² (13.11 g)");
  CHECK(audio.brief == "--unit m/s2 --full-scale 128.6");
  // 98.0665 m/s2 a volt is 10 g a volt: 100 mV/g.
  const auto volts = made(SampleUnit::volt, false, 98.0665);
  CHECK(test::close_rel(sensitivity_mv_per_g(volts), 100, 1e-12));
  CHECK(calibration_report(volts).brief == "--sensitivity 100.0");
  CHECK(calibration_report(made(SampleUnit::acceleration, false, 1.02)).brief ==
        "within 5 %: the settings can stay");
  CHECK(calibration_report(made(SampleUnit::acceleration, false, 1.2)).brief.find("correct") == 0);
}

TEST_CASE("a calibration as JSON [src:contract]") {
  const Json j = Json::parse(calibration_json(made(SampleUnit::uncalibrated, true, 128.6)));
  CHECK(j["schema"] == "bearingdsp.calibration/1");
  CHECK(j["full_scale_m_s2"].get<double>() == 128.6);
  CHECK(j["sensitivity_mv_per_g"].is_null());
  const Json v = Json::parse(calibration_json(made(SampleUnit::volt, false, 98.0665)));
  CHECK(test::close_rel(v["sensitivity_mv_per_g"].get<double>(), 100, 1e-12));
  CHECK(v["full_scale_m_s2"].is_null());
}
