#include <fmt/format.h>

#include <cmath>
#include <string>

#include "bearingdsp/report/calibration.hpp"
#include "report/json_parts.hpp"

namespace bearingdsp {
namespace {

std::string in_both_units(double metres_per_second2) {
  return fmt::format("{} m/s² ({} g)", significant(metres_per_second2, 4),
                     significant(in_g(metres_per_second2), 4));
}

/// What comes out, and the options to type.
void say_result(const CalibrationResult& c, Report& r) {
  if (c.unit == SampleUnit::volt) {
    const std::string figure = significant(sensitivity_mv_per_g(c), 4);
    r.title = "SENSITIVITY " + figure + " mV/g";
    r.brief = "--sensitivity " + figure;
  } else if (c.unit == SampleUnit::acceleration) {
    r.title = fmt::format("SAMPLES ARE {} TIMES THE LEVEL OF THE CALIBRATOR",
                          significant(1 / c.scale, 4));
    r.brief = std::abs(c.scale - 1) <= 0.05
                  ? "within 5 %: the settings can stay"
                  : "correct the sensitivity or full scale by this factor";
  } else {
    r.title = fmt::format("{} = {}", c.fractions ? "FULL SCALE" : "1 IN THE FILE",
                          in_both_units(c.scale));
    r.brief = c.fractions ? fmt::format("--unit m/s2 --full-scale {}", significant(c.scale, 4))
                          : "multiply the samples by this before you export them";
  }
}

}  // namespace

double sensitivity_mv_per_g(const CalibrationResult& result) {
  return 1000 * standard_gravity / result.scale;
}

Report calibration_report(const CalibrationResult& c) {
  Report r;
  r.source = c.source;
  r.tone = Tone::good;
  say_result(c, r);
  r.headline = "Use with recordings of the same sensor, recorder and gain: " + r.brief;
  ReportSection s;
  s.id = "tone";
  s.title = "The tone of the calibrator";
  s.figures.push_back({"Given", fmt::format("{} rms", in_both_units(c.level.value()))});
  s.figures.push_back({"Frequency", significant(c.tone.frequency.value(), 5) + " Hz"});
  const std::string unit = c.fractions                          ? " of full scale"
                           : c.unit == SampleUnit::volt         ? " V"
                           : c.unit == SampleUnit::acceleration ? " m/s²"
                                                                : "";
  s.figures.push_back({"In the file", significant(c.tone.amplitude, 4) + unit + ", peak"});
  s.figures.push_back({"Change of level", significant(100 * c.tone.unsteadiness, 2) + " %"});
  s.figures.push_back({"Everything else", significant(100 * c.tone.other, 2) + " % of the tone"});
  s.notes.push_back(
      "The result is as accurate as the level of the calibrator: see its certificate.");
  r.sections.push_back(std::move(s));
  return r;
}

std::string calibration_json(const CalibrationResult& c, const JsonOptions& options) {
  Json json = headed("bearingdsp.calibration/1");
  json["source"] = c.source;
  json["level_rms_m_s2"] = c.level.value();
  json["frequency_hz"] = c.tone.frequency.value();
  json["amplitude_in_file"] = c.tone.amplitude;
  json["level_change"] = c.tone.unsteadiness;
  json["everything_else"] = c.tone.other;
  json["full_scale_m_s2"] = c.fractions ? Json(c.scale) : Json{};
  json["sensitivity_mv_per_g"] =
      c.unit == SampleUnit::volt ? Json(sensitivity_mv_per_g(c)) : Json{};
  json["m_s2_per_unit"] = c.scale;
  return dumped(json, options.pretty);
}

}  // namespace bearingdsp
