#pragma once
#include <cstddef>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/history/route_run.hpp"

namespace bearingdsp {

/// A file of the round and where it belongs.
struct RouteJob {
  std::string relative;  ///< to the folder of the round
  std::vector<RecordingMatch> matches;
};

[[nodiscard]] PointKey point_key(const Route& route, std::size_t route_point);

/// The recordings of the folder that belong to a point; what belongs to none, is listed but not
/// there, or is missing goes into the run.
/// Errors: io; those of read_recording_list()
[[nodiscard]] Result<std::vector<RouteJob>> find_jobs(const Route& route, const std::string& folder,
                                                      RouteRun& run);

/// Copies a recording into the folder under its hash, whole or not at all; gives the copy's path.
/// Errors: io
[[nodiscard]] Result<std::string> keep_copy(const std::string& folder, const std::string& path,
                                            const std::string& hash);

}  // namespace bearingdsp
