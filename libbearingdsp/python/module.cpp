#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/unit.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

void raise(const Error& error) {
  const py::object make = py::module_::import("bearingdsp.errors").attr("from_parts");
  const py::object exception =
      make(std::string{token(error.code)}, error.where, error.what, error.advice, error.message());
  PyErr_SetObject(py::type::handle_of(exception).ptr(), exception.ptr());
}

}  // namespace

void add_core(py::module_& m) {
  py::register_exception_translator([](std::exception_ptr thrown) {
    try {
      if (thrown) std::rethrow_exception(thrown);
    } catch (const Failure& failure) {
      raise(failure.error());
    }
  });
  py::enum_<SampleUnit>(m, "SampleUnit", "Unit of the samples of one channel, SI.")
      .value("acceleration", SampleUnit::acceleration, "m/s2")
      .value("velocity", SampleUnit::velocity, "m/s")
      .value("displacement", SampleUnit::displacement, "m")
      .value("volt", SampleUnit::volt, "V, sensitivity unknown")
      .value("revolution", SampleUnit::revolution, "shaft marker")
      .value("uncalibrated", SampleUnit::uncalibrated, "not stated")
      .def_property_readonly(
          "symbol", [](SampleUnit u) { return std::string{symbol(u)}; },
          "As it is written beside a number.");
  words(py::enum_<Weight>(m, "Weight", "How much a finding weighs on the verdict.")
            .value("note", Weight::note)
            .value("caution", Weight::caution)
            .value("blocking", Weight::blocking));
  value_type<Finding>(m, "Finding",
                      "A remark about a capture with what it means; docs/findings.md lists the "
                      "kinds.")
      .def_property_readonly(
          "kind", [](const Finding& f) { return std::string{token(f.kind)}; },
          "One word of the closed list in docs/findings.md.")
      .def_readonly("weight", &Finding::weight, "How much it weighs on the verdict.")
      .def_readonly("where", &Finding::where, "Channel, line, or empty for the whole capture.")
      .def_readonly("what", &Finding::what, "What was seen, with numbers and units.")
      .def_readonly("consequence", &Finding::consequence, "What it means for the verdict.")
      .def_readonly("advice", &Finding::advice, "What to do about it; may be empty.")
      .def("__repr__", [](const Finding& f) {
        return "<Finding " + std::string{token(f.kind)} + ": " + f.what + ">";
      });
  py::class_<FftPlans, std::shared_ptr<FftPlans>>(
      m, "FftPlans",
      "Cache of transform plans. Functions make their own for one call; pass one FftPlans to many "
      "calls on recordings of one length to plan once. Safe to share between threads.")
      .def(py::init<>())
      // It is a cache: another process begins with an empty one.
      .def(py::pickle([](const FftPlans&) { return py::tuple{}; },
                      [](const py::tuple&) { return std::make_shared<FftPlans>(); }));
}

}  // namespace bearingdsp::python

PYBIND11_MODULE(_bearingdsp, m) {
  using namespace bearingdsp::python;
  m.doc() = "The compiled half of the package bearingdsp; import bearingdsp instead.";
  add_core(m);
  add_bearing(m);
  add_capture(m);
  add_dsp(m);
  add_speed(m);
  add_model(m);
  add_places(m);
  add_evidence(m);
  add_verdict(m);
  add_comparison(m);
  add_simulate(m);
  add_dataset(m);
  add_history(m);
  add_reference(m);
  m.attr("__version__") = BEARINGDSP_VERSION;
}
