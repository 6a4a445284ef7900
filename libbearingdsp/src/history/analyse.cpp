#include "history/analyse.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <filesystem>
#include <utility>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/features.hpp"
#include "bearingdsp/verdict/long_recording.hpp"
#include "verdict/clean_axes.hpp"

namespace bearingdsp {
namespace {

void append(std::string& text, std::string_view key, const std::string& value) {
  if (value.empty()) return;
  add_part(text, fmt::format("{}={}", key, value), "; ");
}
void append(std::string& text, std::string_view key, std::optional<double> value) {
  if (value) append(text, key, fmt::format("{}", *value));
}

std::string joined(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, ","));
}

std::string orders_text(const std::vector<BearingCandidate>& bearings) {
  std::string text;
  for (const BearingCandidate& b : bearings)
    add_part(text,
             fmt::format("{:.4f}/{:.4f}/{:.4f}/{:.4f}", b.orders.bpfo.value(),
                         b.orders.bpfi.value(), b.orders.bsf.value(), b.orders.ftf.value()),
             ",");
  return text;
}

std::string setup_text(const PointSetup& s) {
  std::string text;
  const DiagnoseOptions& d = s.diagnosis;
  const ReadOptions& r = s.reading;
  append(text, "orders", orders_text(d.bearings));
  append(text, "other_end", orders_text(s.other_end));
  if (d.speed) append(text, "rpm", d.speed->value());
  if (d.speed_low) append(text, "rpm_low", d.speed_low->value());
  if (d.speed_high) append(text, "rpm_high", d.speed_high->value());
  if (d.line_frequency) append(text, "mains_hz", d.line_frequency->value());
  append(text, "tacho", d.tacho_channel);
  if (!d.tacho_channel.empty()) append(text, "pulses", d.pulses_per_revolution);
  append(text, "channels", joined(r.select));
  append(text, "unit", joined(r.units));
  append(text, "full_scale", r.full_scale);
  if (r.assumed) append(text, "calibration", "assumed");
  if (r.rate) append(text, "rate_hz", r.rate->value());
  if (!r.sensitivity_mv_per_g.empty()) append(text, "mv_per_g", r.sensitivity_mv_per_g.front());
  return text;
}

std::string settings_text(const PointSettings& s) {
  std::string text = setup_text(s.setup);
  append(text, "load_percent", s.load_percent);
  return text;
}

/// With the samples that the evidence is of: all, or of a long recording those of the piece shown.
Result<LongDiagnosis> read_and_diagnose(const std::string& path, PointSetup setup,
                                        const std::optional<KnownPoint>& at, FftPlans& plans) {
  setup.diagnosis.keep_curves = CurvesKept::envelope;
  if (const auto pieces = open_if_long(path, setup.reading))
    return diagnose_long_known(*pieces, plans, setup.diagnosis, at);
  auto capture = read_capture(path, setup.reading);
  if (!capture) return capture.error();
  auto diagnosis = diagnose_known(*capture, plans, setup.diagnosis, at);
  if (!diagnosis) return diagnosis.error();
  return LongDiagnosis{std::move(*diagnosis), std::move(*capture)};
}

Result<LongDiagnosis> read_and_diagnose(const std::string& path, const PointSettings& s,
                                        FftPlans& plans) {
  return read_and_diagnose(path, s.setup, KnownPoint{s.machine, s.point, s.setup.other_end}, plans);
}

/// What the recording itself gives: verdict, levels, parts.
Reading reading_of(const LongDiagnosis& diagnosed, FftPlans& plans) {
  const auto& [diagnosis, capture] = diagnosed;
  const std::vector<SignalView> axes = diagnosed_axes(capture, diagnosis);
  Levels levels = measure_levels(axes, plans, measured_velocity(diagnosis).from);
  if (diagnosis.speed.found()) measure_shaft(levels, axes, diagnosis.speed.rate, plans);
  Reading r = make_reading(diagnosis, levels);
  r.spectra = visit_spectra(diagnosis, axes, plans);
  return r;
}

}  // namespace

