#pragma once
/// Flattened spectra and demodulated bands that the hypotheses about one recording share.
#include <cstddef>
#include <optional>
#include <vector>

#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "verdict/examination_detail.hpp"
#include "verdict/shaft_motion.hpp"

namespace bearingdsp {

/// Of one motion of the shaft: one speed, within a few per cent, and one path of it.
struct SharedBands {
  Hz rate;
  std::optional<PhaseTrack> track;
  BandNeeds needs{Hz{0}, Hz{0}};
  std::size_t pieces{1};             ///< that the recording is cut into
  Seconds piece;                     ///< length of one
  Hz smoothing;                      ///< of the flattening
  std::vector<SignalView> cuts;      ///< the pieces, axis by axis; views of the examined capture
  std::vector<RecordSpectrum> flat;  ///< of the cuts; empty unless they are kept
  BandSpectra bands;
};

class BandGroups {
 public:
  BandGroups(const ExaminationDetail& detail, FftPlans& plans) : detail_{detail}, plans_{plans} {}
  /// Takes a hypothesis in. needs: none where only the whole band is looked at. Gives: its group.
  std::size_t add(const ShaftMotion& motion, const std::optional<BandNeeds>& needs);
  /// Demodulates what was taken in. The flattened spectra are as long as the recording: kept only
  /// for pictures.
  void demodulate(bool keep_flat);
  [[nodiscard]] const SharedBands& operator[](std::size_t group) const { return groups_[group]; }

 private:
  const ExaminationDetail& detail_;
  FftPlans& plans_;
  std::vector<SharedBands> groups_;
};

}  // namespace bearingdsp
