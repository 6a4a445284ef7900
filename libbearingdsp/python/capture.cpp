#include "bearingdsp/capture/capture.hpp"

#include "arguments.hpp"
#include "bearingdsp/capture/file_unit.hpp"
#include "bearingdsp/capture/missing.hpp"
#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/capture/write.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

/// Channels stay where they are: each is a view that keeps its capture alive.
py::list channels(const py::object& self) {
  const auto& capture = py::cast<const Capture&>(self);
  py::list list;
  for (const Channel& c : capture.channels)
    list.append(py::cast(&c, py::return_value_policy::reference_internal, self));
  return list;
}

py::object channel_of(const py::object& self, const std::string& wanted) {
  for (const Channel& c : py::cast<const Capture&>(self).channels)
    if (c.name == wanted) return py::cast(&c, py::return_value_policy::reference_internal, self);
  throw py::key_error("no channel '" + wanted + "'");
}

ReadOptions reading(std::optional<double> rate_hz, const py::object& unit,
                    std::vector<double> sensitivity, std::optional<double> full_scale,
                    const py::object& select, std::vector<std::string> names,
                    std::string time_column) {
  ReadOptions options;
  options.rate = quantity<Hz>(rate_hz);
  options.units = texts_argument("unit", unit);
  options.sensitivity_mv_per_g = std::move(sensitivity);
  options.full_scale = full_scale;
  options.select = texts_argument("select", select);
  options.names = std::move(names);
  options.time_column = std::move(time_column);
  return options;
}

}  // namespace

Capture capture_from_array(const RawSamples& samples, double rate_hz, const std::string& unit,
                           const std::vector<std::string>& names, std::optional<double> full_scale,
                           std::optional<double> noted_speed_rpm) {
  if (!(rate_hz > 0 && rate_hz < 1e12))
    throw Failure{{Errc::bad_argument, "rate_hz", "is not a positive number",
                   "give the samples per second, as 25600"}};
  if (samples.ndim() < 1 || samples.ndim() > 2)
    throw py::value_error("give the samples as [n], or as [channels, n]");
  const bool several = samples.ndim() == 2;
  const auto count = static_cast<std::size_t>(several ? samples.shape(0) : 1);
  const auto n = static_cast<std::size_t>(samples.shape(several ? 1 : 0));
  if (count == 0 || n == 0)
    throw Failure{{Errc::too_short, "samples", "there are none", "give a recording"}};
  // The other way round is 25600 channels of one sample: nobody's recording.
  if (several && count > 64 && count > n)
    throw Failure{{Errc::bad_argument, "samples",
                   std::to_string(count) + " channels of " + std::to_string(n) + " samples",
                   "the array is [channels, n]: transpose it"}};
  if (!names.empty() && names.size() != count)
    throw Failure{{Errc::bad_argument, "names",
                   std::to_string(names.size()) + " for " + std::to_string(count) + " channels",
                   "give one a channel, or none"}};
  const FileUnit si = unit.empty() ? FileUnit{} : take(parse_file_unit(unit));
  Capture capture;
  capture.source = "memory";
  capture.format = "array";
  capture.rate = Hz{rate_hz};
  capture.noted_speed = quantity<Rpm>(positive("noted_speed_rpm", noted_speed_rpm));
  positive("full_scale", full_scale);
  for (std::size_t c = 0; c < count; ++c) {
    Channel channel;
    channel.name = names.empty() ? "channel " + std::to_string(c + 1) : names[c];
    channel.unit = si.kind;
    const double* first = samples.data() + c * n;
    channel.samples.assign(first, first + n);
    if (si.to_si != 1)
      for (double& x : channel.samples) x *= si.to_si;
    if (full_scale) channel.full_scale = *full_scale * si.to_si;
    capture.channels.push_back(std::move(channel));
  }
  take(fill_missing(capture));
  return capture;
}

