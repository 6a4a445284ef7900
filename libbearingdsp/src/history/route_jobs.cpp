#include "history/route_jobs.hpp"

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <string_view>
#include <utility>

#include "bearingdsp/capture/together.hpp"
#include "bearingdsp/capture/whole_file.hpp"
#include "bearingdsp/machine/recording_place.hpp"

namespace bearingdsp {
namespace {

namespace fs = std::filesystem;

Result<std::vector<std::string>> files_in(const std::string& folder) {
  std::error_code code;
  std::vector<std::string> files;
  auto at =
      fs::recursive_directory_iterator{folder, fs::directory_options::skip_permission_denied, code};
  for (; !code && at != fs::recursive_directory_iterator{}; at.increment(code)) {
    std::error_code ignored;
    if (at->is_regular_file(ignored))
      files.push_back(at->path().lexically_relative(folder).generic_string());
  }
  if (code)
    return Error{Errc::io, folder, "cannot be read: " + code.message(),
                 "give the folder with the recordings"};
  std::sort(files.begin(), files.end());
  return files;
}

using Listed = std::map<std::string, std::vector<RecordingMatch>>;

/// What the lists beside the recordings say, by the recordings' paths relative to the folder.
Result<Listed> read_lists(const Route& route, const std::string& folder,
                          const std::vector<std::string>& files, RouteRun& run) {
  Listed listed;
  for (const std::string& file : files) {
    if (fs::path{file}.filename() != recording_list_name) continue;
    const auto entries = read_recording_list(route, (fs::path{folder} / file).string());
    if (!entries) return entries.error();
    for (const ListedRecording& e : *entries) {
      const std::string named =
          (fs::path{file}.parent_path() / e.file).lexically_normal().generic_string();
      if (!std::binary_search(files.begin(), files.end(), named))
        run.failures.push_back(
            {Errc::not_found, e.where, e.file + " is not there", "give its path beside the list"});
      else
        listed[named].push_back(e.match);
    }
  }
  return listed;
}

/// Where the file beside it, the lists, the patterns and the names put a recording.
Result<std::vector<RecordingMatch>> matches_of(const Route& route, const std::string& folder,
                                               const std::string& file,
                                               const std::vector<std::string>& files,
                                               const Listed& listed) {
  const auto said = listed.find(file);
  auto matches = said != listed.end() ? said->second : match_recording(route, file);
  if (!std::binary_search(files.begin(), files.end(), sidecar_of(file))) return matches;
  const auto notes = read_sidecar((fs::path{folder} / file).string());
  if (!notes) return notes.error();
  return *notes ? with_notes(route, **notes, std::move(matches)) : matches;
}

/// The file beside a recording is none itself, whatever a pattern says.
bool is_sidecar(const std::string& file, const std::vector<std::string>& files) {
  constexpr std::string_view ending = ".toml";
  return file.ends_with(ending) && std::binary_search(files.begin(), files.end(),
                                                      file.substr(0, file.size() - ending.size()));
}

std::vector<RouteJob> matched(const Route& route, const std::string& folder,
                              const std::vector<std::string>& files, const Listed& listed,
                              RouteRun& run) {
  std::vector<RouteJob> jobs;
  std::set<std::size_t> seen;
  for (const std::string& file : files) {
    if (is_sidecar(file, files)) continue;
    auto found = matches_of(route, folder, file, files, listed);
    if (!found) {
      run.failures.push_back(found.error());
      continue;
    }
    std::vector<RecordingMatch>& matches = *found;
    for (const RecordingMatch& m : matches) seen.insert(m.route_point);
    if (!matches.empty())
      jobs.push_back({file, std::move(matches)});
    else if (looks_like_recording(file))
      run.unmatched.push_back(file);
  }
  run.recordings = jobs.size();
  for (std::size_t i = 0; i < route.points.size(); ++i)
    if (!seen.contains(i)) run.without_recording.push_back(point_key(route, i));
  return jobs;
}

}  // namespace

PointKey point_key(const Route& route, std::size_t route_point) {
  const RoutePoint& p = route.points.at(route_point);
  return {route.machine_of(p).name, route.point_of(p).name};
}

Result<std::vector<RouteJob>> find_jobs(const Route& route, const std::string& folder,
                                        RouteRun& run) {
  const auto files = files_in(folder);
  if (!files) return files.error();
  const auto listed = read_lists(route, folder, *files, run);
  if (!listed) return listed.error();
  return matched(route, folder, *files, *listed, run);
}

Result<std::string> keep_copy(const std::string& folder, const std::string& path,
                              const std::string& hash) {
  const fs::path copy =
      fs::absolute(fs::path{folder} / (hash + fs::path{path}.extension().string()));
  std::error_code code;
  if (fs::exists(copy, code)) return copy.string();
  const auto refused = [&](const std::string& why) {
    return Error{Errc::io, copy.string(), "cannot be written: " + why,
                 "give another folder for the copies"};
  };
  fs::create_directories(copy.parent_path(), code);
  if (code) return refused(code.message());
  std::ifstream from{path, std::ios::binary};
  auto to = WholeFile::start(copy.string());
  if (!to) return refused(to.error().what);
  std::array<char, 1U << 16U> block{};
  while (from) {
    from.read(block.data(), block.size());
    if (auto done = to->write({block.data(), static_cast<std::size_t>(from.gcount())}); !done)
      return refused(done.error().what);
  }
  if (!from.eof())
    return Error{Errc::io, path, "cannot be read to its end", "check that it is still there"};
  if (auto done = to->commit(); !done) return refused(done.error().what);
  return copy.string();
}

}  // namespace bearingdsp
