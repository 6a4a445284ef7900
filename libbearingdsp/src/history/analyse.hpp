#pragma once
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/machine/route.hpp"
#include "bearingdsp/verdict/at_machine.hpp"

namespace bearingdsp {

/// What is given to the reader and to the diagnosis about one point of a route.
struct PointSettings {
  PointSetup setup;
  Machine machine;
  MeasuringPoint point;
  std::string number;  ///< of the bearing, as FittedBearing::number
  std::optional<double> load_percent;
  std::string text;  ///< all of it that changes the result, as Reading::settings
};
/// Errors: those of bearing_variants()
[[nodiscard]] Result<PointSettings> point_settings(const Route& route, const RoutePoint& point);
/// The same with another bearing in the machine.
[[nodiscard]] PointSettings with_bearing(PointSettings settings, FittedBearing bearing);
/// The same for one recording, with its own speed, load and sensor where the match says so.
[[nodiscard]] PointSettings for_recording(PointSettings settings, const RecordingMatch& match,
                                          const std::vector<Sensor>& sensors);
/// The orders that a text of settings names, to the four decimals it has: for analyses of which no
/// more was kept. No variants where it names none.
[[nodiscard]] FittedBearing bearing_of_settings(std::string_view text);

/// The settings that hold for a recording of that time.
using SettingsAt = std::function<const PointSettings&(UtcTime)>;

/// Reads and analyses one recording. How it is read is the same at all times.
/// Errors: those of reading and diagnosing; io where the file changed since `content` was found: it
/// is being written
[[nodiscard]] Result<Reading> analyse(const std::string& path, const FileContent& content,
                                      const SettingsAt& settings, std::optional<UtcTime> time,
                                      FftPlans& plans);

}  // namespace bearingdsp
