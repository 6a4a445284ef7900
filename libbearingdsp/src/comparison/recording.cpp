#include "bearingdsp/comparison/recording.hpp"

#include <algorithm>
#include <cmath>
#include <span>
#include <stdexcept>
#include <utility>

#include "bearingdsp/dsp/resample.hpp"
#include "bearingdsp/dsp/spectrum.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "verdict/clean_axes.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t max_pieces = 8;
constexpr double turns_a_piece = 10;
constexpr double shortest_piece_s = 0.1;
// A filter's edge: this much less power just above a frequency than just below, and never more
// again. A structure falls slower.
constexpr double edge_db = 25;
constexpr double usual_reach = 0.45;  // of the rate, where a recorder's own filter ends

std::vector<Levels> levels_of_pieces(const std::vector<SignalView>& axes, const ShaftSpeed& speed,
                                     Hz velocity_from, FftPlans& plans) {
  const SignalView& first = axes.front();
  // velocity_rms() asks for three periods of its lowest frequency.
  const double seconds =
      std::max({shortest_piece_s, speed.found() ? turns_a_piece / speed.rate.value() : 0.0,
                3 / velocity_from.value()});
  const auto least = static_cast<std::size_t>(std::ceil(seconds * first.rate.value()));
  const std::size_t count = std::min(max_pieces, first.x.size() / std::max<std::size_t>(1, least));
  std::vector<Levels> pieces;
  if (count < 2) return pieces;
  const std::size_t length = first.x.size() / count;
  for (std::size_t i = 0; i < count; ++i) {
    std::vector<SignalView> piece;
    piece.reserve(axes.size());
    for (const SignalView& axis : axes)
      piece.push_back({axis.x.subspan(i * length, length), axis.rate, axis.unit});
    pieces.push_back(measure_levels(piece, plans, velocity_from));
  }
  return pieces;
}

double median_db(const Spectrum& s, double from_hz, double to_hz) {
  const double df = s.line_spacing.value();
  const auto from = static_cast<std::size_t>(std::max(1.0, from_hz / df));
  const auto to = std::min(s.y.size() - 1, static_cast<std::size_t>(to_hz / df));
  if (from >= to) return -300;
  const double power = median(std::span{s.y}.subspan(from, to - from + 1));
  return power > 0 ? 10 * std::log10(power) : -300;
}

Hz reach_of(const SignalView& axis, FftPlans& plans) {
  const Hz usual = usual_reach * axis.rate;
  WelchOptions options;
  options.segment = 2048;
  const auto spectrum = welch(axis.x, axis.rate, plans, options);
  if (!spectrum) return usual;
  const double nyquist = axis.rate.value() / 2;
  constexpr int places = 102;  // from 0.1 to 0.75 of it, 2 % apart
  for (int i = 0; i < places; ++i) {
    const double f = 0.1 * nyquist * std::pow(1.02, i);
    const double below = median_db(*spectrum, 0.75 * f, 0.95 * f);
    const double above = median_db(*spectrum, 1.05 * f, 1.25 * f);
    const double rest = median_db(*spectrum, 1.25 * f, 0.98 * nyquist);
    if (below - std::max(above, rest) > edge_db) return Hz{f};
  }
  return usual;
}

/// Columns as a curve: each at its middle.
void add_curve(ComparedRecording& r, const KeptSpectrum& spectrum, Curve curve) {
  if (spectrum.level.empty()) return;
  for (std::size_t i = 0; i < spectrum.level.size(); ++i)
    curve.x.push_back(spectrum.start + (static_cast<double>(i) + 0.5) * spectrum.step);
  curve.y = spectrum.level;
  r.curves.push_back(std::move(curve));
}

}  // namespace

bool usable(const ComparedRecording& r) noexcept {
  return first_blocking(r.reading.findings) == nullptr;
}

