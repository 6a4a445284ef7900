#pragma once
/// The result of a calibration as a report and as JSON.
#include <string>

#include "bearingdsp/capture/calibrator.hpp"
#include "bearingdsp/core/unit.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// A tone of a calibrator in a recording, and what its level makes of the samples.
struct CalibrationResult {
  std::string source;
  CalibrationTone tone;
  AccelerationRms level;                      ///< of the calibrator
  SampleUnit unit{SampleUnit::uncalibrated};  ///< of the samples
  bool fractions{false};                      ///< of full scale (an audio file)
  /// What 1 of the samples stands for, m/s2; 1 if the samples are m/s2 and right.
  double scale{0};
};

/// Full scale (audio), the sensitivity (volts) or the error of the samples (m/s2), with the options
/// that use it.
[[nodiscard]] Report calibration_report(const CalibrationResult& result);
/// "bearingdsp.calibration/1"
[[nodiscard]] std::string calibration_json(const CalibrationResult& result,
                                           const JsonOptions& options = {});

/// mV per g of samples in volts.
/// Source: 1 g = 9.80665 m/s2 (ISO 80000-3)
[[nodiscard]] double sensitivity_mv_per_g(const CalibrationResult& result);

}  // namespace bearingdsp
