#pragma once
/// The parts' evidence in one band again and again, each time with a few other lines.
#include <array>
#include <utility>
#include <vector>

#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "evidence/smoothed.hpp"

namespace bearingdsp {

/// Of a whole band, as bearing_evidence() with nothing spared. All references have to live as long.
class RepeatedEvidence {
 public:
  RepeatedEvidence(const EnvelopeSpectrum& whole, Hz shaft, const DefectOrders& orders,
                   double tolerance, const std::vector<Hz>& mains, const ModelParameters& model)
      : whole_{whole},
        shaft_{shaft},
        orders_{orders},
        tolerance_{tolerance},
        mains_{mains},
        model_{model},
        spectrum_{whole},
        known_{whole} {}
  /// With other values of depth2 in those bins. Gives: the parts; the spectra are left out.
  [[nodiscard]] BearingEvidence with(const std::vector<std::pair<std::size_t, double>>& bins);

 private:
  const EnvelopeSpectrum& whole_;
  Hz shaft_;
  const DefectOrders& orders_;
  double tolerance_;
  const std::vector<Hz>& mains_;
  const ModelParameters& model_;
  EnvelopeSpectrum spectrum_;
  KnownHarmonics known_;
};

}  // namespace bearingdsp
