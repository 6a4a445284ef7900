#include "verdict/shared_bands.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

namespace bearingdsp {
namespace {

/// The track as a piece sees it that begins later.
PhaseTrack from(const PhaseTrack& whole, Seconds start) {
  PhaseTrack piece = whole;
  const double before = whole.revolutions_until(start);
  for (double& t : piece.time) t -= start.value();
  for (double& r : piece.revolutions) r -= before;
  return piece;
}

/// Equal pieces of each axis, axis by axis.
std::vector<SignalView> cut(const std::vector<SignalView>& axes, std::size_t pieces) {
  const std::size_t size = axes[0].x.size() / pieces;
  std::vector<SignalView> out;
  for (const auto& axis : axes)
    for (std::size_t i = 0; i < pieces; ++i)
      out.push_back({axis.x.subspan(i * size, size), axis.rate, axis.unit});
  return out;
}

/// Their flattened spectra, each under its part of the track. The plain ones are not kept: made
/// again where they are asked for, they cost less than their room.
std::vector<RecordSpectrum> flat_spectra(const std::vector<SignalView>& cuts, std::size_t pieces,
                                         const std::optional<PhaseTrack>& track, Seconds duration,
                                         Hz smoothing, FftPlans& plans) {
  std::vector<std::shared_ptr<const PhaseTrack>> tracks(pieces);
  for (std::size_t i = 0; track && i < pieces; ++i)
    tracks[i] = std::make_shared<const PhaseTrack>(
        from(*track, Seconds{static_cast<double>(i * cuts[0].x.size()) / cuts[0].rate.value()}));
  std::vector<RecordSpectrum> out;
  for (std::size_t i = 0, piece = 0; i < cuts.size(); ++i) {
    out.push_back(flattened(record_spectrum(cuts[i], plans), smoothing));
    out.back().track = tracks[piece];
    if (++piece == pieces) piece = 0;
    if (track && pieces > 1)
      out.back().turns = track->revolutions_until(duration) / duration.value() *
                         static_cast<double>(out.back().n) / cuts[i].rate.value();
  }
  return out;
}

}  // namespace

std::size_t BandGroups::add(const ShaftMotion& motion, const std::optional<BandNeeds>& needs) {
  const RecordModel& m = detail_.options.model.record;
  const Hz rate = motion.speed.best.rate;
  // No band but the whole one is as wide as that.
  const BandNeeds wanted = needs.value_or(BandNeeds{Hz{0}, detail_.capture->rate});
  for (std::size_t i = 0; i < groups_.size(); ++i) {
    SharedBands& g = groups_[i];
    if (g.track.has_value() != motion.track.has_value() ||
        std::abs(g.rate / rate - 1) > m.same_speed)
      continue;
    g.needs.up_to = std::max(g.needs.up_to, wanted.up_to);
    g.needs.narrowest = std::min(g.needs.narrowest, wanted.narrowest);
    return i;
  }
  SharedBands g;
  g.rate = rate;
  g.track = motion.track;
  g.needs = wanted;
  const Seconds duration = detail_.found.duration;
  // A speed may be given that no whole number of revolutions holds.
  const auto samples = static_cast<std::size_t>(m.min_samples);
  const double max_pieces =
      std::max(1.0, static_cast<double>(detail_.axes()[0].x.size() / samples));
  g.pieces = static_cast<std::size_t>(
      std::min(max_pieces, std::ceil(duration.value() * rate.value() / m.max_revolutions)));
  g.piece = (1 / static_cast<double>(g.pieces)) * duration;
  g.smoothing = Hz{std::max(m.flatten_hz, m.flatten_orders * rate.value())};
  g.cuts = cut(detail_.axes(), g.pieces);
  groups_.push_back(std::move(g));
  return groups_.size() - 1;
}

void BandGroups::demodulate(bool keep_flat) {
  for (SharedBands& g : groups_) {
    g.flat = flat_spectra(g.cuts, g.pieces, g.track, detail_.found.duration, g.smoothing, plans_);
    g.bands = band_spectra(g.flat, g.rate, g.needs, plans_, detail_.options.model);
    if (!keep_flat) g.flat = {};
  }
}

}  // namespace bearingdsp
