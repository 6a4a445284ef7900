#include "arguments.hpp"
#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/report/svg.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/examination.hpp"
#include "bearingdsp/verdict/together.hpp"
#include "value.hpp"

namespace bearingdsp::python {

namespace {

CurvesKept curves_of(const std::string& word) {
  if (word == "none") return CurvesKept::none;
  if (word == "envelope") return CurvesKept::envelope;
  if (word == "all") return CurvesKept::all;
  throw Failure{{Errc::bad_argument, "curves", "'" + word + "' is not none, envelope or all",
                 "all keeps waveform and spectrum too"}};
}

/// What a bearing that the user named is called in JSON.
std::string title_of(const py::object& bearing) {
  return py::isinstance<py::str>(bearing) ? py::cast<std::string>(bearing) : std::string{};
}

/// What both diagnose() and examine() are asked.
struct Asked {
  std::shared_ptr<const Capture> capture;
  DiagnoseOptions options;
};

/// The capture itself, or one that is made of an array.
std::shared_ptr<const Capture> recording_argument(const py::object& recording,
                                                  std::optional<double> rate_hz,
                                                  const std::string& unit,
                                                  std::optional<double> full_scale) {
  if (py::isinstance<Capture>(recording)) {
    if (rate_hz || !unit.empty() || full_scale)
      throw Failure{{Errc::bad_argument, "rate_hz, unit, full_scale",
                     "given with a Capture, which has its own",
                     "give them to read_capture() or with an array"}};
    // Python keeps it alive during the call.
    return {std::shared_ptr<const Capture>{}, &py::cast<const Capture&>(recording)};
  }
  if (!rate_hz)
    throw Failure{{Errc::missing_metadata, "rate_hz", "an array does not say its rate",
                   "give rate_hz, the samples per second"}};
  return std::make_shared<const Capture>(
      capture_from_array(raw_samples(recording), *rate_hz, unit, {}, full_scale, std::nullopt));
}

Asked asked(const py::object& recording, std::optional<double> rate_hz, const std::string& unit,
            std::optional<double> full_scale, std::optional<double> speed_rpm, double tolerance,
            const std::optional<std::pair<double, double>>& range, std::optional<double> line_hz,
            const py::object& channels, std::string tacho, double pulses, const std::string& curves,
            const py::object& model) {
  DiagnoseOptions options;
  options.speed = quantity<Rpm>(speed_rpm);
  options.speed_tolerance = tolerance;
  if (range) {
    options.speed_low = Rpm{range->first};
    options.speed_high = Rpm{range->second};
  }
  options.line_frequency = quantity<Hz>(positive("line_frequency_hz", line_hz));
  options.channels = texts_argument("channels", channels);
  options.tacho_channel = std::move(tacho);
  options.pulses_per_revolution = positive("pulses_per_revolution", pulses);
  options.keep_curves = curves_of(curves);
  options.model = model_argument(model);
  return {recording_argument(recording, rate_hz, unit, full_scale), std::move(options)};
}

Diagnosed run(const py::object& recording, std::optional<double> rate_hz, const std::string& unit,
              std::optional<double> full_scale, const py::object& bearing,
              std::optional<double> speed_rpm, double tolerance,
              const std::optional<std::pair<double, double>>& range, std::optional<double> line_hz,
              const py::object& channels, std::string tacho, double pulses,
              const std::string& curves, const py::object& model, PlansArgument plans) {
  Asked a = asked(recording, rate_hz, unit, full_scale, speed_rpm, tolerance, range, line_hz,
                  channels, std::move(tacho), pulses, curves, model);
  a.options.bearings = equal_candidates(bearing_argument(bearing));
  const PlansArgument kept = or_fresh(std::move(plans));
  Diagnosed out;
  out.bearing = title_of(bearing);
  const py::gil_scoped_release released;
  out.diagnosis = take(diagnose(*a.capture, *kept, a.options));
  return out;
}

Examination run_examine(const py::object& recording, std::optional<double> rate_hz,
                        const std::string& unit, std::optional<double> full_scale,
                        std::optional<double> speed_rpm, double tolerance,
                        const std::optional<std::pair<double, double>>& range,
                        std::optional<double> line_hz, const py::object& channels,
                        std::string tacho, double pulses, const std::string& curves,
                        const py::object& model, PlansArgument plans) {
  Asked a = asked(recording, rate_hz, unit, full_scale, speed_rpm, tolerance, range, line_hz,
                  channels, std::move(tacho), pulses, curves, model);
  const PlansArgument kept = or_fresh(std::move(plans));
  const py::gil_scoped_release released;
  // It lives on after the call, so it has a capture of its own.
  auto own = a.capture.use_count() == 0 ? std::make_shared<const Capture>(*a.capture) : a.capture;
  return take(examine(std::move(own), *kept, a.options));
}

Diagnosed run_judge(const Examination& examination, const py::object& bearing,
                    PlansArgument plans) {
  const auto candidates = equal_candidates(bearing_argument(bearing));
  const PlansArgument kept = or_fresh(std::move(plans));
  Diagnosed out;
  out.bearing = title_of(bearing);
  const py::gil_scoped_release released;
  out.diagnosis = take(judge(examination, *kept, candidates));
  return out;
}

std::string json_of(const Diagnosed& d, bool pretty, bool curves) {
  JsonOptions options;
  options.pretty = pretty;
  options.curves = curves;
  options.bearing = d.bearing;
  return diagnosis_json(d.diagnosis, options);
}

template <class M>
auto of(M Diagnosis::*member) {
  return [member](const Diagnosed& d) { return d.diagnosis.*member; };
}

void add_verdict_types(py::module_& m) {
  value_type<SignalFigures>(m, "SignalFigures", "Levels of one channel.")
      .def_readonly("channel", &SignalFigures::channel, "Name of the channel.")
      .def_readonly("unit", &SignalFigures::unit, "Unit of the samples.")
      .def_readonly("velocity_rms", &SignalFigures::velocity_rms, "m/s, up to 1000 Hz; or None.")
      .def_property_readonly(
          "velocity_from_hz", [](const SignalFigures& f) { return f.velocity_from.value(); },
          "Lower end of the band of the velocity, Hz.")
      .def_readonly("displacement_rms", &SignalFigures::displacement_rms,
                    "m, in the same band; or None: of slow machines alone.")
      .def_readonly("rms", &SignalFigures::rms, "Unit of the samples, mean removed.")
      .def_readonly("peak", &SignalFigures::peak, "Largest magnitude, mean removed.")
      .def_readonly("crest_factor", &SignalFigures::crest_factor,
                    "peak / rms, both with the mean removed.")
      .def_readonly("kurtosis", &SignalFigures::kurtosis, "3 for Gaussian noise.")
      .def_readonly("envelope_rms", &SignalFigures::envelope_rms,
                    "Rms of the envelope's alternating part in the chosen band, unit of the "
                    "samples; or None.");
  value_type<Curve>(m, "Curve", "Arrays for a picture.")
      .def_readonly("title", &Curve::title, "What it shows.")
      .def_readonly("channel", &Curve::channel, "Name of the channel.")
      .def_readonly("x_unit", &Curve::x_unit, "Unit of x.")
      .def_readonly("y_unit", &Curve::y_unit, "Unit of y.")
      .def_property_readonly("x", array_of(&Curve::x), "float64 [n]; read-only, shared.")
      .def_property_readonly("y", array_of(&Curve::y), "float64 [n]; read-only, shared.");
  value_type<CauseEvidence>(m, "CauseEvidence", "A cause other than bearing damage.")
      .def_property_readonly(
          "cause", [](const CauseEvidence& c) { return std::string{token(c.cause)}; },
          "The cause: 'unbalance', 'misalignment' ...")
      .def_readonly("probability", &CauseEvidence::probability, "Of this cause, 0 .. 1.")
      .def_readonly("why", &CauseEvidence::why, "What in the recording is evidence for it.");
}

void add_assessment(py::module_& m) {
  value_type<OtherFault>(m, "OtherFault", "A fault other than bearing damage.")
      .def_property_readonly(
          "fault", [](const OtherFault& f) { return std::string{token(f.cause)}; },
          "The fault: 'unbalance', 'misalignment' ...")
      .def_readonly("probability", &OtherFault::probability, "Of this fault, 0 .. 1.")
      .def_property_readonly(
          "level", [](const OtherFault& f) { return std::string{token(f.level)}; },
          "'unknown', 'no limits', 'acceptable', 'too high' or 'independent' of the level.")
      .def_readonly("why", &OtherFault::why, "What in the recording is evidence for it.");
  value_type<Assessment>(m, "Assessment", "The result for a measuring point, for its user.")
      .def_property_readonly(
          "urgency", [](const Assessment& a) { return std::string{token(a.urgency)}; },
          "'OK', 'measure again', 'check', 'plan' or 'act now'.")
      .def_readonly("deadline", &Assessment::deadline, "Empty where nothing is to be done.")
      .def_readonly("headline", &Assessment::headline, "One sentence.")
      .def_readonly("bearing", &Assessment::bearing, "The bearing alone, with its probability.")
      .def_readonly("actions", &Assessment::actions, "At most three, most urgent first.")
      .def_readonly("other_faults", &Assessment::others,
                    "Faults other than bearing damage, most probable first.")
      .def_readonly("remaining_damage", &Assessment::remaining_damage,
                    "Where no fault is found: how probable damage remains, for `prior`; else None.")
      .def_readonly("remaining_if_suspected", &Assessment::remaining_if_suspected,
                    "The same if half of such bearings are damaged; or None.")
      .def_readonly("prior", &Assessment::prior,
                    "Share of damaged bearings that remaining_damage assumes.")
      .def_readonly(
          "excluded_depth", &Assessment::excluded_depth,
          "Smallest modulation depth that this recording would have shown as damage in nine of ten "
          "cases; or None.")
      .def_readonly("doubts", &Assessment::doubts, "What limits the result.")
      .def_readonly("safety", &Assessment::safety, "Cautions for the work.")
      .def_property_readonly(
          "stage", [](const Assessment& a) { return std::string{token(a.stage)}; },
          "How far damage has developed, in words.")
      .def_property_readonly(
          "zone",
          [](const Assessment& a) {
            return a.zone ? std::optional{std::string{token(*a.zone)}} : std::nullopt;
          },
          "'A' to 'D', or None without a machine or a velocity.")
      .def("__repr__", [](const Assessment& a) {
        return "<Assessment " + std::string{token(a.urgency)} + ": " + a.headline + ">";
      });
}

py::list curves_of_diagnosis(const py::object& self) {
  py::list list;
  for (const Curve& c : py::cast<const Diagnosed&>(self).diagnosis.curves)
    list.append(py::cast(&c, py::return_value_policy::reference_internal, self));
  return list;
}

void add_diagnosis(py::module_& m) {
  value_type<Diagnosed>(m, "Diagnosis", "The verdict on one measuring point, with its reasons.")
      .def_property_readonly("source", of(&Diagnosis::source), "Path as given, or \"memory\".")
      .def_property_readonly("channels", of(&Diagnosis::channels),
                             "Names of the analysed channels.")
      .def_property_readonly("verdict", of(&Diagnosis::verdict),
                             "Fault, no fault or indeterminate.")
      .def_property_readonly("place", of(&Diagnosis::place), "Component that is named.")
      .def_property_readonly(
          "probability_of_damage", of(&Diagnosis::probability_of_damage),
          "That the bearing is damaged, 0 .. 1, on rigs where 72 % are (docs/theory/diagnosis.md).")
      .def_property_readonly("probability_of_part", of(&Diagnosis::probability_of_part),
                             "Damage of that part, by Part.")
      .def_property_readonly("probability_of_place", of(&Diagnosis::probability_of_place),
                             "Of the named component or of place_set; 0 where none is named.")
      .def_property_readonly(
          "place_set", of(&Diagnosis::place_set),
          "Two components one of which is damaged, where neither can be named by\n"
          "itself; else empty.")
      .def_property_readonly(
          "assessment", [](const Diagnosed& d) { return assess(d.diagnosis); },
          "Urgency, headline, actions, other faults and doubts: what the tool prints.")
      .def_property_readonly(
          "headline", [](const Diagnosed& d) { return assess(d.diagnosis).headline; },
          "One sentence: the bearing, then other faults and the zone.")
      .def_property_readonly("reasons", of(&Diagnosis::reasons), "Why, strongest first.")
      .def_property_readonly("advice", of(&Diagnosis::advice),
                             "What to record or give for a surer answer.")
      .def_property_readonly("speed", of(&Diagnosis::speed), "Shaft speed that was used.")
      .def_property_readonly("orders", of(&Diagnosis::orders),
                             "Defect orders that explain the recording best; or None.")
      .def_property_readonly("families", of(&Diagnosis::families), "Strongest first.")
      .def_property_readonly("figures", of(&Diagnosis::figures), "A row per analysed channel.")
      .def_property_readonly("findings", of(&Diagnosis::findings),
                             "What was odd about the recording.")
      .def_property_readonly("other_causes", of(&Diagnosis::other_causes),
                             "Causes other than bearing damage, most probable first.")
      .def_property_readonly(
          "unknown_order",
          [](const Diagnosed& d) {
            const auto& k = d.diagnosis.unknown_order;
            return k ? std::optional{k->value()} : std::nullopt;
          },
          "Family found without knowing the bearing, orders; or None.")
      .def_property_readonly("curves", &curves_of_diagnosis, "Only what `curves` asked for.")
      .def("to_json", &json_of, py::kw_only(), py::arg("pretty") = true, py::arg("curves") = false,
           "As the tool's --json (docs/json-schema.md).")
      .def(
          "to_dict",
          [](const Diagnosed& d, bool curves) { return json_loads(json_of(d, false, curves)); },
          py::kw_only(), py::arg("curves") = false, "The same as a dict.")
      .def(
          "to_text",
          [](const Diagnosed& d, int width, bool details) {
            TextOptions options;
            options.width = width;
            options.details = details;
            return to_text(diagnosis_report(d.diagnosis), options);
          },
          py::kw_only(), py::arg("width") = 80, py::arg("details") = false,
          "As the tool prints it.")
      .def(
          "to_svg", [](const Diagnosed& d) { return to_svg(diagnosis_report(d.diagnosis)); },
          "A picture of the curves that were kept.")
      .def(
          "to_html", [](const Diagnosed& d) { return to_html(diagnosis_report(d.diagnosis)); },
          "A page with the curves that were kept (docs/report.md).")
      .def("__repr__", [](const Diagnosed& d) {
        return "<Diagnosis " + d.diagnosis.source + ": " + assess(d.diagnosis).headline + ">";
      });
}

}  // namespace

void add_places(py::module_& m) {
  words(py::enum_<Verdict>(m, "Verdict", "What the recording says about the bearing.")
            .value("no_fault", Verdict::no_fault)
            .value("fault", Verdict::fault)
            .value("indeterminate", Verdict::indeterminate));
  words(py::enum_<Place>(m, "Place", "Where the damage is.")
            .value("none", Place::none)
            .value("outer_ring", Place::outer_ring)
            .value("inner_ring", Place::inner_ring)
            .value("rolling_element", Place::rolling_element)
            .value("cage", Place::cage)
            .value("several", Place::several)
            .value("unclear", Place::unclear)
            .value("another_bearing", Place::another_bearing)
            .value("cannot_tell", Place::cannot_tell));
}

void add_verdict(py::module_& m) {
  add_verdict_types(m);
  add_assessment(m);
  add_diagnosis(m);
  m.def(
      "judge_together",
      [](const std::vector<Diagnosed>& diagnoses) {
        std::vector<Diagnosis> all;
        for (const Diagnosed& d : diagnoses) all.push_back(d.diagnosis);
        return Diagnosed{take(judge_together(all)),
                         diagnoses.empty() ? std::string{} : diagnoses.front().bearing};
      },
      py::arg("diagnoses"),
      "One Diagnosis from several of one measuring point with one bearing (parts, visits, loads).\n"
      "Those that cannot be judged do not count; to_dict()['recordings'] has each one's share.\n"
      "Raises BadArgument for none, or where none can be judged.");
  m.def(
      "diagnose", &run, py::arg("recording"), py::kw_only(), py::arg("rate_hz") = py::none(),
      py::arg("unit") = "", py::arg("full_scale") = py::none(), py::arg("bearing") = py::none(),
      py::arg("speed_rpm") = py::none(), py::arg("speed_tolerance") = 0.05,
      py::arg("speed_range_rpm") = py::none(), py::arg("line_frequency_hz") = py::none(),
      py::arg("channels") = py::none(), py::arg("tacho_channel") = "",
      py::arg("pulses_per_revolution") = 1.0, py::arg("curves") = "none",
      py::arg("model") = py::none(), py::arg("plans") = py::none(),
      "The whole chain in one call: a recording goes in, a verdict comes out.\n\n"
      "recording: a Capture, or samples [n] or [channels, n] with rate_hz, unit (empty:\n"
      "uncalibrated) and, where known, full_scale. All channels are axes of one measuring point.\n"
      "bearing: a designation, BearingGeometry, DefectOrders, a list of DefectOrders to choose\n"
      "among, or None. speed_rpm is checked and refined; without it the speed is looked for.\n"
      "Doubt is not an error: it is Verdict.indeterminate. Raises TooShort below 1024 samples,\n"
      "NotFound, BadArgument, MissingMetadata. The GIL is released while it works.\n"
      "It is examine(), then judge_examined(): the same in two steps, to the last bit.");
  py::class_<Examination>(m, "Examination",
                          "What a recording shows whatever the bearing is: levels, findings, lines "
                          "that a speed is found by. From examine().")
      .def_property_readonly(
          "capture", [](const Examination& e) { return e.capture(); }, "The recording.");
  m.def("examine", &run_examine, py::arg("recording"), py::kw_only(),
        py::arg("rate_hz") = py::none(), py::arg("unit") = "", py::arg("full_scale") = py::none(),
        py::arg("speed_rpm") = py::none(), py::arg("speed_tolerance") = 0.05,
        py::arg("speed_range_rpm") = py::none(), py::arg("line_frequency_hz") = py::none(),
        py::arg("channels") = py::none(), py::arg("tacho_channel") = "",
        py::arg("pulses_per_revolution") = 1.0, py::arg("curves") = "none",
        py::arg("model") = py::none(), py::arg("plans") = py::none(),
        "The first step of diagnose(): what the recording shows whatever the bearing is.\n\n"
        "Arguments and errors as there. judge_examined() then weighs bearings on it, as often as\n"
        "needed.");
  m.def("judge_examined", &run_judge, py::arg("examination"), py::arg("bearing") = py::none(),
        py::kw_only(), py::arg("plans") = py::none(),
        "The second step of diagnose(): bearings weighed on an examined recording.\n\n"
        "judge_examined(examine(x, ...), bearing) == diagnose(x, bearing=bearing, ...), to the "
        "last\nbit. Raises NotFound, BadArgument.");
}

}  // namespace bearingdsp::python
