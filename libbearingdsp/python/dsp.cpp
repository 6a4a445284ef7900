#include "bearingdsp/condition/separate.hpp"
#include "bearingdsp/core/band.hpp"
#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/dsp/cepstrum.hpp"
#include "bearingdsp/dsp/filter.hpp"
#include "bearingdsp/dsp/integrate.hpp"
#include "bearingdsp/dsp/resample.hpp"
#include "bearingdsp/dsp/spectrum.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/dsp/window.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

/// A function of samples and plans that gives samples.
template <class F>
auto on_samples(F function) {
  return [function](const Samples& x, PlansArgument plans) {
    const auto in = view(x);
    const PlansArgument kept = or_fresh(std::move(plans));
    auto out = [&] {
      const py::gil_scoped_release released;
      return function(in, *kept);
    }();
    return owned(std::move(out));
  };
}

WindowShape window_shape(const std::string& kind, double kaiser_beta) {
  static const std::pair<const char*, WindowKind> kinds[] = {
      {"rectangular", WindowKind::rectangular}, {"hann", WindowKind::hann},
      {"hamming", WindowKind::hamming},         {"blackman", WindowKind::blackman},
      {"flat_top", WindowKind::flat_top},       {"kaiser", WindowKind::kaiser}};
  for (const auto& [word, value] : kinds)
    if (kind == word) return {value, kaiser_beta};
  throw Failure{{Errc::bad_argument, "window", "'" + kind + "' is no window",
                 "choose rectangular, hann, hamming, blackman, flat_top or kaiser"}};
}

/// The enumerator of a word, or an error that lists the words.
template <class E>
E chosen(const std::string& where, const std::string& word,
         std::initializer_list<std::pair<const char*, E>> known) {
  std::string list;
  for (const auto& [text, value] : known) {
    if (word == text) return value;
    list += (list.empty() ? "" : ", ") + std::string{text};
  }
  throw Failure{
      {Errc::bad_argument, where, "'" + word + "' is not one of them", "choose one of: " + list}};
}

SegmentTrend trend_of(const std::string& word) {
  return chosen<SegmentTrend>("trend", word,
                              {{"keep", SegmentTrend::keep},
                               {"remove_mean", SegmentTrend::remove_mean},
                               {"remove_line", SegmentTrend::remove_line}});
}

