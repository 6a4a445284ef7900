#include "bearingdsp/speed/estimate.hpp"

#include "bearingdsp/speed/order_tracking.hpp"
#include "bearingdsp/speed/phase_track.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"
#include "bearingdsp/speed/tacho.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

void add_speed_types(py::module_& m) {
  value_type<ShaftSpeed>(m, "ShaftSpeed", "How fast the shaft turned and how that was found.")
      .def_property_readonly("found", &ShaftSpeed::found, "Whether the speed is known.")
      .def_property_readonly(
          "method", [](const ShaftSpeed& s) { return std::string{token(s.method)}; },
          "How it was found: 'given', 'tacho' ...")
      .def_property_readonly("rate_hz", number(&ShaftSpeed::rate), "Mean over the recording; Hz.")
      .def_property_readonly(
          "rpm", [](const ShaftSpeed& s) { return shaft_speed(s.rate).value(); },
          "Mean over the recording, rpm.")
      .def_readonly("relative_uncertainty", &ShaftSpeed::relative_uncertainty,
                    "One standard deviation, as a fraction.")
      .def_readonly("relative_variation", &ShaftSpeed::relative_variation,
                    "Peak-to-peak change within the recording, as a fraction.")
      .def_readonly("confidence", &ShaftSpeed::confidence,
                    "Probability that it is the speed of the shaft, 0 .. 1.")
      .def_readonly("why", &ShaftSpeed::why, "What it rests on, in words.")
      .def("__repr__", [](const ShaftSpeed& s) {
        return py::str("<ShaftSpeed {:.6g} rpm, {}>")
            .format(shaft_speed(s.rate).value(), std::string{token(s.method)});
      });
  value_type<PhaseTrack>(m, "PhaseTrack", "Angle of the shaft against time.")
      .def(py::init([](const Samples& time, const Samples& revolutions) {
             PhaseTrack track;
             const auto t = view(time);
             const auto r = view(revolutions);
             bool rising = t.size() == r.size() && t.size() >= 2;
             for (std::size_t i = 1; rising && i < t.size(); ++i)
               rising = t[i] > t[i - 1] && r[i] > r[i - 1];
             if (!rising)
               throw Failure{{Errc::bad_argument, "PhaseTrack",
                              "times and revolutions are not two equally long rising lists",
                              "give two values or more of each"}};
             track.time.assign(t.begin(), t.end());
             track.revolutions.assign(r.begin(), r.end());
             track.source = "given by the user";
             return track;
           }),
           py::arg("time_s"), py::arg("revolutions"))
      .def_property_readonly("time_s", array_of(&PhaseTrack::time),
                             "float64 [n], s, rising; read-only, shared.")
      .def_property_readonly(
          "revolutions", array_of(&PhaseTrack::revolutions),
          "float64 [n], angle of the shaft in revolutions, rising; read-only, shared.")
      .def_readonly("tracked_variation", &PhaseTrack::tracked_variation,
                    "Peak-to-peak change of the rate, as a fraction.")
      .def_readonly("confidence", &PhaseTrack::confidence,
                    "Probability that it is the shaft's; 1 for one that was given or is a tacho's.")
      .def_readonly("source", &PhaseTrack::source, "What it was made from.")
      .def_property_readonly(
          "mean_rate_hz", [](const PhaseTrack& t) { return t.mean_rate().value(); },
          "Revolutions over time, Hz.");
  value_type<TachoReading>(m, "TachoReading", "Speed and angle from a shaft marker.")
      .def_readonly("speed", &TachoReading::speed, "Mean speed.")
      .def_readonly("track", &TachoReading::track, "Angle of the shaft against time.")
      .def_property_readonly("edges_s", array_of(&TachoReading::edges),
                             "float64 [pulses]: instants of the pulses, s; read-only, shared.")
      .def_readonly("missing_pulses", &TachoReading::missing_pulses, "Pulses that were filled in.")
      .def_readonly("extra_pulses", &TachoReading::extra_pulses, "Pulses that were dropped.")
      .def_readonly("findings", &TachoReading::findings, "What was odd about the pulses.");
}

SpeedInterval interval(const std::optional<std::pair<double, double>>& range_rpm) {
  if (!range_rpm) return {};
  if (!(range_rpm->first > 0 && range_rpm->first < range_rpm->second))
    throw Failure{{Errc::bad_argument, "speed_range_rpm", "the first is not the lower one",
                   "give (low, high), as (1400, 1500)"}};
  return {shaft_rate(Rpm{range_rpm->first}), shaft_rate(Rpm{range_rpm->second})};
}

}  // namespace

void add_speed(py::module_& m) {
  add_speed_types(m);
  m.def(
      "estimate_speed",
      [](const Samples& x, double rate_hz, std::optional<double> speed_rpm, double tolerance,
         const std::optional<std::pair<double, double>>& range,
         const std::optional<DefectOrders>& orders, PlansArgument plans) {
        SpeedOptions options;
        if (speed_rpm) options.given = shaft_rate(Rpm{*speed_rpm});
        options.given_tolerance = tolerance;
        options.search = interval(range);
        options.orders = orders;
        const std::vector<SignalView> axes{{view(x), Hz{rate_hz}, SampleUnit::uncalibrated}};
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return estimate_speed(axes, *kept, options).best;
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("speed_rpm") = py::none(),
      py::arg("speed_tolerance") = 0.05, py::arg("speed_range_rpm") = py::none(),
      py::arg("orders") = py::none(), py::arg("plans") = py::none(),
      "Mean rotational frequency from lines at whole multiples of one rate; `found` is False\n"
      "and `why` says why where nothing in the recording fixes it.");
  m.def(
      "read_tacho",
      [](const Samples& x, double rate_hz, double pulses, double hysteresis) {
        const SignalView channel{view(x), Hz{rate_hz}, SampleUnit::revolution};
        const py::gil_scoped_release released;
        return take(read_tacho(channel, {pulses, hysteresis}));
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("pulses_per_revolution") = 1.0,
      py::arg("hysteresis") = 0.3,
      "Speed and angle from a tacho channel; missing and double pulses are corrected and counted.");
  m.def(
      "track_from_vibration",
      [](const Samples& x, double rate_hz, const std::optional<std::pair<double, double>>& range,
         PlansArgument plans) {
        TrackOptions options;
        options.search = interval(range);
        const std::vector<SignalView> axes{{view(x), Hz{rate_hz}, SampleUnit::uncalibrated}};
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return take(track_from_vibration(axes, *kept, options));
      },
      py::arg("x"), py::arg("rate_hz"), py::kw_only(), py::arg("speed_range_rpm") = py::none(),
      py::arg("plans") = py::none(),
      "Angle of the shaft from the vibration itself. Raises TooShort, NoSpeed.");
  m.def(
      "resample_to_angle",
      [](const Samples& x, double rate_hz, const PhaseTrack& track, double per_revolution) {
        const auto in = view(x);
        AngleSignal signal = [&] {
          const py::gil_scoped_release released;
          return resample_to_angle(in, Hz{rate_hz}, track, per_revolution);
        }();
        return owned(std::move(signal.x));
      },
      py::arg("x"), py::arg("rate_hz"), py::arg("track"), py::arg("samples_per_revolution"),
      "Computed order tracking (Fyfe & Munck 1997): x at even steps of shaft angle.");
}

}  // namespace bearingdsp::python
