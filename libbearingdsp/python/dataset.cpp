#include <limits>

#include "arguments.hpp"
#include "bearingdsp/dataset/features.hpp"
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

/// A word that a label or an answer may be. Errors: bad_argument with the words
void check_word(const char* argument, const std::string& word, bool also_failed) {
  if (bearingdsp::from_token<bearingdsp::Place>(word) || (also_failed && word == "failed")) return;
  throw Failure{{Errc::bad_argument, argument, "'" + word + "' is not a component",
                 "give 'none', 'outer ring', 'inner ring', 'rolling element', 'cage', 'several', "
                 "'cannot tell' ..."}};
}

double fraction(const char* argument, double value) {
  if (!(value >= 0 && value <= 1))
    throw Failure{
        {Errc::bad_argument, argument, "is not in 0 .. 1", "give a probability as a fraction"}};
  return value;
}

std::string path_of(const py::object& path) {
  return py::cast<std::string>(py::module_::import("os").attr("fspath")(path));
}

LabelledRecord record_of(const py::object& path, const std::string& label,
                         const std::string& dataset, const std::string& signal,
                         const std::string& unit, std::optional<double> rate_hz,
                         std::optional<double> speed_rpm, const std::string& bearing,
                         const std::optional<DefectOrders>& orders, const std::string& tacho,
                         double pulses_per_revolution, const std::string& split,
                         const std::string& sha256) {
  check_word("label", label, false);
  LabelledRecord r;
  r.file = r.path = path_of(path);
  r.label = label;
  r.dataset = dataset;
  r.signal = parse_signal(signal);
  r.unit = parse_unit(unit);
  r.rate = quantity<Hz>(positive("rate_hz", rate_hz));
  r.speed = quantity<Rpm>(positive("speed_rpm", speed_rpm));
  r.bearing = bearing;
  r.orders = orders;
  r.tacho = tacho;
  r.pulses_per_revolution = positive("pulses_per_revolution", pulses_per_revolution);
  r.split = split;
  r.sha256 = sha256;
  return r;
}

void add_records(py::module_& m) {
  value_type<LabelledRecord>(m, "LabelledRecord", "One labelled recording of a manifest.")
      .def(py::init(&record_of), py::arg("path"), py::arg("label"), py::kw_only(),
           py::arg("dataset") = "", py::arg("signal") = "", py::arg("unit") = "",
           py::arg("rate_hz") = py::none(), py::arg("speed_rpm") = py::none(),
           py::arg("bearing") = "", py::arg("orders") = py::none(), py::arg("tacho") = "",
           py::arg("pulses_per_revolution") = 1.0, py::arg("split") = "", py::arg("sha256") = "",
           "A recording without a manifest; cells as in docs/manifest.md. Raises BadArgument.")
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
      .def(py::init([](std::vector<LabelledRecord> records) {
             Manifest made;
             made.records = std::move(records);
             return made;
           }),
           py::arg("records"), "Of records that are made or chosen here.")
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
      "read_manifest", [](const py::object& path) { return take(read_manifest(path_of(path))); },
      py::arg("path"), "Reads a manifest and bearings.csv beside it.");
}

Outcome outcome_made(const std::string& label, const std::string& named, double probability_damage,
                     double probability_place, const std::string& dataset, const std::string& file,
                     const std::string& reason) {
  check_word("label", label, false);
  check_word("named", named, true);
  constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
  const bool failed = named == "failed";
  Outcome o;
  o.dataset = dataset;
  o.file = file;
  o.label = label;
  o.named = named;
  o.probability_damage = failed ? unknown : fraction("probability_damage", probability_damage);
  o.probability_place = failed ? unknown : fraction("probability_place", probability_place);
  o.speed_rpm = unknown;
  o.speed_method = token(SpeedMethod::not_found);
  o.reason = reason;
  return o;
}

/// Ends a validation: what a user interrupts, or a broken interpreter, is not a failed recording.
/// No std::exception on purpose, which validate() would take for one.
struct Ended {
  py::error_already_set error;
};

