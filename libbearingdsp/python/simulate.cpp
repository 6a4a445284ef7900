#include "bearingdsp/simulate/simulation.hpp"

#include "bearingdsp/simulate/save.hpp"
#include "bearingdsp/simulate/truth.hpp"
#include "value.hpp"

namespace bearingdsp::python {

void add_simulate(py::module_& m) {
  value_type<Simulation>(m, "Simulation", "A simulated recording with its truth.")
      .def_readonly("capture", &Simulation::capture, "The simulated recording.")
      .def_property_readonly(
          "truth", [](const Simulation& s) { return json_loads(to_json(s.truth)); },
          "What is true of it, as a dict (docs/simulation.md); holds the plan in full.")
      .def_property_readonly(
          "impact_times_s",
          [](const Simulation& s) {
            py::list defects;
            for (const auto& times : s.truth.impact_times) defects.append(owned(times));
            return defects;
          },
          "Instants of the impacts of each defect, s.")
      .def(
          "save", [](const Simulation& s, const std::string& path) { take(save(s, path)); },
          py::arg("path"), "Writes .wav, .csv or .txt.");
  m.def(
      "simulate_json",
      [](const std::string& plan) {
        const SimulationPlan parsed = take(plan_from_json(plan, "plan"));
        const py::gil_scoped_release released;
        return take(simulate(parsed));
      },
      py::arg("plan"), "Makes the capture of a plan written as JSON.");
}

}  // namespace bearingdsp::python