void add_capture(py::module_& m) {
  value_type<Channel>(m, "Channel", "One contiguous array of samples with its unit.")
      .def_readonly("name", &Channel::name, "As in the file, or \"channel 1\" ...")
      .def_readonly("unit", &Channel::unit, "Unit of the samples.")
      .def_readonly("full_scale", &Channel::full_scale,
                    "Largest magnitude of the recorder, in the unit of the samples; or None.")
      .def_property_readonly("samples", array_of(&Channel::samples),
                             "float64 [n], SI; read-only, shares the capture's memory.")
      .def("__repr__", [](const Channel& c) {
        return py::str("<Channel {}: {} samples in {}>")
            .format(c.name, c.samples.size(), std::string{symbol(c.unit)});
      });
  value_type<Capture>(m, "Capture", "A recording as it came in: channels in SI with their units.")
      .def_readonly("source", &Capture::source, "Path as given, or \"memory\".")
      .def_readonly("format", &Capture::format,
                    "Format of the file, as \"WAV PCM 16\"; \"array\" for an array.")
      .def_property_readonly("rate_hz", number(&Capture::rate), "Samples per second.")
      .def_property_readonly(
          "duration_s", [](const Capture& c) { return c.duration().value(); }, "Length, s.")
      .def_property_readonly("channels", &channels, "All channels, in the order of the file.")
      .def_readonly("start_utc", &Capture::start_utc,
                    "Start, ISO 8601 in UTC, where the file states it; or None.")
      .def_property_readonly("noted_speed_rpm", maybe_number(&Capture::noted_speed),
                             "Shaft speed where the file states one, rpm; or None.")
      .def_readonly("findings", &Capture::findings, "What the reader noticed.")
      .def_property_readonly(
          "trail",
          [](const Capture& c) {
            std::vector<std::pair<std::string, std::string>> steps;
            for (const Step& s : c.trail) steps.emplace_back(s.op, s.args);
            return steps;
          },
          "What was done to the samples, in order.")
      .def("__len__", &Capture::size)
      .def("__getitem__", &channel_of, py::arg("name"), "The channel of that name.")
      .def("__repr__", [](const Capture& c) {
        return py::str("<Capture {}: {} channels of {} samples at {} Hz>")
            .format(c.source, c.channels.size(), c.size(), c.rate.value());
      });

  m.def(
      "read_capture",
      [](const py::object& path, std::optional<double> rate_hz, const py::object& unit,
         std::vector<double> sensitivity, std::optional<double> full_scale,
         const py::object& select, std::vector<std::string> names, std::string time_column) {
        const auto file = py::cast<std::string>(py::module_::import("os").attr("fspath")(path));
        const ReadOptions options = reading(rate_hz, unit, std::move(sensitivity), full_scale,
                                            select, std::move(names), std::move(time_column));
        const py::gil_scoped_release released;
        return take(read_capture(file, options));
      },
      py::arg("path"), py::kw_only(), py::arg("rate_hz") = py::none(), py::arg("unit") = py::none(),
      py::arg("sensitivity_mv_per_g") = std::vector<double>{}, py::arg("full_scale") = py::none(),
      py::arg("select") = py::none(), py::arg("names") = std::vector<std::string>{},
      py::arg("time_column") = "",
      "Read a recording: audio (WAV, FLAC ...), delimited text, MAT v4 to v7.3, HDF5, NumPy, "
      "universal files.\n\n"
      "Everything left out is taken from the file. unit (\"g\", \"m/s2\", \"V\" ...) is one for\n"
      "all channels or one a channel; full_scale is the value of digital full scale in unit;\n"
      "select names channels, columns or variables, by name, pattern, number or range.\n"
      "Raises IoFailure, UnsupportedFormat, CorruptFile, MissingMetadata, NotFound, TooShort,\n"
      "BadArgument.");
  m.def(
      "read_capture_bytes",
      [](const py::bytes& bytes, const std::string& name, std::optional<double> rate_hz,
         const py::object& unit, std::vector<double> sensitivity, std::optional<double> full_scale,
         const py::object& select, std::vector<std::string> names, std::string time_column) {
        const std::string_view text = bytes;
        const ReadOptions options = reading(rate_hz, unit, std::move(sensitivity), full_scale,
                                            select, std::move(names), std::move(time_column));
        const py::gil_scoped_release released;
        return take(read_capture_bytes(std::as_bytes(std::span{text}), name, options));
      },
      py::arg("data"), py::arg("name"), py::kw_only(), py::arg("rate_hz") = py::none(),
      py::arg("unit") = py::none(), py::arg("sensitivity_mv_per_g") = std::vector<double>{},
      py::arg("full_scale") = py::none(), py::arg("select") = py::none(),
      py::arg("names") = std::vector<std::string>{}, py::arg("time_column") = "",
      "As read_capture(), from a file's bytes; `name` stands for the path in messages, and its\n"
      "ending helps to decide the format.");
  m.def(
      "capture_from_array", &capture_from_array, py::arg("samples"), py::arg("rate_hz"),
      py::kw_only(), py::arg("unit") = "", py::arg("names") = std::vector<std::string>{},
      py::arg("full_scale") = py::none(), py::arg("noted_speed_rpm") = py::none(),
      "A capture of an array [n] or [channels, n]; the samples are copied once.\n\n"
      "unit: of the samples, \"g\", \"m/s2\", \"mm/s\", \"V\" ...; empty: uncalibrated. Masked "
      "samples\n"
      "and NaN are filled by straight lines up to 1 % of a channel, with a finding, as in files;\n"
      "beyond that CorruptFile is raised.");
  m.def(
      "write_wav",
      [](const Capture& capture, const std::string& path, int bits, double full_scale) {
        WriteWavOptions options;
        options.full_scale = full_scale;
        if (bits != 16 && bits != 24 && bits != 32)
          throw Failure{{Errc::bad_argument, "bits", std::to_string(bits) + " is not 16, 24 or 32",
                         "32 keeps the values as they are"}};
        options.samples = bits == 16   ? WavSamples::pcm16
                          : bits == 24 ? WavSamples::pcm24
                                       : WavSamples::float32;
        const py::gil_scoped_release released;
        take(write_wav(capture, path, options));
      },
      py::arg("capture"), py::arg("path"), py::kw_only(), py::arg("bits") = 32,
      py::arg("full_scale") = 1.0,
      "Write all channels; 32 bits keep SI values as float, 16 and 24 are fractions of "
      "full_scale.");
  m.def(
      "assess_quality",
      [](const Capture& capture, std::optional<double> speed_rpm, PlansArgument plans) {
        QualityNeeds needs;
        if (speed_rpm) needs.shaft = shaft_rate(Rpm{positive("speed_rpm", *speed_rpm)});
        const PlansArgument kept = or_fresh(std::move(plans));
        const py::gil_scoped_release released;
        return assess_quality(capture, needs, *kept);
      },
      py::arg("capture"), py::kw_only(), py::arg("speed_rpm") = py::none(),
      py::arg("plans") = py::none(),
      "Findings about every channel: clipping, dropped samples, hum, too short ...");
}

}  // namespace bearingdsp::python
