#pragma once
/// The parts' evidence in one band again and again, each time with a few other lines.
#include <array>
#include <utility>
#include <vector>

#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "evidence/smoothed.hpp"

namespace bearingdsp {

/// A bearing that is looked for in a band.
struct Searched {
  Hz shaft;
  const DefectOrders& orders;
  double tolerance;
  const Basis& basis;
};

/// Of a whole band, as bearing_evidence() with nothing spared. All references have to live as long.
class RepeatedEvidence {
 public:
  RepeatedEvidence(const EnvelopeSpectrum& whole, const Searched& searched)
      : whole_{whole}, searched_{searched}, spectrum_{whole}, known_{whole} {}
  /// With other values of depth2 in those bins. Gives: the parts; the spectra are left out.
  [[nodiscard]] BearingEvidence with(const std::vector<std::pair<std::size_t, double>>& bins);

 private:
  const EnvelopeSpectrum& whole_;
  Searched searched_;
  EnvelopeSpectrum spectrum_;
  KnownHarmonics known_;
};

}  // namespace bearingdsp