Result<Reading> recording_features(const std::string& path, const PointSetup& setup,
                                   const std::optional<KnownPoint>& at, FftPlans& plans,
                                   std::optional<UtcTime> time) {
  auto hash = sha256_of_file(path);
  if (!hash) return hash.error();
  const auto diagnosed = read_and_diagnose(path, setup, at, plans);
  if (!diagnosed) return diagnosed.error();
  const auto taken = capture_time(diagnosed->piece, time);
  if (!taken) return taken.error();
  Reading r = reading_of(*diagnosed, plans);
  r.hash = std::move(*hash);
  r.path = path;
  r.taken = taken->time;
  r.time_source = taken->source;
  r.settings = setup_text(setup);
  // Of several bearings that were tried, the one that fits.
  if (diagnosed->diagnosis.orders) r.bearing.variants = {*diagnosed->diagnosis.orders};
  return r;
}

Result<PointSettings> point_settings(const Route& route, const RoutePoint& stop) {
  const Machine& machine = route.machine_of(stop);
  const MeasuringPoint& point = route.point_of(stop);
  PointSettings s;
  auto setup = point_setup(machine, point, stop.speed);
  if (!setup) return setup.error();
  s.setup = std::move(*setup);
  s.machine = machine;
  s.point = point;
  s.number = bearing_to_order(machine, point.end);
  s.load_percent = stop.load_percent;
  s.text = settings_text(s);
  return s;
}

PointSettings with_bearing(PointSettings settings, FittedBearing bearing) {
  settings.number = std::move(bearing.number);
  settings.setup.diagnosis.bearings = std::move(bearing.variants);
  settings.text = settings_text(settings);
  return settings;
}

PointSettings for_recording(PointSettings settings, const RecordingMatch& match,
                            const std::vector<Sensor>& sensors) {
  if (match.speed) {
    settings.setup.diagnosis.speed = match.speed;
    settings.setup.diagnosis.speed_low = settings.setup.diagnosis.speed_high = {};
  }
  if (match.load_percent) settings.load_percent = match.load_percent;
  const Sensor* sensor = match.sensor.empty() ? nullptr : find_sensor(sensors, match.sensor);
  if (sensor != nullptr) {
    take_sensor(settings.point, *sensor);
    settings.setup.reading = reading_options(settings.point);
  }
  settings.text = settings_text(settings);
  return settings;
}

FittedBearing bearing_of_settings(std::string_view text) {
  FittedBearing bearing;
  constexpr std::string_view key = "orders=";
  if (!text.starts_with(key)) return bearing;
  text = text.substr(key.size(), text.find(';') - key.size());
  while (!text.empty()) {
    const std::string_view one = text.substr(0, text.find(','));
    text.remove_prefix(std::min(text.size(), one.size() + 1));
    std::array<double, part_count> order{};
    const char* at = one.data();
    const char* end = at + one.size();
    for (double& value : order) {
      const auto [next, code] = std::from_chars(at, end, value);
      if (code != std::errc{}) return {};
      at = next == end ? end : next + 1;
    }
    DefectOrders o;
    o.bpfo = Order{order[0]};
    o.bpfi = Order{order[1]};
    o.bsf = Order{order[2]};
    o.ftf = Order{order[3]};
    o.origin = OrdersOrigin::given;
    o.source = "an earlier analysis";
    bearing.variants.push_back(std::move(o));
  }
  return bearing;
}

Result<Reading> analyse(const std::string& path, const FileContent& content,
                        const SettingsAt& settings_at, std::optional<UtcTime> time,
                        FftPlans& plans) {
  const PointSettings* settings = &settings_at(time.value_or(UtcTime{}));
  auto diagnosed = read_and_diagnose(path, *settings, plans);
  if (!diagnosed) return diagnosed.error();
  std::error_code ignored;
  if (std::filesystem::file_size(path, ignored) != content.size_bytes)
    return Error{Errc::io, path, "is still being written", "run again when it is complete"};
  const auto taken = capture_time(diagnosed->piece, time);
  if (!taken) return taken.error();
  // Only the recording says when it was made, and another bearing was fitted then.
  if (const PointSettings& then = settings_at(taken->time); then.text != settings->text) {
    settings = &then;
    diagnosed = read_and_diagnose(path, *settings, plans);
    if (!diagnosed) return diagnosed.error();
  }
  Reading r = reading_of(*diagnosed, plans);
  r.hash = content.hash;
  r.size_bytes = content.size_bytes;
  r.beginnings = content.beginnings;
  r.path = path;
  r.taken = taken->time;
  r.time_source = taken->source;
  r.settings = settings->text;
  r.bearing = {settings->number, settings->setup.diagnosis.bearings};
  r.load_percent = settings->load_percent;
  return r;
}

}  // namespace bearingdsp
