/// Several files as channels of one recording.
#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "bearingdsp/capture/together.hpp"
#include "reader.hpp"

namespace bearingdsp {
namespace {

constexpr double parts_agree = 1e-4;

/// "fan_x" of "data/fan_x.wav".
std::string stem(const std::string& path) {
  const auto slash = path.find_last_of('/');
  const std::string file = slash == std::string::npos ? path : path.substr(slash + 1);
  const auto dot = file.rfind('.');
  return dot == std::string::npos || dot == 0 ? file : file.substr(0, dot);
}

/// Its channels behind those that are there, named after their file.
void take_channels(Capture& all, Capture part, const std::string& path) {
  const bool one = part.channels.size() == 1;
  for (Channel& c : part.channels) {
    c.name = one ? stem(path) : stem(path) + ": " + c.name;
    all.channels.push_back(std::move(c));
  }
  for (Finding& f : part.findings) {
    if (!f.where.empty()) f.where = one ? stem(path) : stem(path) + ": " + f.where;
    all.findings.push_back(std::move(f));
  }
  for (Step& s : part.trail) all.trail.push_back(std::move(s));
}

/// Cuts all channels to the shortest.
void cut_to_shortest(Capture& all) {
  std::size_t least = all.channels.front().samples.size();
  std::size_t most = least;
  for (const Channel& c : all.channels) {
    least = std::min(least, c.samples.size());
    most = std::max(most, c.samples.size());
  }
  if (least == most) return;
  for (Channel& c : all.channels) c.samples.resize(least);
  all.findings.push_back(
      {FindingKind::truncated, Weight::caution, "",
       fmt::format("the files hold from {} to {} samples; the first {} of each are used", least,
                   most, least),
       "channels that do not start together are not comparable in phase",
       "check that the files are of one recording"});
}

/// The channels that select names, and their new names.
Result<void> choose_channels(Capture& all, const ReadOptions& options) {
  if (!options.select.empty()) {
    std::vector<std::string> names;
    for (const Channel& c : all.channels) names.push_back(c.name);
    const auto chosen = capture_detail::choose(names, options.select, "channel", all.source);
    if (!chosen) return chosen.error();
    std::vector<Channel> kept;
    for (const std::size_t i : *chosen) kept.push_back(all.channels[i]);
    all.channels = std::move(kept);
  }
  if (options.names.size() > all.channels.size())
    return Error{
        Errc::bad_argument, all.source,
        fmt::format("{} names given for {} channels", options.names.size(), all.channels.size()),
        "give at most one per channel"};
  for (std::size_t i = 0; i < options.names.size(); ++i) all.channels[i].name = options.names[i];
  return {};
}

}  // namespace

Result<Capture> read_together(const std::vector<std::string>& paths, const ReadOptions& options) {
  ReadOptions each = options;
  each.select.clear();
  each.names.clear();
  each.max_samples = options.max_samples / paths.size();
  Capture all;
  for (const std::string& file : paths) {
    auto part = read_capture(file, each);
    if (!part) return part.error();
    if (all.channels.empty()) {
      all.source = part->source;
      all.format = part->format;
      all.rate = part->rate;
      all.start_utc = part->start_utc;
      all.noted_speed = part->noted_speed;
    } else if (std::abs(part->rate.value() - all.rate.value()) > parts_agree * all.rate.value()) {
      return Error{Errc::bad_argument, file,
                   fmt::format("has {:.6g} samples per second, {} has {:.6g}", part->rate.value(),
                               paths.front(), all.rate.value()),
                   "give files of one recording, or the rate of all"};
    }
    take_channels(all, std::move(*part), file);
  }
  if (auto done = choose_channels(all, options); !done) return done.error();
  cut_to_shortest(all);
  return all;
}

bool looks_like_recording(const std::string& path) {
  return std::any_of(capture_detail::formats.begin(), capture_detail::formats.end(),
                     [&](const capture_detail::Format* f) { return f->names(path); });
}

}  // namespace bearingdsp