bool same_signal(const Capture& a, const Capture& b) {
  constexpr double same = 0.999;
  const auto signal = [](const Capture& c) {
    const auto at = std::find_if(c.channels.begin(), c.channels.end(), [](const Channel& channel) {
      return channel.unit != SampleUnit::revolution && !channel.samples.empty();
    });
    return at == c.channels.end() ? std::span<const double>{}
                                  : std::span<const double>{at->samples};
  };
  const auto x = signal(a);
  const auto y = signal(b);
  const std::size_t n = std::min(x.size(), y.size());
  if (a.rate != b.rate || n < 3) return false;
  // The steps, since a strong line of the shaft may be alike in two recordings.
  double xy = 0;
  double xx = 0;
  double yy = 0;
  for (std::size_t i = 1; i < n; ++i) {
    const double dx = x[i] - x[i - 1];
    const double dy = y[i] - y[i - 1];
    xy += dx * dy;
    xx += dx * dx;
    yy += dy * dy;
  }
  return xy > 0 && xy > same * std::sqrt(xx) * std::sqrt(yy);
}

Capture at_rate(const Capture& capture, Hz rate) {
  if (!(rate.value() > 0) || rate > capture.rate)
    throw std::invalid_argument{"at_rate: the new rate is not below the capture's"};
  if (rate == capture.rate) return capture;
  Capture slow = capture;
  slow.rate = rate;
  slow.channels.clear();
  for (const Channel& c : capture.channels) {
    if (c.unit == SampleUnit::revolution || c.samples.empty()) continue;
    Channel channel{c.name, c.unit, resample(c.samples, rate / capture.rate), c.full_scale};
    slow.channels.push_back(std::move(channel));
  }
  return slow;
}

Result<ComparedRecording> measure_recording(const Capture& capture, const DiagnoseOptions& options,
                                            const std::optional<KnownPoint>& at,
                                            const RecordingFacts& facts, FftPlans& plans) {
  const auto d = diagnose_known(capture, plans, options, at);
  if (!d) return d.error();
  return compared_recording(capture, *d, options, facts, plans);
}

ComparedRecording compared_recording(const Capture& capture, const Diagnosis& d,
                                     const DiagnoseOptions& options, const RecordingFacts& facts,
                                     FftPlans& plans) {
  const std::vector<SignalView> axes = diagnosed_axes(capture, d);
  ComparedRecording r;
  const Hz velocity_from = measured_velocity(d).from;
  r.reading = make_reading(d, measure_levels(axes, plans, velocity_from));
  r.reading.load_percent = facts.load_percent;
  r.reading.bearing.variants = options.bearings;
  r.recorded_rate = capture.rate;
  r.reach = usual_reach * capture.rate;
  r.facts = facts;
  r.speed_seen = d.speed.found() && d.speed.method != SpeedMethod::given;
  r.orders = d.orders;
  for (const Curve& c : d.curves)
    if (c.x_unit != "s") r.curves.push_back(c);
  if (axes.empty()) return r;
  r.pieces = levels_of_pieces(axes, d.speed, velocity_from, plans);
  for (const SignalView& axis : axes) r.reach = std::min(r.reach, reach_of(axis, plans));
  if (d.speed.found()) measure_shaft(r.reading.levels, axes, d.speed.rate, plans);
  for (const Channel& c : capture.channels)
    if (c.full_scale && c.unit == axes.front().unit) r.range = c.full_scale;
  return r;
}

ComparedRecording recording_of(const Reading& reading) {
  ComparedRecording r;
  r.reading = reading;
  r.recorded_rate = reading.rate;
  r.reach = usual_reach * reading.rate;
  r.facts.load_percent = reading.load_percent;
  if (!reading.spectra) return r;
  r.orders = reading.spectra->orders;
  add_curve(r, reading.spectra->envelope,
            {"envelope spectrum, whole band", "", "orders", "modulation depth", {}, {}});
  add_curve(r, reading.spectra->velocity, {"spectrum", "", "Hz", "m/s rms", {}, {}});
  return r;
}

}  // namespace bearingdsp
