#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dsp/integrate.hpp"
#include "bearingdsp/dsp/spectrum.hpp"
#include "bearingdsp/dsp/statistics.hpp"
#include "verdict/examination_detail.hpp"

namespace bearingdsp {
namespace {

bool vibration(const Channel& channel) { return channel.unit != SampleUnit::revolution; }

Error refusal(Errc code, std::string where, std::string what, std::string advice) {
  return {code, std::move(where), std::move(what), std::move(advice)};
}

Result<void> check(const Capture& capture, const DiagnoseOptions& options) {
  const auto bad = [](std::string option, std::string what, std::string advice) {
    return Result<void>{
        refusal(Errc::bad_argument, std::move(option), std::move(what), std::move(advice))};
  };
  if (!(capture.rate.value() > 0) || !std::isfinite(capture.rate.value()))
    return Result<void>{
        refusal(Errc::missing_metadata, capture.source, "the sample rate is not known", "give it")};
  // Slower or faster than this nothing turns; far beyond it, rates leave the range of numbers.
  constexpr double min_rpm = 1e-3;
  constexpr double max_rpm = 1e9;
  if (options.speed && !(options.speed->value() > 0 && std::isfinite(options.speed->value())))
    return bad("speed", "is not above zero", "give the speed in revolutions per minute");
  if (options.speed && !(options.speed->value() >= min_rpm && options.speed->value() <= max_rpm))
    return bad("speed", "is not one that a machine has", "give revolutions per minute");
  if (!(options.speed_tolerance > 0 && options.speed_tolerance < 0.5))
    return bad("speed tolerance", "is outside 0 .. 0.5", "give a fraction such as 0.05");
  if (options.speed_low && options.speed_high && !(*options.speed_low < *options.speed_high))
    return bad("speed interval", "is empty", "give the lower speed first");
  if (options.pole_pairs && *options.pole_pairs < 1)
    return bad("pole pairs", "is below one", "give half the number of poles");
  if (!(options.prior > 0 && options.prior < 1))
    return bad("prior", "is not between 0 and 1", "give a fraction such as 0.1");
  return {};
}

/// Indices of the channels to analyse.
Result<std::vector<std::size_t>> choose_channels(const Capture& capture,
                                                 const DiagnoseOptions& options) {
  const auto min_samples = static_cast<std::size_t>(options.model.record.min_samples);
  std::vector<std::size_t> chosen;
  for (const auto& wanted : options.channels) {
    const auto index = channel_index(capture, wanted);
    if (!index) return index.error();
    chosen.push_back(*index);
  }
  if (options.channels.empty())
    for (std::size_t i = 0; i < capture.channels.size(); ++i)
      if (vibration(capture.channels[i]) && capture.channels[i].name != options.tacho_channel)
        chosen.push_back(i);
  std::erase_if(chosen,
                [&](std::size_t i) { return capture.channels[i].samples.size() < min_samples; });
  if (!chosen.empty()) return chosen;
  std::string what = fmt::format("no vibration channel holds {} samples", min_samples);
  const auto cut = std::find_if(capture.findings.begin(), capture.findings.end(),
                                [](const Finding& f) { return f.kind == FindingKind::truncated; });
  if (cut == capture.findings.end())
    return refusal(Errc::too_short, capture.source, std::move(what),
                   "record at least a few seconds");
  return refusal(Errc::too_short, capture.source, what + ": " + cut->what, cut->advice);
}

SignalFigures figures_of(const std::string& name, const SignalView& channel, Hz velocity_from,
                         FftPlans& plans) {
  SignalFigures f;
  static_cast<SignalLevels&>(f) = signal_levels(channel.x);
  f.channel = name;
  f.unit = channel.unit;
  const auto centred = remove_mean(channel.x);
  const VelocityBand band{.low = velocity_from};
  f.velocity_from = velocity_from;
  if (auto v = velocity_rms(centred, channel.rate, channel.unit, plans, band); v)
    f.velocity_rms = *v;
  if (velocity_from < VelocityBand{}.low)
    if (auto s = displacement_rms(centred, channel.rate, channel.unit, plans, band); s)
      f.displacement_rms = *s;
  return f;
}

void add_plain_curves(Diagnosis& d, const Channel& channel, Hz rate, FftPlans& plans) {
  Curve wave{"waveform", channel.name, "s", std::string{symbol(channel.unit)}, {}, {}};
  for (std::size_t i = 0; i < channel.samples.size(); ++i)
    wave.x.push_back(static_cast<double>(i) / rate.value());
  wave.y = channel.samples;
  d.curves.push_back(std::move(wave));
  if (auto s = amplitude_spectrum(channel.samples, rate, plans, {.unit = channel.unit}); s) {
    Curve spectrum{"spectrum", channel.name, "Hz", std::string{symbol(channel.unit)} + " rms", {},
                   {}};
    for (std::size_t k = 1; k < s->y.size(); ++k)
      spectrum.x.push_back(static_cast<double>(k) * s->line_spacing.value());
    spectrum.y.assign(s->y.begin() + 1, s->y.end());
    d.curves.push_back(std::move(spectrum));
  }
}

}  // namespace

DiagnoseOptions with_noted_speed(DiagnoseOptions options, const Capture& capture) {
  const bool has_tacho =
      !options.tacho_channel.empty() &&
      std::any_of(capture.channels.begin(), capture.channels.end(),
                  [&](const Channel& c) { return c.name == options.tacho_channel; });
  if (!options.speed && !options.speed_low && !options.speed_high && !has_tacho)
    options.speed = capture.noted_speed;
  return options;
}

const Capture& Examination::capture() const noexcept { return *detail_->capture; }

Result<Examination> examine(std::shared_ptr<const Capture> recording, FftPlans& plans,
                            const DiagnoseOptions& given) {
  const Capture& capture = *recording;
  const DiagnoseOptions options = with_noted_speed(given, capture);
  if (auto ok = check(capture, options); !ok) return ok.error();
  auto chosen = choose_channels(capture, options);
  if (!chosen) return chosen.error();

  auto detail = std::make_shared<ExaminationDetail>();
  detail->capture = std::move(recording);
  detail->options = options;
  detail->options.bearings.clear();
  detail->chosen = std::move(*chosen);
  Diagnosis& d = detail->found;
  d.prior = options.prior;
  d.calibrated_share = options.model.judgement.calibrated_share;
  d.source = capture.source;
  d.rate = capture.rate;
  d.duration = capture.duration();
  d.findings = capture.findings;
  d.trail = capture.trail;
  detail->repaired = repaired_channels(capture, detail->chosen);
  std::vector<SignalView> live;
  for (std::size_t c = 0; c < detail->chosen.size(); ++c) {
    const Channel& channel = capture.channels[detail->chosen[c]];
    d.channels.push_back(channel.name);
    add_part(detail->names, channel.name, "+");
    d.figures.push_back(
        figures_of(channel.name, detail->repaired.views[c], options.velocity_from, plans));
    if (d.figures.back().rms > 0) {
      live.push_back(detail->repaired.views[c]);
      detail->axis_names.push_back(channel.name);
    }
    if (options.keep_curves == CurvesKept::all) add_plain_curves(d, channel, capture.rate, plans);
  }
  detail->calm = without_isolated_shocks(live, detail->axis_names, d.findings);
  if (!live.empty())
    detail->motion = motion_evidence(capture, detail->axes(), options, plans, d.findings);
  return Examination{std::move(detail)};
}

}  // namespace bearingdsp
