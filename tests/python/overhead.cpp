// The same without Python around it, timed by the thread's own processor clock: what
// test_overhead.py and tests/bench/against_scipy.py hold against, in one process and in turns.
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <complex>
#include <ctime>
#include <span>
#include <stdexcept>
#include <vector>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/dsp/analytic.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace py = pybind11;
using namespace bearingdsp;

namespace {

double thread_seconds() {
  timespec now{};
  if (clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now) != 0) throw std::runtime_error{"no clock"};
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace

PYBIND11_MODULE(python_overhead, m) {
  m.def(
      "diagnose_seconds",
      [](const py::array_t<double, py::array::c_style>& x, double rate_hz, double rpm) {
        Capture capture;
        capture.source = "memory";
        capture.rate = Hz{rate_hz};
        capture.channels.push_back(
            {"channel 1", SampleUnit::acceleration, {x.data(), x.data() + x.size()}, {}});
        const auto orders = variants(find_bearing("6205").value());
        DiagnoseOptions options;
        options.speed = Rpm{rpm};
        options.bearings = equal_candidates(orders);
        const py::gil_scoped_release released;
        const double start = thread_seconds();
        FftPlans plans;
        const auto diagnosis = diagnose(capture, plans, options);
        const double seconds = thread_seconds() - start;
        if (!diagnosis) throw std::runtime_error{diagnosis.error().message()};
        return seconds;
      },
      py::arg("x"), py::arg("rate_hz"), py::arg("rpm"));
  // Memory is asked for before the clock starts, as one does who works on many recordings.
  m.def(
      "squared_envelope_seconds",
      [](const py::array_t<double, py::array::c_style>& x, std::size_t first, std::size_t last) {
        static FftPlans plans;
        const std::span<const double> samples{x.data(), static_cast<std::size_t>(x.size())};
        const auto fft = plans.real(samples.size());
        std::vector<std::complex<double>> spectrum(fft->bins());
        const py::gil_scoped_release released;
        const double start = thread_seconds();
        fft->forward(samples, spectrum);
        const auto e = squared_envelope(spectrum, samples.size(), first, last, plans);
        const double seconds = thread_seconds() - start;
        if (e.empty()) throw std::runtime_error{"no envelope"};
        return seconds;
      },
      py::arg("x"), py::arg("first"), py::arg("last"));
}
