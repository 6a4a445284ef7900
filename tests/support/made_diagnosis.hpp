#pragma once
/// A diagnosis with every field filled by hand, for tests of how it is shown. Its numbers are made
/// up and chosen to be distinguished in the output.
#include <cmath>
#include <limits>
#include <vector>

#include "bearingdsp/verdict/diagnosis.hpp"

namespace test {

inline bearingdsp::DefectOrders made_orders() {
  using namespace bearingdsp;
  DefectOrders o;
  o.bpfo = Order{3.5848};
  o.bpfi = Order{5.4152};
  o.bsf = Order{2.35675};
  o.ftf = Order{0.39831};
  o.rolling_elements = 9;
  o.origin = OrdersOrigin::catalogue;
  o.source = "a made catalogue row";
  return o;
}

inline bearingdsp::Diagnosis made_diagnosis() {
  using namespace bearingdsp;
  Diagnosis d;
  d.source = "fan <1> & \"two\".wav";
  d.channels = {"radial"};
  d.duration = Seconds{4};
  d.rate = Hz{25600};
  d.speed.method = SpeedMethod::given_refined;
  d.speed.rate = Hz{24.75};
  d.speed.relative_uncertainty = 2e-4;
  d.speed.confidence = 0.97;
  d.speed.why = "seven shaft harmonics agree";
  d.orders = made_orders();
  d.findings.push_back({FindingKind::mains_hum, Weight::note, "radial", "hum of 0.1 m/s2 at 50 Hz",
                        "lines near 50 Hz are not counted", "ground the shield"});
  d.findings.push_back({FindingKind::clipped, Weight::caution, "radial", "12 samples at the limit",
                        "peaks are too low", "use a sensor with a wider range"});
  d.figures.push_back(
      {{0, 6.5, 61.25, 9.423, 8.75, 0}, "radial", SampleUnit::acceleration, 0.00231, 3.125});
  d.bands.push_back({{Hz{2500}, Hz{5000}}, "radial", 4.5, 1.75, 12.5});
  FamilyEvidence outer;
  outer.part = Part::outer_ring;
  outer.expected = Order{3.5848};
  outer.fitted = Order{3.5611};
  outer.slip = -0.0066;
  for (int h = 1; h <= 3; ++h)
    outer.lines.push_back({h, 0, Order{3.5611 * h}, 0.31 / h, 22.5 - h, true, false});
  outer.lines.push_back({1, 1, Order{4.5611}, 0.04, 6.5, true, false});
  outer.harmonics_detected = 3;
  outer.sidebands_detected = 1;
  outer.depth = 0.34;
  outer.log10_false_alarm = -14.5;
  outer.band = {Hz{2500}, Hz{5000}};
  outer.channel = "radial";
  FamilyEvidence inner;
  inner.part = Part::inner_ring;
  inner.expected = inner.fitted = Order{5.4152};
  inner.log10_false_alarm = -0.1;
  inner.channel = "radial";
  d.families = {outer, inner};
  d.unknown_order = Order{7.25};
  d.other_causes.push_back({OtherCause::unbalance, 0.62, "1x carries most of the velocity"});
  d.verdict = Verdict::fault;
  d.place = Place::outer_ring;
  d.probability_of_damage = 0.97;
  d.probability_of_part = {0.95, 0.02, 0.01, 0.005};
  d.probability_of_place = 0.95;
  d.headline = "The outer ring of the bearing is damaged.";
  d.reasons = {"Three harmonics of the outer ring are detected."};
  d.advice = {"Plan a bearing change within weeks.", "Record again in a week with the same load."};
  d.trail.push_back({"detrend", "mean"});
  Curve ses{"Squared envelope spectrum", "radial", "orders", "1", {}, {}};
  for (int i = 0; i <= 4000; ++i) {
    const double x = 0.01 * i;
    ses.x.push_back(x);
    double y = 0.01;
    for (int h = 1; h <= 3; ++h)
      if (std::abs(x - 3.5611 * h) < 0.006) y = 0.31 / h;
    ses.y.push_back(y);
  }
  Curve wave{"Waveform", "radial", "s", "m/s2", {}, {}};
  for (int i = 0; i < 20000; ++i) {
    wave.x.push_back(i / 25600.0);
    wave.y.push_back(i == 12345 ? 61.25 : std::sin(0.1 * i));
  }
  d.curves = {wave, ses};
  return d;
}

/// The same with a tree of bands and a coherence map: 12.5 kHz whole, halves and the one between.
inline bearingdsp::Diagnosis made_diagnosis_with_maps() {
  using namespace bearingdsp;
  Diagnosis d = made_diagnosis();
  d.bands_tried = {{{Hz{6}, Hz{12506}}, Part::outer_ring, 0.4, 0.5, false},
                   {{Hz{6}, Hz{6256}}, Part::inner_ring, 0.1, 0.25, false},
                   {{Hz{6250}, Hz{12500}}, Part::outer_ring, 0.9, 4.5, true},
                   {{Hz{3125}, Hz{9375}}, Part::outer_ring, 0, 0.1, false}};
  CoherenceMap c;
  c.step = Hz{2.475};  // 0.1 orders
  c.bands = {{Hz{0}, Hz{6250}}, {Hz{6250}, Hz{12500}}};
  c.magnitude.assign(2, std::vector<double>(200, 0.004));
  c.magnitude[1][35] = 0.45;
  c.by_chance = 0.0123;
  d.coherence = c;
  return d;
}

}  // namespace test
