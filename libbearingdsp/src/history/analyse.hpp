#pragma once
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/verdict/at_machine.hpp"

namespace bearingdsp {

/// What is told to the reader and to the diagnosis about one point of a route.
struct PointSettings {
  PointSetup setup;
  Machine machine;
  MeasuringPoint point;
  std::optional<double> load_percent;
  std::string text;  ///< all of it that changes the result, as Reading::settings
};
/// Errors: those of bearing_variants()
[[nodiscard]] Result<PointSettings> point_settings(const Route& route, const RoutePoint& point);

/// Reads and analyses one recording. Errors: those of reading and diagnosing
[[nodiscard]] Result<Reading> analyse(const std::string& path, const std::string& hash,
                                      const PointSettings& settings, std::optional<UtcTime> time,
                                      FftPlans& plans);

}  // namespace bearingdsp
