#include "bearingdsp/capture/scan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "bearingdsp/capture/quality.hpp"

namespace bearingdsp {
namespace {

/// 82 s of one channel at 51.2 kHz: mains and shaft lines are resolved in each piece.
constexpr std::uint64_t scanned_at_once = std::uint64_t{1} << 22U;
/// Rates of two pieces that differ by more are no rounding of time stamps.
constexpr double same_rate = 0.01;

/// Whether it is of the file or of what was asked, and no piece's own.
bool of_the_whole(const Finding& f, std::size_t pieces) noexcept {
  const bool of_the_file =
      f.kind == FindingKind::truncated || f.kind == FindingKind::header_mismatch;
  const bool of_the_question =
      f.kind == FindingKind::ambiguous || f.kind == FindingKind::geometry_estimated ||
      f.kind == FindingKind::uncalibrated || f.kind == FindingKind::unit_disagrees ||
      f.kind == FindingKind::rate_disagrees;
  return of_the_question || (of_the_file && pieces == 1);
}

}  // namespace

void PieceFindings::add(const Findings& findings, Seconds start, Seconds length) {
  ++pieces_;
  std::vector<bool> counted(seen_.size(), false);
  for (const Finding& f : findings) {
    const auto same = std::find_if(seen_.begin(), seen_.end(), [&](const Seen& s) {
      return s.worst.kind == f.kind && s.worst.where == f.where;
    });
    const std::size_t blocking = f.weight == Weight::blocking ? 1 : 0;
    if (same == seen_.end()) {
      seen_.push_back({f, 1, blocking, start, length});
      counted.push_back(true);
      continue;
    }
    const auto i = static_cast<std::size_t>(same - seen_.begin());
    if (!counted[i]) {
      ++same->pieces;
      same->blocking += blocking;
      counted[i] = true;
    }
    if (f.weight > same->worst.weight) {
      same->worst = f;
      same->start = start;
      same->length = length;
    }
  }
}

Findings PieceFindings::merged() const {
  Findings out;
  for (const Seen& s : seen_) {
    Finding f = s.worst;
    if (f.weight == Weight::blocking && 2 * s.blocking < pieces_) {
      f.weight = Weight::caution;
      f.consequence += "; the rest of the recording is evaluated without it";
    }
    if (pieces_ > 1 && !of_the_whole(f, s.pieces))
      f.what = fmt::format("in {} of {} pieces, here from {:.4g} s to {:.4g} s: {}", s.pieces,
                           pieces_, s.start.value(), s.start.value() + s.length.value(), f.what);
    out.push_back(std::move(f));
  }
  return out;
}

Result<void> RecordingScan::add(const Capture& piece, const Findings& findings) {
  if (channels.empty()) {
    source = piece.source;
    format = piece.format;
    rate = piece.rate;
    start_utc = piece.start_utc;
    noted_speed = piece.noted_speed;
    trail = piece.trail;
    for (const Channel& c : piece.channels)
      channels.push_back({c.name, c.unit, c.full_scale, RunningMoments{}});
  }
  const bool same = std::equal(
      channels.begin(), channels.end(), piece.channels.begin(), piece.channels.end(),
      [](const ChannelScan& a, const Channel& b) { return a.name == b.name && a.unit == b.unit; });
  if (!same)
    return Error{Errc::corrupt_file, piece.source,
                 fmt::format("the channels from {:.4g} s onwards differ from those at the start",
                             duration().value()),
                 "choose the channels by name"};
  rate_changes_ =
      rate_changes_ || std::abs(piece.rate.value() - rate.value()) > same_rate * rate.value();
  for (std::size_t i = 0; i < channels.size(); ++i)
    channels[i].moments.add(piece.channels[i].samples);
  findings_.add(findings, duration(), piece.duration());
  samples += piece.size();
  ++pieces;
  return {};
}

void RecordingScan::add_failed(const Error& error) {
  ++failed;
  if (!first_failure_) first_failure_ = error;
}

Findings RecordingScan::all_findings() const {
  Findings out = findings_.merged();
  if (first_failure_)
    out.push_back({FindingKind::repaired, Weight::caution, first_failure_->where,
                   fmt::format("{} of {} pieces of the recording could not be used: {}", failed,
                               pieces + failed, first_failure_->what),
                   "the verdict is based on the others", first_failure_->advice});
  if (rate_changes_)
    out.push_back({FindingKind::header_mismatch, Weight::caution, "",
                   "the sample rate from the time stamps changes within the recording",
                   "each piece is analysed at its own rate; the length shown is that of the first",
                   "check the recorder's clock"});
  return out;
}

std::size_t piece_samples(const PieceReader& reader, std::uint64_t total) noexcept {
  return static_cast<std::size_t>(
      std::max<std::uint64_t>(1024, total / std::max<std::size_t>(1, reader.channels())));
}

Result<RecordingScan> scan(PieceReader& reader, FftPlans& plans) {
  RecordingScan all;
  const std::size_t samples = piece_samples(reader, scanned_at_once);
  while (true) {
    auto piece = reader.next(samples);
    if (!piece && all.pieces == 0) return piece.error();
    if (!piece) {
      all.add_failed(piece.error());
      continue;
    }
    if (!*piece) break;
    Findings findings = (*piece)->findings;
    QualityNeeds needs;
    if ((*piece)->noted_speed) needs.shaft = shaft_rate(*(*piece)->noted_speed);
    for (Finding& f : assess_quality(**piece, needs, plans)) findings.push_back(std::move(f));
    if (const auto done = all.add(**piece, findings); !done) all.add_failed(done.error());
  }
  if (all.pieces == 0)
    return Error{Errc::too_short, "recording", "contains no samples", "check the recorder"};
  return all;
}

}  // namespace bearingdsp