void add_spectra(py::module_& m) {
  value_type<Spectrum>(m, "Spectrum",
                       "One-sided spectrum that says what its numbers are: y[k] is at k * "
                       "line_spacing_hz.")
      .def_property_readonly("y", array_of(&Spectrum::y), "float64 [lines]; read-only, shared.")
      .def_property_readonly(
          "frequency_hz",
          [](const Spectrum& s) {
            std::vector<double> f(s.y.size());
            for (std::size_t k = 0; k < f.size(); ++k) f[k] = s.frequency(k).value();
            return owned(std::move(f));
          },
          "float64 [lines], Hz.")
      .def_property_readonly("line_spacing_hz", number(&Spectrum::line_spacing),
                             "Distance of two lines, Hz.")
      .def_property_readonly(
          "scaling",
          [](const Spectrum& s) {
            return s.scaling == Scaling::amplitude ? "amplitude"
                   : s.scaling == Scaling::power   ? "power"
                                                   : "density";
          },
          "\"amplitude\" (U), \"power\" (U^2, mean square of a line) or \"density\" (U^2/Hz).")
      .def_readonly("enbw_bins", &Spectrum::enbw_bins, "Noise bandwidth of the window, in lines.")
      .def_readonly("averages", &Spectrum::averages, "Segments that were averaged.");
  m.def(
      "welch",
      [](const Samples& x, double rate_hz, std::size_t segment, double overlap,
         const std::string& window, double beta, const std::string& trend,
         const std::string& scaling, PlansArgument plans) {
        WelchOptions options;
        options.segment = segment;
        options.overlap = overlap;
        options.window = window_shape(window, beta);
        options.trend = trend_of(trend);
        options.scaling = chosen<Scaling>("scaling", scaling,
                                          {{"density", Scaling::density},
                                           {"power", Scaling::power},
                                           {"amplitude", Scaling::amplitude}});
        const auto in = view(x);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return take(welch(in, Hz{rate_hz}, *kept, options));
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("segment") = 4096,
      py::arg("overlap") = 0.5, py::arg("window") = "hann", py::arg("kaiser_beta") = 8.6,
      py::arg("trend") = "remove_mean", py::arg("scaling") = "density",
      py::arg("plans") = py::none(),
      "Averaged modified periodograms (Welch 1967). x [n], n >= segment -> [segment/2 + 1].\n"
      "Raises TooShort, BadArgument.");
  m.def(
      "amplitude_spectrum",
      [](const Samples& x, double rate_hz, const std::string& window, double beta,
         const std::string& detector, const std::string& trend, PlansArgument plans) {
        AmplitudeOptions options;
        options.window = window_shape(window, beta);
        options.trend = trend_of(trend);
        options.detector = chosen<Detector>("detector", detector,
                                            {{"rms", Detector::rms},
                                             {"peak", Detector::peak},
                                             {"peak_to_peak", Detector::peak_to_peak}});
        const auto in = view(x);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return take(amplitude_spectrum(in, Hz{rate_hz}, *kept, options));
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("window") = "hann",
      py::arg("kaiser_beta") = 8.6, py::arg("detector") = "rms", py::arg("trend") = "remove_mean",
      py::arg("plans") = py::none(),
      "Line amplitudes of the whole recording: a sine of amplitude A on a line reads A (peak),\n"
      "A/sqrt(2) (rms) or 2A (peak_to_peak). x [n] -> [n/2 + 1].");
  m.def(
      "band_rms",
      [](const Spectrum& s, double low, double high) {
        return take(band_rms(s, Hz{low}, Hz{high}));
      },
      py::arg("spectrum"), py::arg("low_hz"), py::arg("high_hz"),
      "Rms of the part of the signal between two frequencies, both included.");
  m.def(
      "make_window",
      [](std::size_t n, const std::string& kind, double beta, bool periodic) {
        return owned(make_window(n, window_shape(kind, beta),
                                 periodic ? WindowSymmetry::periodic : WindowSymmetry::symmetric));
      },
      py::arg("n"), py::arg("kind") = "hann", py::kw_only(), py::arg("kaiser_beta") = 8.6,
      py::arg("periodic") = true, "Taper [n]; periodic for spectra, symmetric for filters.");
}

void add_transforms(py::module_& m) {
  m.def("analytic_signal", on_samples([](auto x, FftPlans& p) { return analytic_signal(x, p); }),
        py::arg("x"), py::arg("plans") = py::none(),
        "x + i H{x} by the one-sided spectrum. x [n] -> complex [n].");
  m.def("envelope", on_samples([](auto x, FftPlans& p) { return envelope(x, p); }), py::arg("x"),
        py::arg("plans") = py::none(), "Magnitude of the analytic signal. x [n] -> [n], U.");
  m.def("real_cepstrum", on_samples([](auto x, FftPlans& p) { return real_cepstrum(x, p); }),
        py::arg("x"), py::arg("plans") = py::none(),
        "IDFT(ln |X|), quefrency i / rate (Bogert 1963). Lines weaker than 1e-12 of the strongest\n"
        "count as that strong. x [n] -> [n].");
  m.def("cepstral_prewhiten",
        on_samples([](auto x, FftPlans& p) { return cepstral_prewhiten(x, p); }), py::arg("x"),
        py::arg("plans") = py::none(),
        "Every line divided by its magnitude, unit mean square (Borghesani 2013). x [n] -> [n].");
  m.def(
      "whiten",
      [](const Samples& x, std::size_t half, PlansArgument plans) {
        return on_samples([half](auto in, FftPlans& p) { return whiten(in, p, {half}); })(
            x, std::move(plans));
      },
      py::arg("x"), py::kw_only(), py::arg("half") = 200, py::arg("plans") = py::none(),
      "Flattened by the local noise floor (running median over half lines each side).");
  m.def(
      "resample",
      [](const Samples& x, double ratio) {
        const auto in = view(x);
        auto out = [&] {
          const py::gil_scoped_release released;
          return resample(in, ratio);
        }();
        return owned(std::move(out));
      },
      py::arg("x"), py::arg("ratio"),
      "Band-limited change of rate by new rate / old rate. x [n] -> [floor((n - 1) ratio) + 1].");
  m.def(
      "filter_band",
      [](const Samples& x, double rate, double low, double high, double slope,
         PlansArgument plans) {
        return on_samples([&](auto in, FftPlans& p) {
          return take(filter_band(in, Hz{rate}, {Hz{low}, Hz{high}, Hz{slope}}, p));
        })(x, std::move(plans));
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("low_hz") = 0.0,
      py::arg("high_hz") = 0.0, py::arg("slope_hz") = 0.0, py::arg("plans") = py::none(),
      "Zero-phase band filter with half-cosine slopes; a corner of 0 is none. x [n] -> [n].");
  m.def(
      "integrate",
      [](const Samples& x, double rate, double low, double high, PlansArgument plans) {
        return on_samples([&](auto in, FftPlans& p) {
          return take(integrate(in, Hz{rate}, p, {Hz{low}, Hz{high}}));
        })(x, std::move(plans));
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("low_hz") = 10.0,
      py::arg("high_hz") = 1000.0, py::arg("plans") = py::none(),
      "Running integral limited to a band: acceleration to velocity. x [n] in U -> [n] in U s.");
  m.def(
      "velocity_rms",
      [](const Samples& x, double rate, SampleUnit unit, double low, double high,
         PlansArgument plans) {
        const auto in = view(x);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return take(velocity_rms(in, Hz{rate}, unit, *kept, {Hz{low}, Hz{high}}));
      },
      py::arg("x"), py::arg("rate_hz"), py::arg("unit"), py::kw_only(), py::arg("low_hz") = 10.0,
      py::arg("high_hz") = 1000.0, py::arg("plans") = py::none(),
      "Rms velocity in the band, m/s, from acceleration, velocity or displacement.");
}

void add_separation(py::module_& m) {
  m.def(
      "separate_deterministic",
      [](const Samples& x, double rate, std::size_t block, std::size_t delay, PlansArgument plans) {
        const auto in = view(x);
        const PlansArgument kept = or_fresh(std::move(plans));
        Separated parts = [&] {
          const py::gil_scoped_release released;
          return take(separate_deterministic(in, Hz{rate}, *kept, {block, delay}));
        }();
        return py::make_tuple(owned(std::move(parts.deterministic)),
                              owned(std::move(parts.random)));
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("block") = 0, py::arg("delay") = 0,
      py::arg("plans") = py::none(),
      "(deterministic, random) parts by the coherence of the recording with its delayed copy\n"
      "(Antoni & Randall 2004); their sum is x. 0: chosen by the length.");
  m.def(
      "separate_adaptive",
      [](const Samples& x, std::size_t taps, std::size_t delay, double step, int passes) {
        const auto in = view(x);
        Separated parts = [&] {
          const py::gil_scoped_release released;
          return take(separate_adaptive(in, {taps, delay, step, passes}));
        }();
        return py::make_tuple(owned(std::move(parts.deterministic)),
                              owned(std::move(parts.random)));
      },
      py::arg("x"), py::kw_only(), py::arg("taps") = 256, py::arg("delay") = 256,
      py::arg("step") = 0.005, py::arg("passes") = 2,
      "(deterministic, random) parts by a predictor that adapts to the recording (Widrow 1975) "
      "and\n"
      "follows lines that drift; their sum is x. delay: samples ahead, longer than the random\n"
      "part is correlated. step: normalised, below 2; smaller is finer and slower.");
  m.def(
      "remove_harmonics",
      [](const Samples& x, double rate, double fundamental, int harmonics, PlansArgument plans) {
        return on_samples([&](auto in, FftPlans& p) {
          HarmonicOptions options;
          options.harmonics = harmonics;
          return take(remove_harmonics(in, Hz{rate}, Hz{fundamental}, p, options));
        })(x, std::move(plans));
      },
      py::arg("x"), py::arg("rate_hz"), py::arg("fundamental_hz"), py::kw_only(),
      py::arg("harmonics") = 0, py::arg("plans") = py::none(),
      "The recording without the multiples of a frequency; 0: all below half the rate.");
  m.def(
      "synchronous_average",
      [](const Samples& x, std::size_t period) {
        return owned(synchronous_average(view(x), period));
      },
      py::arg("x"), py::arg("period"),
      "Mean over whole periods of so many samples (Braun 1975). x [n] -> [period].");
}

void add_statistics(py::module_& m) {
  value_type<Moments>(m, "Moments",
                      "First four population moments; kurtosis is 3 for Gaussian noise.")
      .def_readonly("mean", &Moments::mean, "Mean, unit of the samples.")
      .def_readonly("variance", &Moments::variance,
                    "Population variance (divided by n), unit squared.")
      .def_readonly("skewness", &Moments::skewness, "Third standardised moment.")
      .def_readonly("kurtosis", &Moments::kurtosis,
                    "Fourth standardised moment, 3 for Gaussian noise.");
  m.def(
      "moments", [](const Samples& x) { return moments(view(x)); }, py::arg("x"),
      "Moments of an array, n >= 1.");
  m.def(
      "kurtosis", [](const Samples& x) { return kurtosis(view(x)); }, py::arg("x"),
      "Fourth standardised moment, 3 for Gaussian noise; 0 for a constant.");
  m.def(
      "crest_factor", [](const Samples& x) { return crest_factor(view(x)); }, py::arg("x"),
      "Peak over rms, both as they stand.");
}

/// Two numbers, or a pair of them.
Band band_argument(const py::object& low, std::optional<double> high) {
  std::pair<double, double> ends;
  try {
    ends =
        high ? std::pair{py::cast<double>(low), *high} : py::cast<std::pair<double, double>>(low);
  } catch (const py::cast_error&) {
    throw py::type_error("a band is " + kind_of(low) + "; give two numbers, Hz");
  }
  if (!(ends.first >= 0 && ends.first < ends.second))
    throw Failure{{Errc::bad_argument, "band", "the lower end is not below the upper",
                   "give (low, high) in Hz"}};
  return Band{Hz{ends.first}, Hz{ends.second}};
}

}  // namespace

void add_dsp(py::module_& m) {
  value_type<Band>(m, "Band", "A frequency band.")
      .def(py::init(&band_argument), py::arg("low_hz"), py::arg("high_hz") = py::none(),
           "Both ends, Hz; or one pair of them.")
      .def_property_readonly("low_hz", number(&Band::low), "Lower end, Hz.")
      .def_property_readonly("high_hz", number(&Band::high), "Upper end, Hz.")
      .def("__iter__",
           [](const Band& b) { return py::iter(py::make_tuple(b.low.value(), b.high.value())); })
      .def("__repr__", [](const Band& b) {
        return py::str("Band({:g}, {:g})").format(b.low.value(), b.high.value());
      });
  py::implicitly_convertible<py::tuple, Band>();
  add_spectra(m);
  add_transforms(m);
  add_separation(m);
  add_statistics(m);
}

}  // namespace bearingdsp::python
