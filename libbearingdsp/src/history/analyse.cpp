#include "history/analyse.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "bearingdsp/verdict/long_recording.hpp"
#include "bearingdsp/verdict/variants.hpp"

namespace bearingdsp {
namespace {

void append(std::string& text, std::string_view key, const std::string& value) {
  if (value.empty()) return;
  text += fmt::format("{}{}={}", text.empty() ? "" : "; ", key, value);
}
void append(std::string& text, std::string_view key, std::optional<double> value) {
  if (value) append(text, key, fmt::format("{}", *value));
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& w : words) text += (text.empty() ? "" : ",") + w;
  return text;
}

std::string orders_text(const std::vector<DefectOrders>& variants) {
  std::string text;
  for (const DefectOrders& o : variants)
    text += fmt::format("{}{:.4f}/{:.4f}/{:.4f}/{:.4f}", text.empty() ? "" : ",", o.bpfo.value(),
                        o.bpfi.value(), o.bsf.value(), o.ftf.value());
  return text;
}

std::string settings_text(const PointSettings& s) {
  std::string text;
  append(text, "orders", orders_text(s.variants));
  if (s.diagnosis.speed) append(text, "rpm", s.diagnosis.speed->value());
  if (s.diagnosis.speed_low) append(text, "rpm_low", s.diagnosis.speed_low->value());
  if (s.diagnosis.speed_high) append(text, "rpm_high", s.diagnosis.speed_high->value());
  if (s.diagnosis.line_frequency) append(text, "mains_hz", s.diagnosis.line_frequency->value());
  append(text, "tacho", s.diagnosis.tacho_channel);
  if (!s.diagnosis.tacho_channel.empty()) append(text, "pulses", s.diagnosis.pulses_per_revolution);
  append(text, "channels", joined(s.reading.select));
  append(text, "unit", joined(s.reading.units));
  append(text, "full_scale", s.reading.full_scale);
  if (s.reading.rate) append(text, "rate_hz", s.reading.rate->value());
  if (!s.reading.sensitivity_mv_per_g.empty())
    append(text, "mv_per_g", s.reading.sensitivity_mv_per_g.front());
  append(text, "load_percent", s.load_percent);
  return text;
}

/// The channels that were diagnosed.
std::vector<SignalView> axes_of(const Capture& capture, const Diagnosis& diagnosis) {
  std::vector<SignalView> axes;
  for (std::size_t i = 0; i < capture.channels.size(); ++i)
    if (std::find(diagnosis.channels.begin(), diagnosis.channels.end(), capture.channels[i].name) !=
        diagnosis.channels.end())
      axes.push_back(capture.view(i));
  return axes;
}

/// With the samples that the evidence is of: all, or of a long recording those of the piece shown.
Result<LongDiagnosis> read_and_diagnose(const std::string& path, const PointSettings& settings,
                                        FftPlans& plans) {
  DiagnoseOptions options = settings.diagnosis;
  options.keep_curves = CurvesKept::envelope;
  const auto diagnosed = [&](const Capture& capture) {
    return settings.variants.empty()
               ? diagnose(capture, plans, options)
               : diagnose_variants(capture, plans, options, settings.variants);
  };
  if (const auto pieces = open_if_long(path, settings.reading))
    return diagnose_long(*pieces, plans, diagnosed,
                         {.shaft = lowest_shaft(options), .keep_piece = true});
  auto capture = read_capture(path, settings.reading);
  if (!capture) return capture.error();
  auto diagnosis = diagnosed(*capture);
  if (!diagnosis) return diagnosis.error();
  return LongDiagnosis{std::move(*diagnosis), std::move(*capture)};
}

}  // namespace

Result<PointSettings> point_settings(const Route& route, const RoutePoint& stop) {
  const Machine& machine = route.machine_of(stop);
  const MeasuringPoint& point = route.point_of(stop);
  PointSettings s;
  auto setup = point_setup(machine, point, stop.speed);
  if (!setup) return setup.error();
  s.reading = std::move(setup->reading);
  s.diagnosis = std::move(setup->diagnosis);
  s.variants = std::move(setup->variants);
  s.load_percent = stop.load_percent;
  s.text = settings_text(s);
  return s;
}

Result<Reading> analyse(const std::string& path, const std::string& hash,
                        const PointSettings& settings, std::optional<UtcTime> time,
                        FftPlans& plans) {
  auto diagnosed = read_and_diagnose(path, settings, plans);
  if (!diagnosed) return diagnosed.error();
  const auto& [diagnosis, capture] = *diagnosed;
  const auto taken = capture_time(capture, time);
  if (!taken) return taken.error();
  const std::vector<SignalView> axes = axes_of(capture, diagnosis);
  Levels levels = measure_levels(axes, plans);
  if (diagnosis.speed.found()) measure_shaft(levels, axes, diagnosis.speed.rate, plans);
  Reading r = make_reading(diagnosis, levels);
  r.spectra = visit_spectra(diagnosis, axes, plans);
  r.hash = hash;
  r.path = path;
  r.taken = taken->time;
  r.time_source = taken->source;
  r.settings = settings.text;
  r.load_percent = settings.load_percent;
  return r;
}

}  // namespace bearingdsp
