#include "arguments.hpp"
#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/report/before_after.hpp"
#include "bearingdsp/report/text.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

CapturedSide side(const std::vector<const Capture*>& captures, const DiagnoseOptions& options) {
  CapturedSide s;
  for (const Capture* c : captures) {
    if (c == nullptr) throw py::type_error("a capture is None; give a list of Capture");
    s.captures.push_back(*c);
  }
  s.diagnosis = options;
  return s;
}

}  // namespace

void add_comparison(py::module_& m) {
  words(py::enum_<Change>(m, "Change", "What became of the bearing between two sides.")
            .value("cured", Change::cured)
            .value("improved", Change::improved)
            .value("unchanged", Change::unchanged)
            .value("no_change_seen", Change::no_change_seen)
            .value("worse", Change::worse)
            .value("new_problem", Change::new_problem)
            .value("cannot_tell", Change::cannot_tell)
            .value("not_comparable", Change::not_comparable));
  value_type<LevelChange>(m, "LevelChange", "One level on both sides.")
      .def_readonly("name", &LevelChange::name,
                    "Which level: \"velocity\", \"high band\", \"1x\" ...")
      .def_readonly("before", &LevelChange::before,
                    "Geometric mean over the recordings before, SI.")
      .def_readonly("after", &LevelChange::after, "The same after the work.")
      .def_readonly("change_db", &LevelChange::change_db, "20 lg(after / before), dB.")
      .def_readonly("scatter_db", &LevelChange::scatter_db, "Standard deviation of the change.")
      .def_readonly("beyond", &LevelChange::beyond, "More than random scatter does.")
      .def_readonly("alone_db", &LevelChange::alone_db,
                    "Up to here chance and the work itself move it without any damage.");
  value_type<BeforeAfter>(m, "BeforeAfter", "Did the work cure it?")
      .def_readonly("change", &BeforeAfter::change, "What became of the bearing.")
      .def_readonly("headline", &BeforeAfter::headline, "One sentence.")
      .def_readonly("reasons", &BeforeAfter::reasons, "Why, strongest first.")
      .def_readonly("advice", &BeforeAfter::advice, "What to do, in order.")
      .def_readonly("levels", &BeforeAfter::levels, "Each level on both sides.")
      .def(
          "to_dict", [](const BeforeAfter& r) { return json_loads(before_after_json(r)); },
          "As the tool's --json.")
      .def(
          "to_text", [](const BeforeAfter& r) { return to_text(before_after_report(r)); },
          "As the tool prints it.");
  m.def(
      "compare_captures",
      [](const std::vector<const Capture*>& before, const std::vector<const Capture*>& after,
         const py::object& bearing, std::optional<double> speed_rpm, PlansArgument plans) {
        const std::vector<DefectOrders> variants = bearing_argument(bearing);
        DiagnoseOptions options;
        options.speed = quantity<Rpm>(positive("speed_rpm", speed_rpm));
        const CapturedSide b = side(before, options);
        const CapturedSide a = side(after, options);
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return take(compare_captures(b, a, equal_candidates(variants), *kept));
      },
      py::arg("before"), py::arg("after"), py::kw_only(), py::arg("bearing") = py::none(),
      py::arg("speed_rpm") = py::none(), py::arg("plans") = py::none(),
      "Compares captures of one point before and after work on the machine (docs/compare.md).");
}

}  // namespace bearingdsp::python
