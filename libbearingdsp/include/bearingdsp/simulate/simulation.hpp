#pragma once
/// Made captures with a known truth: what a defect, a fault of the shaft or a healthy bearing would
/// look like.
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// A structural resonance that impacts excite.
struct Resonance {
  Hz frequency{3000};
  double damping{0.04};  ///< fraction of critical, > 0
  double gain{1};
};

/// A defect on one part. severity is the peak acceleration of one impact at the sensor, m/s^2.
struct SimulatedDefect {
  Part part{Part::outer_ring};
  double severity{10};
  double growth{0};  ///< severity changes linearly by this fraction over the record
  double slip{
      0.01};  ///< standard deviation of the random part of the interval between impacts, fraction
  double load_zone{
      1};  ///< 0: uniform load; 1: impacts vanish outside the load zone (inner ring, element)
  double cage_modulation{0};  ///< depth of an extra modulation at the cage order
};

struct SimulationPlan {
  std::uint64_t seed{1};
  Hz rate{25600};
  Seconds duration{4};
  Rpm speed{1480};
  double speed_drift{0};               ///< linear change over the record, fraction
  double speed_wander{0};              ///< standard deviation of a slow random wander, fraction
  std::optional<DefectOrders> orders;  ///< needed if there is a defect or variable compliance
  std::vector<SimulatedDefect> defects;
  std::vector<Resonance> resonances{{Hz{3200}, 0.04, 1.0}, {Hz{7100}, 0.03, 0.6}};
  double mean_slip{0};  ///< defect orders are this fraction below kinematic
  double variable_compliance{
      0};             ///< BPFO line of a sound loaded bearing in the raw vibration, m/s^2 amplitude
  double noise{1.0};  ///< rms of broadband noise, m/s^2
  double noise_colour{0};                 ///< 0 white; 1 falls with 10 dB/decade
  std::vector<double> shaft_harmonics{};  ///< amplitude of 1x, 2x ... in m/s^2
  double shaft_modulation{
      0};  ///< depth by which the noise is modulated once per revolution (sound machine)
  std::vector<std::pair<Order, double>> gear_lines{};  ///< order and amplitude, with 1x sidebands
  Hz mains{50};
  double mains_hum{0};            ///< amplitude at mains frequency and 2, 3 times, m/s^2
  double electrical_impulses{0};  ///< peak of short impulses at twice the mains frequency, m/s^2
  double shocks_per_second{0};    ///< random knocks from outside (Poisson)
  double shock_peak{0};           ///< their peak, m/s^2
  double range{0};                ///< sensor range in m/s^2 (clips); 0: unlimited
  int bits{0};                    ///< quantisation over the range; 0: none
};

/// What is known to be true of a made capture.
struct SimulationTruth {
  std::vector<Part> damaged;
  double mean_shaft_rate_hz{0};
  double defect_to_noise_db{
      0};  ///< mean square of the defect's part over that of everything else, dB
  SimulationPlan plan;
};

struct Simulation {
  Capture capture;  ///< one channel "acceleration", m/s^2
  SimulationTruth truth;
};

/// Makes a capture. Deterministic: the same plan gives the same samples on every platform with IEEE
/// doubles (own generator and distributions, none of the implementation-defined ones of <random>).
/// Errors: bad_argument naming the field that is out of range.
/// Source: impact-train model with random slip [antoni2003], [randall2011] section 2.
[[nodiscard]] Result<Simulation> simulate(const SimulationPlan& plan);

}  // namespace bearingdsp
