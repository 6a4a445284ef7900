#pragma once
/// All the evidence for and against each part of a bearing, pooled over the axes of one measuring
/// point.
///
/// The record's spectrum is flattened first, so that every frequency weighs alike; then the bands
/// of a tree are demodulated. An impact excites a wide range: its family is deep in a large share
/// of the frequencies. Structure of a healthy machine (shaft harmonics modulating a narrow
/// resonance) is not. The strength of a family is therefore its depth times the root of the band's
/// share of the whole: for healthy bearings it is about the same at every level of the tree, so
/// that the best of many bands may be taken without a further price.
#include <array>
#include <span>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/core/basis.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/evidence/family_search.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"

namespace bearingdsp {

/// How one part stands in the band where it is strongest.
struct PartEvidence {
  Part part{Part::outer_ring};
  FamilyScore score;
  Band band;
  double band_kurtosis{0};  ///< spectral kurtosis of the flattened band, 0 for Gaussian noise
  double bands{1};          ///< how many bands were tried
  double share{1};          ///< of the whole frequency range, 0 .. 1
  double tolerance{SlipModel{}.reach};  ///< half-width of the search, as a fraction
  double shaft_depth{0};                ///< strength of the shaft's own harmonics in that band
  /// depth x dominance x sqrt(share), lowered where the shaft's own family is much stronger. 0:
  /// nothing is detected. Healthy bearings stay below about 0.2; see docs/theory/diagnosis.md for
  /// the measured distributions.
  double strength{0};
  /// The same of lines at the whole multiples of the shaft rate that this part's order cannot be
  /// separated from, for the turns are too few or slip may bring it there; 0 where it can, or where
  /// the other shaft harmonics are as strong. The shaft may make them as well.
  double unresolved{0};
  /// Sidebands at 1x that are detected beside its lines, not at whole orders: damage that turns
  /// with the shaft makes them. 0 where its own ones are at 1x.
  int turning{0};
  double turning_power{0};  ///< sum of their squared depths
  /// Mean power at odd multiples of half its order over that of its lines: the family is then every
  /// second line of a series at half its order. 0 where fewer than three of those are detected.
  double between{0};
};

struct BearingEvidence {
  std::array<PartEvidence, part_count> parts;  ///< by Part
  FamilyScore shaft;                           ///< shaft harmonics in the whole band
  EnvelopeSpectrum whole;                      ///< pooled over axes, whole band
  EnvelopeSpectrum strongest;                  ///< pooled over axes, band of the strongest part
  double kurtosis{0};                          ///< largest of the axes, flattened whole band
};

/// Envelope spectra of all bands of the tree, pooled over the axes of one measuring point. They do
/// not depend on the speed, so several speeds can be weighed on them.
struct BandSpectra {
  std::vector<EnvelopeSpectrum> spectra;  ///< widest first; that one reaches unknown_family_reach()
  std::vector<double> share;              ///< of the whole frequency range, 0 .. 1
};

/// What the bands of one bearing have to hold.
struct BandNeeds {
  Hz up_to;      ///< highest cyclic frequency that is searched
  Hz narrowest;  ///< narrowest band that holds three harmonics of the inner ring's family
};
/// Units: shaft in Hz, > 0.
/// Errors: none
[[nodiscard]] BandNeeds band_needs(Hz shaft, const DefectOrders& orders,
                                   const ModelParameters& model = {}) noexcept;

/// Demodulates every band of the tree that is wide enough for the bearing's families at the shaft's
/// rate.
/// Shape: axes: flattened spectra of equal length and rate, 1 or more.
/// Units: shaft in Hz, > 0.
/// Errors: std::invalid_argument if axes is empty or they differ in length or rate.
/// Sources: envelope of the flattened record [borghesani2013], [smith2015]; band tree [antoni2007]
[[nodiscard]] BandSpectra band_spectra(std::span<const RecordSpectrum> axes, Hz shaft,
                                       const DefectOrders& orders, FftPlans& plans,
                                       const ModelParameters& model = {});

/// The same for several bearings at once: needs that cover each of them.
[[nodiscard]] BandSpectra band_spectra(std::span<const RecordSpectrum> axes, Hz shaft,
                                       const BandNeeds& needs, FftPlans& plans,
                                       const ModelParameters& model = {});

/// Weighs every part in every band.
/// Units: shaft in Hz, > 0; tolerance is the half-width of the search round each order, as a
/// fraction, for slip and speed; each part's own uncertainty of `orders` comes on top. basis: impulses
/// of its mains are kept out.
/// Families whose strength cannot reach `least` may come out as 0, which saves most of the time.
/// Bands below `narrowest` are passed over: band_spectra() of several bearings has some that are
/// too narrow for this one.
/// Errors: std::invalid_argument for no band.
/// Source: pooling over axes and depth as the measure: docs/theory/diagnosis.md
[[nodiscard]] BearingEvidence bearing_evidence(const BandSpectra& bands, Hz shaft,
                                               const DefectOrders& orders, double tolerance,
                                               const Basis& basis, double least = 0,
                                               Hz narrowest = Hz{0});

/// The part that is strongest in one band.
struct BandStrength {
  Band band;
  Part part{Part::outer_ring};
  double strength{0};  ///< as PartEvidence::strength
  double kurtosis{0};  ///< as PartEvidence::band_kurtosis
};

/// The strongest part of every band, for a picture of how one was chosen: what bearing_evidence()
/// weighs, without sparing those that cannot win.
/// Shape: a row a band, in their order. Units and errors as there.
[[nodiscard]] std::vector<BandStrength> band_strengths(const BandSpectra& bands, Hz shaft,
                                                       const DefectOrders& orders, double tolerance,
                                                       const Basis& basis);

/// Name-ready view of one part's evidence.
[[nodiscard]] FamilyEvidence to_family(const PartEvidence& evidence, const DefectOrders& orders);

}  // namespace bearingdsp
