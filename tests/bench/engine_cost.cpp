// What each step costs, as a ratio to something that everyone can run: one forward real transform
// of the same recording by FFTW. The median ratio of a row and its quartiles are printed.
// Results: docs/validation/cost.md
//
// usage: engine_cost [REPETITIONS]
#include <fftw3.h>
#include <fmt/core.h>

#include <algorithm>
#include <complex>
#include <cstdio>
#include <memory>
#include <span>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/dsp/spectrum.hpp"
#include "bearingdsp/evidence/bearing_evidence.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/spectra/cyclic_coherence.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/examination.hpp"
#include "ratio.hpp"

using namespace bearingdsp;
using bench::row;

namespace {

/// A bare transform: planned as the library plans, on FFTW's own memory.
class BareTransform {
 public:
  explicit BareTransform(std::span<const double> x)
      : in_{fftw_alloc_real(x.size()), fftw_free},
        out_{fftw_alloc_complex(x.size() / 2 + 1), fftw_free},
        plan_{fftw_plan_dft_r2c_1d(static_cast<int>(x.size()), in_.get(), out_.get(),
                                   FFTW_ESTIMATE)} {
    std::copy(x.begin(), x.end(), in_.get());
  }
  ~BareTransform() { fftw_destroy_plan(plan_); }
  BareTransform(const BareTransform&) = delete;
  BareTransform& operator=(const BareTransform&) = delete;
  void operator()() const { fftw_execute(plan_); }

 private:
  std::unique_ptr<double, void (*)(void*)> in_;
  std::unique_ptr<fftw_complex, void (*)(void*)> out_;
  fftw_plan plan_;
};

SimulationPlan plan_of(double seconds_long, double severity) {
  BearingGeometry g;  // a 6205
  g.rolling_elements = 9;
  g.pitch_diameter = 39.04;
  g.element_diameter = 7.94;
  SimulationPlan p;
  p.orders = defect_orders(g).value();
  p.rate = Hz{51200};
  p.duration = Seconds{seconds_long};
  p.speed = Rpm{1483};
  p.shaft_harmonics = {1.0, 0.5, 0.2};
  if (severity > 0) {
    SimulatedDefect d;
    d.severity = severity;
    p.defects = {d};
  }
  return p;
}

/// A 6205 and inside geometries that differ a little: what a designation stands for.
std::vector<BearingCandidate> variants(std::size_t count) {
  std::vector<BearingCandidate> out;
  for (std::size_t i = 0; i < count; ++i) {
    BearingGeometry g;
    g.rolling_elements = i % 2 == 0 ? 9 : 8;
    g.pitch_diameter = 39.04;
    g.element_diameter = 7.94 + 0.2 * static_cast<double>(i);
    out.emplace_back(defect_orders(g).value());
  }
  return out;
}

/// What more hypotheses cost: over the diagnosis with one.
void hypotheses(int repetitions, const Capture& damaged, DiagnoseOptions options, FftPlans& plans) {
  const auto one = [&, options] { (void)diagnose(damaged, plans, options); };
  fmt::print("\nOne diagnosis of 10 s at 51.2 kHz = 1\n");
  DiagnoseOptions four = options;
  four.bearings = variants(4);
  row("four variants of the bearing", repetitions, one,
      [&] { (void)diagnose(damaged, plans, four); });
  const std::shared_ptr<const Capture> borrowed{std::shared_ptr<void>{}, &damaged};
  row("the bearing at the other end as well", repetitions, one, [&] {
    const auto examination = examine(borrowed, plans, options).value();
    (void)judge_positions(examination, plans, {options.bearings, {variants(2).back()}});
  });
}

void library(int repetitions) {
  FftPlans plans;
  const auto long_record = simulate(plan_of(20.48, 0)).value().capture;  // 2^20 samples
  const SignalView view = long_record.view(0);
  const BareTransform transform{view.x};
  const auto bare = [&] { transform(); };
  fmt::print("\nOne transform of 2^20 samples = 1{:>47} {:>18}\n", "median", "quartiles");
  const auto fft = plans.real(view.x.size());
  std::vector<std::complex<double>> spectrum(fft->bins());
  row("forward transform", repetitions, bare, [&] { fft->forward(view.x, spectrum); });
  row("averaged spectrum (Welch)", repetitions, bare,
      [&] { (void)welch(view.x, view.rate, plans); });
  fft->forward(view.x, spectrum);
  const std::size_t n = view.x.size();
  row("squared envelope of 2-4 kHz, out of the spectrum", repetitions, bare, [&] {
    (void)squared_envelope(spectrum, n, static_cast<std::size_t>(2000 * 20.48),
                           static_cast<std::size_t>(4000 * 20.48), plans);
  });
  row("the same with the forward transform", repetitions, bare, [&] {
    fft->forward(view.x, spectrum);
    (void)squared_envelope(spectrum, n, static_cast<std::size_t>(2000 * 20.48),
                           static_cast<std::size_t>(4000 * 20.48), plans);
  });

  const auto sound = simulate(plan_of(10, 0)).value().capture;
  const auto damaged = simulate(plan_of(10, 5)).value().capture;
  const SignalView ten = sound.view(0);
  const BareTransform transform10{ten.x};
  const auto bare10 = [&] { transform10(); };
  const DefectOrders orders = plan_of(10, 0).orders.value();
  const Hz shaft = shaft_rate(Rpm{1483});
  fmt::print("\nOne transform of 10 s at 51.2 kHz = 1\n");
  std::vector<RecordSpectrum> flat;
  row("flattened spectrum", repetitions, bare10,
      [&] { flat = {flattened(record_spectrum(ten, plans), Hz{75})}; });
  BandSpectra bands;
  row("envelope spectra of all bands", repetitions, bare10,
      [&] { bands = band_spectra(flat, shaft, orders, plans); });
  row("families of four parts in all bands", repetitions, bare10, [&] {
    (void)bearing_evidence(bands, shaft, orders, 0.02, {{Hz{50}, Hz{60}}, {}});
  });
  row("cyclic coherence up to 500 Hz", repetitions, bare10,
      [&] { (void)cyclic_coherence(flat, Hz{500}, plans); });
  DiagnoseOptions options;
  options.bearings = {orders};
  options.speed = Rpm{1483};
  options.keep_curves = CurvesKept::none;
  row("whole diagnosis, sound, plans kept", repetitions, bare10,
      [&] { (void)diagnose(sound, plans, options); });
  row("whole diagnosis, damaged, plans kept", repetitions, bare10,
      [&] { (void)diagnose(damaged, plans, options); });
  row("whole diagnosis, sound, plans made again", repetitions, bare10, [&] {
    FftPlans fresh;
    (void)diagnose(sound, fresh, options);
  });
  hypotheses(repetitions, damaged, options, plans);
}

}  // namespace

int main(int argc, char** argv) {
  const auto repetitions = bench::repetitions(argc, argv, 15);
  if (!repetitions) {
    fmt::print(stderr, "usage: engine_cost [REPETITIONS >= 1]\n");
    return 2;
  }
  library(*repetitions);
  return 0;
}
