#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dataset/metrics.hpp"
#include "bearingdsp/dataset/outcome.hpp"
#include "bearingdsp/dataset/validate.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/report/validation.hpp"
#include "convert.hpp"

namespace bearingdsp::python {
namespace {

std::vector<StatedProbability> forecasts(const Samples& probability,
                                         const py::array_t<bool>& happened) {
  const auto p = view(probability);
  if (happened.ndim() != 1 || static_cast<std::size_t>(happened.size()) != p.size())
    throw py::value_error("probabilities and outcomes are not two equally long lists");
  std::vector<StatedProbability> list;
  const auto h = happened.unchecked<1>();
  for (std::size_t i = 0; i < p.size(); ++i) list.push_back({p[i], h(static_cast<py::ssize_t>(i))});
  return list;
}

void add_records(py::module_& m) {
  py::class_<LabelledRecord>(m, "LabelledRecord", "One labelled recording of a manifest.")
      .def_readonly("dataset", &LabelledRecord::dataset)
      .def_readonly("file", &LabelledRecord::file)
      .def_readonly("path", &LabelledRecord::path)
      .def_readonly("unit", &LabelledRecord::unit)
      .def_property_readonly("rate_hz", maybe_number(&LabelledRecord::rate))
      .def_property_readonly("speed_rpm", maybe_number(&LabelledRecord::speed))
      .def_readonly("bearing", &LabelledRecord::bearing)
      .def_readonly("orders", &LabelledRecord::orders)
      .def_readonly("label", &LabelledRecord::label)
      .def_readonly("tacho", &LabelledRecord::tacho)
      .def_readonly("pulses_per_revolution", &LabelledRecord::pulses_per_revolution)
      .def_readonly("split", &LabelledRecord::split)
      .def_readonly("sha256", &LabelledRecord::sha256)
      .def(
          "read",
          [](const LabelledRecord& r) {
            const py::gil_scoped_release released;
            return take(read_record(r));
          },
          "The samples that the row describes. Raises as read_capture().")
      .def("__repr__", [](const LabelledRecord& r) {
        return "<LabelledRecord " + r.file + ": " + r.label + ">";
      });
  py::class_<Manifest>(m, "Manifest", "A list of labelled recordings (docs/manifest.md).")
      .def_readonly("records", &Manifest::records)
      .def_readonly("notes", &Manifest::notes, "Rows left out and why.")
      .def("__len__", [](const Manifest& list) { return list.records.size(); })
      .def(
          "of_split",
          [](const Manifest& list, const std::string& split) {
            return take(of_split(list, split));
          },
          py::arg("split"), "The recordings of one split.");
  m.def(
      "read_manifest",
      [](const py::object& path) {
        return take(
            read_manifest(py::cast<std::string>(py::module_::import("os").attr("fspath")(path))));
      },
      py::arg("path"), "Reads a manifest and bearings.csv beside it.");
}

void add_outcomes(py::module_& m) {
  py::class_<Outcome>(m, "Outcome", "What came of one recording: docs/validation-csv.md.")
      .def_readonly("dataset", &Outcome::dataset)
      .def_readonly("file", &Outcome::file)
      .def_readonly("label", &Outcome::label)
      .def_readonly("named", &Outcome::named)
      .def_readonly("probability_damage", &Outcome::probability_damage, "NaN if failed.")
      .def_readonly("probability_place", &Outcome::probability_place, "NaN if failed.")
      .def_readonly("other_causes", &Outcome::other_causes)
      .def_readonly("speed_rpm", &Outcome::speed_rpm, "NaN if not found.")
      .def_readonly("speed_method", &Outcome::speed_method)
      .def_readonly("seconds", &Outcome::seconds, "Wall-clock, one thread.")
      .def_readonly("reason", &Outcome::reason)
      .def_readonly("place_set", &Outcome::place_set)
      .def_property_readonly(
          "grade", [](const Outcome& o) { return std::string{name(grade(o))}; },
          "What it is against its label.");
  py::class_<Interval>(m, "Interval", "95 % interval.")
      .def_readonly("low", &Interval::low)
      .def_readonly("high", &Interval::high)
      .def("__iter__", [](const Interval& i) { return py::iter(py::make_tuple(i.low, i.high)); })
      .def("__repr__", [](const Interval& i) {
        return py::str("Interval({:.4g}, {:.4g})").format(i.low, i.high);
      });
  py::class_<ReliabilityBin>(m, "ReliabilityBin", "One line of a reliability table.")
      .def_readonly("low", &ReliabilityBin::low)
      .def_readonly("high", &ReliabilityBin::high)
      .def_readonly("count", &ReliabilityBin::count)
      .def_readonly("happened", &ReliabilityBin::happened)
      .def_readonly("mean_probability", &ReliabilityBin::mean_probability)
      .def_readonly("frequency", &ReliabilityBin::frequency)
      .def_readonly("interval", &ReliabilityBin::interval);
  m.def(
      "validate",
      [](const Manifest& manifest, std::size_t jobs, bool blind_speed, const py::object& progress) {
        ValidateOptions options;
        options.jobs = jobs;
        options.blind_speed = blind_speed;
        if (!progress.is_none())
          options.progress = [&progress](std::size_t done, std::size_t all) {
            const py::gil_scoped_acquire held;
            progress(done, all);
          };
        const py::gil_scoped_release released;
        return validate(manifest, options);
      },
      py::arg("manifest"), py::kw_only(), py::arg("jobs") = 0, py::arg("blind_speed") = false,
      py::arg("progress") = py::none(),
      "Diagnoses every recording, in the order of the manifest; all but `seconds` is the same for\n"
      "any number of jobs (threads; 0: all cores). progress(done, all) is called after each.");
  m.def("results_csv", &results_csv, py::arg("outcomes"), "The table as docs/validation-csv.md.");
  m.def(
      "parse_results",
      [](const std::string& csv, const std::string& where) {
        return take(parse_results(csv, where));
      },
      py::arg("csv"), py::arg("name") = "results", "Reads such a table back.");
  m.def(
      "validation_text",
      [](const std::vector<Outcome>& outcomes) { return to_text(validation_report(outcomes)); },
      py::arg("outcomes"), "The tables that `bearingdsp validate` prints.");
}

}  // namespace

void add_dataset(py::module_& m) {
  add_records(m);
  add_outcomes(m);
  m.def("wilson_interval", &wilson_interval, py::arg("successes"), py::arg("trials"),
        "95 % score interval of a proportion (Wilson 1927).");
  m.def(
      "brier_score",
      [](const Samples& p, const py::array_t<bool>& h) { return brier_score(forecasts(p, h)); },
      py::arg("probability"), py::arg("happened"),
      "Mean squared distance of probabilities from what happened (Brier 1950).");
  m.def(
      "reliability",
      [](const Samples& p, const py::array_t<bool>& h, std::size_t bins) {
        return reliability(forecasts(p, h), bins);
      },
      py::arg("probability"), py::arg("happened"), py::kw_only(), py::arg("bins") = 10,
      "How often it happened where a probability was said, in equal bins over 0 .. 1.");
  py::class_<DetectionPoint>(m, "DetectionPoint",
                             "What calling damage from one threshold on would find and cost.")
      .def_readonly("threshold", &DetectionPoint::threshold)
      .def_readonly("called_damaged", &DetectionPoint::called_damaged)
      .def_readonly("damaged", &DetectionPoint::damaged)
      .def_readonly("called_sound", &DetectionPoint::called_sound, "False alarms.")
      .def_readonly("sound", &DetectionPoint::sound)
      .def_readonly("detection", &DetectionPoint::detection, "Wilson interval.")
      .def_readonly("false_alarm", &DetectionPoint::false_alarm, "Wilson interval.")
      .def_property_readonly("detection_rate", &DetectionPoint::detection_rate)
      .def_property_readonly("false_alarm_rate", &DetectionPoint::false_alarm_rate);
  m.def(
      "detection_curve",
      [](const Samples& p, const py::array_t<bool>& h) { return detection_curve(forecasts(p, h)); },
      py::arg("probability"), py::arg("happened"),
      "A point per distinct probability, from the strictest threshold to the laxest.");
  m.def(
      "area_under_curve",
      [](const std::vector<DetectionPoint>& curve) { return area_under_curve(curve); },
      py::arg("curve"),
      "Chance that a damaged recording is given a higher probability than a healthy one\n"
      "(Hanley & McNeil 1982).");
  m.def(
      "validation_json",
      [](const std::vector<Outcome>& outcomes) { return validation_json(outcomes); },
      py::arg("outcomes"), "As the tool's --json of validate (docs/validation-csv.md).");
}

}  // namespace bearingdsp::python
