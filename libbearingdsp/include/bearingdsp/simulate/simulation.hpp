#pragma once
/// Simulated recordings with a known truth: what a defect, a fault of the shaft or a healthy
/// bearing would look like.
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// A structural resonance that impacts excite. Those at or above half the rate are lost to the
/// recorder's anti-aliasing filter.
struct Resonance {
  Hz frequency{3000};
  double damping{0.04};  ///< fraction of critical, in (0, 1)
  double gain{1};
};

/// A defect on one part. severity is the peak acceleration of one impact at the sensor, m/s^2.
struct SimulatedDefect {
  Part part{Part::outer_ring};
  double severity{10};
  double growth{0};  ///< severity changes linearly by this fraction over the recording, >= -1
  double slip{
      0.01};  ///< standard deviation of the random part of the interval between impacts, fraction
  double load_zone{1};  ///< 0: uniform load; 1: impacts vanish outside the load zone (inner ring at
                        ///< 1x, element at FTF; an outer-ring defect stands still in its load)
  double cage_modulation{0};    ///< depth of an extra modulation at the cage order, 0..1
  double amplitude_scatter{0};  ///< standard deviation of the strength of single impacts, fraction
  /// 0: sharp edge, impacts only; 1: worn or spalled smooth, only random noise that swells at each
  /// passage (purely cyclostationary, no deterministic part); between: both, amplitudes shared.
  double roughness{0};
  double spall_length{0.3};  ///< part of the interval over which the noise of a rough defect swells
  /// Orders of the bearing that carries this defect where it is not the plan's: the other end.
  std::optional<DefectOrders> orders{};
};

struct SimulationPlan {
  std::uint64_t seed{1};
  Hz rate{25600};
  Seconds duration{4};
  Rpm speed{1480};                       ///< at the start of the recording
  double speed_drift{0};                 ///< linear change over the recording, fraction
  double speed_wander{0};                ///< standard deviation of a slow random wander, fraction
  Seconds wander_time{0.5};              ///< correlation time of the wander
  std::optional<DefectOrders> orders{};  ///< needed if there is a defect or variable compliance
  std::vector<SimulatedDefect> defects{};
  std::vector<Resonance> resonances{{Hz{3200}, 0.04, 1.0}, {Hz{7100}, 0.03, 0.6}};
  /// The cage lags by this fraction: BPFO and FTF stand below, BPFI above the kinematic value
  /// (with_slip() in bearing/geometry.hpp).
  double mean_slip{0};
  double variable_compliance{
      0};             ///< BPFO line of a sound loaded bearing in the raw vibration, m/s^2 amplitude
  double noise{1.0};  ///< rms of broadband noise, m/s^2
  double noise_colour{0};    ///< 0 white; 1 falls with 10 dB/decade, flat below 1 Hz
  double resonant_noise{0};  ///< rms of random noise that excites the resonances, m/s^2
  std::vector<double> shaft_harmonics{};  ///< amplitude of 1x, 2x ... in m/s^2
  std::vector<double> shaft_phases{};  ///< phase of 1x, 2x ... in degrees; random where not given
  double shaft_modulation{
      0};  ///< depth by which both noises are modulated once per revolution (healthy machine), 0..1
  std::vector<std::pair<Order, double>> gear_lines{};  ///< order and amplitude, with 1x sidebands
  double gear_modulation{0.3};  ///< depth of the amplitude modulation at 1x of the gear lines
  std::vector<std::pair<Hz, double>> fixed_lines{};  ///< lines that do not follow the speed
  Hz mains{50};
  double mains_hum{
      0};  ///< amplitude at mains frequency, m/s^2; half at twice, a quarter at 3 times
  double electrical_impulses{0};  ///< peak of short impulses at twice the mains frequency, m/s^2
  double shocks_per_second{0};    ///< random knocks from outside (Poisson)
  double shock_peak{0};           ///< peak of the strongest, m/s^2; each is half of it or more
  double range{0};                ///< sensor range in m/s^2 (clips); 0: unlimited
  int bits{0};                    ///< quantisation over the range (2..32); 0: none
  int tacho_pulses{0};  ///< > 0: a second channel "tacho" with this many pulses per revolution
};

/// What is known to be true of a simulated recording.
struct SimulationTruth {
  std::vector<Part> damaged;
  double mean_shaft_rate_hz{0};
  double start_shaft_rate_hz{0};
  double end_shaft_rate_hz{0};
  std::optional<DefectOrders> orders{};  ///< of the plan's bearing, mean slip included
  /// Mean square of the defects' part over that of everything else, dB, before clipping; minus
  /// infinity without a defect, plus infinity without anything else.
  double defect_to_noise_db{0};
  double defect_rms{0};  ///< m/s^2
  double other_rms{0};   ///< m/s^2
  /// Instants of the impacts or passages of each defect, s.
  std::vector<std::vector<double>> impact_times;
  std::size_t clipped_samples{0};
  SimulationPlan plan;
};

struct Simulation {
  Capture capture;  ///< channel 0 "acceleration", m/s^2; channel 1 "tacho" if asked for
  SimulationTruth truth;
};

/// Makes a capture. Deterministic: the same plan gives the same samples on every platform with IEEE
/// doubles and the same mathematical functions (own generator and distributions, none of the
/// implementation-defined ones of C++); each cause has its own random stream, so adding a
/// defect leaves the noise as it was.
/// Errors: bad_argument naming the field that is out of range.
/// Source: impact-train model with random slip [antoni2003], extended faults as modulated noise
///         [antoni2003] section 4, load zone and modulations [randall2011] section 2
[[nodiscard]] Result<Simulation> simulate(const SimulationPlan& plan);

}  // namespace bearingdsp