/// What a detector written in Python answers: a Diagnosis, an Outcome, or named, probability of
/// damage and perhaps that of the component. Errors: unusable answers
Result<DetectorAnswer> answer_of(const py::object& said) {
  if (py::isinstance<Diagnosed>(said)) {
    const Diagnosis& d = py::cast<const Diagnosed&>(said).diagnosis;
    return DetectorAnswer{named_by(d), d.probability_of_damage, d.probability_of_place, d.headline};
  }
  if (py::isinstance<Outcome>(said)) {
    const auto& o = py::cast<const Outcome&>(said);
    return DetectorAnswer{o.named, o.probability_damage, o.probability_place, o.reason};
  }
  if (py::isinstance<py::tuple>(said)) {
    const auto parts = py::cast<py::tuple>(said);
    if (parts.size() == 2 || parts.size() == 3) try {
        return DetectorAnswer{py::cast<std::string>(parts[0]), py::cast<double>(parts[1]),
                              parts.size() == 3 ? py::cast<double>(parts[2]) : 0.0, ""};
      } catch (const py::cast_error&) {
      }
  }
  return Error{Errc::bad_argument, "detector", "its answer is a " + kind_of(said),
               "return (named, probability_damage), an Outcome or a Diagnosis"};
}

auto detector_of(const py::object& detector) {
  return
      [&detector](const LabelledRecord& record, const Capture& capture) -> Result<DetectorAnswer> {
        const py::gil_scoped_acquire held;
        try {
          return answer_of(detector(py::cast(capture), py::cast(record)));
        } catch (py::error_already_set& error) {
          if (!error.matches(PyExc_Exception)) throw Ended{error};
          return Error{Errc::internal, "detector",
                       py::cast<std::string>(
                           py::str("{}: {}").format(error.type().attr("__name__"), error.value())),
                       ""};
        }
      };
}

void add_validate(py::module_& m) {
  m.def(
      "validate",
      [](const Manifest& manifest, std::size_t jobs, bool blind_speed, const py::object& progress,
         const py::object& model, const py::object& detector, const py::object& diagnosed) {
        ValidateOptions options;
        options.jobs = jobs;
        options.blind_speed = blind_speed;
        options.model = model_argument(model);
        if (!progress.is_none())
          options.progress = [&progress](std::size_t done, std::size_t all) {
            const py::gil_scoped_acquire held;
            progress(done, all);
          };
        if (!detector.is_none()) options.detector = detector_of(detector);
        if (!diagnosed.is_none())
          options.diagnosed = [&](std::size_t index, const Diagnosis& diagnosis) {
            const py::gil_scoped_acquire held;
            const LabelledRecord& record = manifest.records.at(index);
            diagnosed(record, Diagnosed{diagnosis, {}});
          };
        try {
          const py::gil_scoped_release released;
          return validate(manifest, options);
        } catch (Ended& ended) {
          throw std::move(ended.error);
        }
      },
      py::arg("manifest"), py::kw_only(), py::arg("jobs") = 0, py::arg("blind_speed") = false,
      py::arg("progress") = py::none(), py::arg("model") = py::none(),
      py::arg("detector") = py::none(), py::arg("diagnosed") = py::none(),
      "Diagnoses every recording, in the order of the manifest; all but `seconds` is the same for\n"
      "any number of jobs (threads; 0: all cores). progress(done, all) is called after each,\n"
      "diagnosed(record, diagnosis) with each diagnosis. A detector judges in place of the "
      "engine:\n"
      "detector(capture, record) returns (named, probability_damage), an Outcome or a Diagnosis;\n"
      "what it raises is a failed row.");
  m.def(
      "features_csv",
      [](const std::vector<LabelledRecord>& records, const std::vector<Diagnosed>& diagnoses) {
        if (records.size() != diagnoses.size())
          throw py::value_error("records and diagnoses are not two equally long lists");
        std::vector<RecordFeatures> rows;
        for (std::size_t i = 0; i < records.size(); ++i)
          rows.push_back(features_of(records[i], diagnoses[i].diagnosis));
        return features_csv(rows);
      },
      py::arg("records"), py::arg("diagnoses"),
      "What was measured, a row per recording and component: `bearingdsp validate --features`.");
}

void add_outcomes(py::module_& m) {
  value_type<Outcome>(m, "Outcome", "What came of one recording: docs/validation-csv.md.")
      .def(py::init(&outcome_made), py::arg("label"), py::arg("named"),
           py::arg("probability_damage"), py::kw_only(), py::arg("probability_place") = 0.0,
           py::arg("dataset") = "", py::arg("file") = "", py::arg("reason") = "",
           "An answer from elsewhere, to be counted as those of validate(). Raises BadArgument.")
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
          "grade", [](const Outcome& o) { return std::string{token(grade(o))}; },
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
  add_validate(m);
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
