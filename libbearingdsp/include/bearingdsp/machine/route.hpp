#pragma once
/// A survey of measuring: which machines, which points, and which recordings belong to which point.
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/machine.hpp"

namespace bearingdsp {

/// One stop of the round.
struct RoutePoint {
  std::size_t machine{0};  ///< index into Route::machines
  std::size_t point{0};    ///< index into that machine's points
  /// Patterns of its recordings, relative to the folder of the round; none: found by names.
  std::vector<std::string> files;
  std::optional<Rpm> speed;            ///< at measuring, where it is not the rated one
  std::optional<double> load_percent;  ///< at measuring, of the rated load
  std::string where;                   ///< "route.toml:12"
};

struct Route {
  std::string name;
  std::string path;               ///< of the route file, as given
  std::vector<Machine> machines;  ///< of all its machine files
  std::vector<RoutePoint> points;
  std::vector<Sensor> sensors;  ///< of the plant that the route belongs to; may be none

  [[nodiscard]] const Machine& machine_of(const RoutePoint& p) const {
    return machines.at(p.machine);
  }
  [[nodiscard]] const MeasuringPoint& point_of(const RoutePoint& p) const {
    return machine_of(p).points.at(p.point);
  }
};

/// A route file with the machine files it names (relative to itself).
/// Errors: those of read_machines(); corrupt_file also for a machine or point that does not exist,
///         with near misses, or a pattern that can match nothing
[[nodiscard]] Result<Route> read_route(const std::string& path);
/// As read_route, from text, with the machines already read.
[[nodiscard]] Result<Route> parse_route(std::string_view text, std::string_view where,
                                        std::vector<Machine> machines);

/// What a pattern took out of a file's name.
struct PatternMatch {
  std::string date;  ///< "2026-03-02", or empty
  std::string time;  ///< "07:45" or "07:45:10", or empty
};

/// Whether the path (with '/', relative) fits the pattern, from end to end. In a pattern `*` stands
/// for any characters but '/', `**` for any at all, `?` for one that is not '/', `{date}` for a
/// date (2026-03-02, 2026_03_02 or 20260302; a day that exists) and `{time}` for a time of day
/// (07-45, 0745, 07-45-10 or 074510). Anything else stands for itself, case included; a
/// date that is written out in a pattern without `{date}` (2026-03-02 or 2026_03_02) is the date.
/// Cost: length of path times length of pattern
[[nodiscard]] std::optional<PatternMatch> match_pattern(std::string_view pattern,
                                                        std::string_view path);

/// The stop of that machine and point; of the machine alone where it has one stop. Names are
/// compared as find_machine() does. Nothing where there is none, or several.
[[nodiscard]] std::optional<std::size_t> find_stop(const Route& route, std::string_view machine,
                                                   std::string_view point);

/// A recording found its point.
struct RecordingMatch {
  std::size_t route_point{0};  ///< index into Route::points
  PatternMatch found;
  // Of this recording alone, where something beside it says so:
  std::optional<Rpm> speed{};            ///< at measuring
  std::optional<double> load_percent{};  ///< at measuring
  std::string sensor{};                  ///< of Route::sensors
};
/// Every point of the route that this recording belongs to, at most once each; one recording of
/// several channels may serve several points. Stops without patterns are found by the names in the
/// path (find_names in machine/recording_place.hpp) where no pattern fits.
[[nodiscard]] std::vector<RecordingMatch> match_recording(const Route& route,
                                                          std::string_view relative_path);

/// What a list that lies beside recordings is called.
inline constexpr std::string_view recording_list_name = "recordings.toml";

/// A line of such a list: which point a recording belongs to.
struct ListedRecording {
  std::string file;  ///< relative to the folder of the list
  RecordingMatch match;
  std::string where;  ///< "recordings.toml:3"
};
/// [[recording]] with file, machine, point (where the machine has several stops), date, time,
/// speed_rpm, load_percent, sensor, note.
/// Errors: io; corrupt_file with line and key, also for what is no stop of the route
[[nodiscard]] Result<std::vector<ListedRecording>> read_recording_list(const Route& route,
                                                                       const std::string& path);
[[nodiscard]] Result<std::vector<ListedRecording>> parse_recording_list(const Route& route,
                                                                        std::string_view text,
                                                                        std::string_view where);

}  // namespace bearingdsp
