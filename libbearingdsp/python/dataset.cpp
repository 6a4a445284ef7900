#include "arguments.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dataset/metrics.hpp"
#include "bearingdsp/dataset/outcome.hpp"
#include "bearingdsp/dataset/validate.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/report/validation.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

std::vector<StatedProbability> forecasts(const Samples& probability, const Samples& happened) {
  const auto p = view(probability);
  const auto h = view(happened);
  if (h.size() != p.size())
    throw py::value_error("probabilities and outcomes are not two equally long lists");
  std::vector<StatedProbability> list;
  for (std::size_t i = 0; i < p.size(); ++i) {
    if (!(p[i] >= 0 && p[i] <= 1))
      throw Failure{{Errc::bad_argument, "probability[" + std::to_string(i) + "]",
                     "is not in 0 .. 1", "give probabilities as fractions"}};
    if (h[i] != 0 && h[i] != 1)
      throw Failure{{Errc::bad_argument, "happened[" + std::to_string(i) + "]",
                     "is neither true nor false", "give a list of True and False"}};
    list.push_back({p[i], h[i] == 1});
  }
  return list;
}

void add_records(py::module_& m) {
  value_type<LabelledRecord>(m, "LabelledRecord", "One labelled recording of a manifest.")
      .def_readonly("dataset", &LabelledRecord::dataset, "Group of the printed rates.")
      .def_readonly("file", &LabelledRecord::file, "As in the manifest.")
      .def_readonly("path", &LabelledRecord::path, "Folder of the manifest and file.")
      .def_readonly("unit", &LabelledRecord::unit, "Unit of the samples; empty: uncalibrated.")
      .def_property_readonly("rate_hz", maybe_number(&LabelledRecord::rate),
                             "Samples per second, or None: as the file states.")
      .def_property_readonly("speed_rpm", maybe_number(&LabelledRecord::speed),
                             "Nominal shaft speed, rpm, or None.")
      .def_readonly("bearing", &LabelledRecord::bearing, "Name in bearings.csv; empty: not known.")
      .def_readonly("orders", &LabelledRecord::orders, "Defect orders of the bearing, or None.")
      .def_readonly("label", &LabelledRecord::label, "True condition: 'none', 'outer ring' ...")
      .def_readonly("tacho", &LabelledRecord::tacho,
                    "Name of the shaft marker's signal; may be empty.")
      .def_readonly("pulses_per_revolution", &LabelledRecord::pulses_per_revolution,
                    "Of the tacho.")
      .def_readonly("split", &LabelledRecord::split,
                    "Group of recordings, as \"tuning\"; may be empty.")
      .def_readonly("sha256", &LabelledRecord::sha256,
                    "Checksum of the file, lower-case hexadecimal; may be empty.")
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
  value_type<Manifest>(m, "Manifest", "A list of labelled recordings (docs/manifest.md).")
      .def_readonly("records", &Manifest::records, "The recordings, in the order of the file.")
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
  value_type<Outcome>(m, "Outcome", "What came of one recording: docs/validation-csv.md.")
      .def_readonly("dataset", &Outcome::dataset, "As in the manifest.")
      .def_readonly("file", &Outcome::file, "As in the manifest.")
      .def_readonly("label", &Outcome::label, "True condition.")
      .def_readonly("named", &Outcome::named, "Component named, 'none', 'cannot tell' or 'failed'.")
      .def_readonly("probability_damage", &Outcome::probability_damage, "NaN if failed.")
      .def_readonly("probability_place", &Outcome::probability_place, "NaN if failed.")
      .def_readonly("other_causes", &Outcome::other_causes,
                    "\"unbalance 0.82; looseness 0.10\"; may be empty.")
      .def_readonly("speed_rpm", &Outcome::speed_rpm, "NaN if not found.")
      .def_readonly("speed_method", &Outcome::speed_method, "How the speed was found.")
      .def_readonly("seconds", &Outcome::seconds, "Wall-clock, one thread.")
      .def_readonly("reason", &Outcome::reason, "The headline, or the error.")
      .def_readonly("place_set", &Outcome::place_set,
                    "\"rolling element|cage\": one of these; else empty.")
      .def_property_readonly(
          "grade", [](const Outcome& o) { return std::string{name(grade(o))}; },
          "What it is against its label.");
  value_type<Interval>(m, "Interval", "95 % interval.")
      .def_readonly("low", &Interval::low, "Lower end, 0 .. 1.")
      .def_readonly("high", &Interval::high, "Upper end, 0 .. 1.")
      .def("__iter__", [](const Interval& i) { return py::iter(py::make_tuple(i.low, i.high)); })
      .def("__repr__", [](const Interval& i) {
        return py::str("Interval({:.4g}, {:.4g})").format(i.low, i.high);
      });
  value_type<ReliabilityBin>(m, "ReliabilityBin", "One line of a reliability table.")
      .def_readonly("low", &ReliabilityBin::low, "Lower end of the bin, included.")
      .def_readonly("high", &ReliabilityBin::high,
                    "Upper end of the bin; included in the last bin only.")
      .def_readonly("count", &ReliabilityBin::count, "Forecasts in the bin.")
      .def_readonly("happened", &ReliabilityBin::happened, "Those of them that happened.")
      .def_readonly("mean_probability", &ReliabilityBin::mean_probability,
                    "Mean of the forecasts; NaN for an empty bin.")
      .def_readonly("frequency", &ReliabilityBin::frequency,
                    "happened / count; NaN for an empty bin.")
      .def_readonly("interval", &ReliabilityBin::interval, "Wilson interval of the frequency.");
  m.def(
      "validate",
      [](const Manifest& manifest, std::size_t jobs, bool blind_speed, const py::object& progress,
         const py::object& model) {
        ValidateOptions options;
        options.jobs = jobs;
        options.blind_speed = blind_speed;
        options.model = model_argument(model);
        if (!progress.is_none())
          options.progress = [&progress](std::size_t done, std::size_t all) {
            const py::gil_scoped_acquire held;
            progress(done, all);
          };
        const py::gil_scoped_release released;
        return validate(manifest, options);
      },
      py::arg("manifest"), py::kw_only(), py::arg("jobs") = 0, py::arg("blind_speed") = false,
      py::arg("progress") = py::none(), py::arg("model") = py::none(),
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
      [](const Samples& p, const Samples& h) { return brier_score(forecasts(p, h)); },
      py::arg("probability"), py::arg("happened"),
      "Mean squared distance of probabilities from what happened (Brier 1950).");
  m.def(
      "reliability",
      [](const Samples& p, const Samples& h, std::size_t bins) {
        return reliability(forecasts(p, h), bins);
      },
      py::arg("probability"), py::arg("happened"), py::kw_only(), py::arg("bins") = 10,
      "How often it happened where a probability was said, in equal bins over 0 .. 1.");
  value_type<DetectionPoint>(m, "DetectionPoint",
                             "What calling damage from one threshold on would find and cost.")
      .def_readonly("threshold", &DetectionPoint::threshold,
                    "Damage is called from this probability on.")
      .def_readonly("called_damaged", &DetectionPoint::called_damaged,
                    "Damaged recordings that are called damaged.")
      .def_readonly("damaged", &DetectionPoint::damaged, "Damaged recordings.")
      .def_readonly("called_sound", &DetectionPoint::called_sound, "False alarms.")
      .def_readonly("sound", &DetectionPoint::sound, "Healthy recordings.")
      .def_readonly("detection", &DetectionPoint::detection, "Wilson interval.")
      .def_readonly("false_alarm", &DetectionPoint::false_alarm, "Wilson interval.")
      .def_property_readonly("detection_rate", &DetectionPoint::detection_rate,
                             "called_damaged / damaged; NaN without any.")
      .def_property_readonly("false_alarm_rate", &DetectionPoint::false_alarm_rate,
                             "called_sound / sound; NaN without any.");
  m.def(
      "detection_curve",
      [](const Samples& p, const Samples& h) { return detection_curve(forecasts(p, h)); },
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
