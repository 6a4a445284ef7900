#include "bearingdsp/capture/calibrator.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <span>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace bearingdsp {
namespace {

constexpr double search = 0.03;       ///< of the frequency, to both sides
constexpr double clipped_at = 0.999;  ///< of full scale
constexpr double max_unsteadiness = 0.05;
constexpr double max_other = 0.2;
constexpr double part_seconds = 0.5;
constexpr double min_seconds = 1;
constexpr double min_periods = 20;

double mean_of(std::span<const double> x) {
  double sum = 0;
  for (const double v : x) sum += v;
  return sum / static_cast<double>(x.size());
}

/// Amplitude of the sine of that frequency (cycles a sample) under a Hann window.
double amplitude_at(std::span<const double> x, double mean, double cycles) {
  const auto n = static_cast<double>(x.size());
  constexpr double turn = 2 * std::numbers::pi;
  const std::complex<double> step = std::polar(1.0, -turn * cycles);
  const std::complex<double> window_step = std::polar(1.0, turn / n);
  std::complex<double> tone{1, 0};
  std::complex<double> window = std::polar(1.0, std::numbers::pi / n);
  std::complex<double> sum{};
  for (std::size_t i = 0; i < x.size(); ++i) {
    sum += (0.5 - 0.5 * window.real()) * (x[i] - mean) * tone;
    tone *= step;
    window *= window_step;
    // The rotation would drift by rounding.
    if (i % 4096 == 4095) {
      tone /= std::abs(tone);
      window /= std::abs(window);
    }
  }
  // The window's mean is one half; a sine of amplitude A has A/2 on each side.
  return 4 * std::abs(sum) / n;
}

/// Mean square under the same window: ends within a period do not count.
double windowed_power(std::span<const double> x, double mean) {
  const auto n = static_cast<double>(x.size());
  const std::complex<double> step = std::polar(1.0, 2 * std::numbers::pi / n);
  std::complex<double> window = std::polar(1.0, std::numbers::pi / n);
  double sum = 0;
  for (const double v : x) {
    sum += (0.5 - 0.5 * window.real()) * (v - mean) * (v - mean);
    window *= step;
  }
  return 2 * sum / n;
}

/// The frequency of the largest amplitude between two within one main lobe, by thirds.
double highest_between(std::span<const double> x, double mean, double low, double high) {
  for (int i = 0; i < 24; ++i) {
    const double a = low + (high - low) / 3;
    const double b = high - (high - low) / 3;
    if (amplitude_at(x, mean, a) < amplitude_at(x, mean, b))
      low = a;
    else
      high = b;
  }
  return (low + high) / 2;
}

/// Cycles a sample of the strongest tone near `centre`. A short part has a wide main lobe: it finds
/// the tone, and each part twice as long finds it more exactly, within the lobe that is known.
double strongest_near(std::span<const double> x, double mean, double centre, std::size_t part) {
  double line = 1 / static_cast<double>(part);
  double best = centre;
  double highest = 0;
  for (double f = (1 - search) * centre; f <= (1 + search) * centre; f += line / 4) {
    const double a = amplitude_at(x.first(part), mean, f);
    if (a <= highest) continue;
    highest = a;
    best = f;
  }
  for (std::size_t n = part;; n = std::min(2 * n, x.size())) {
    line = 1 / static_cast<double>(n);
    best = highest_between(x.first(n), mean, best - line / 2, best + line / 2);
    if (n == x.size()) return best;
  }
}

Error no_calibration(const Capture& capture, std::string what, std::string advice) {
  return {Errc::corrupt_file, capture.source, std::move(what), std::move(advice)};
}

Error unsteady(const Capture& capture, const CalibrationTone& tone) {
  return no_calibration(
      capture, fmt::format("the level of the tone changes by {:.2g} %", 100 * tone.unsteadiness),
      "switch automatic gain off, record only while the calibrator runs, and fix the sensor "
      "firmly");
}

Result<void> check(const Capture& capture, const Channel& channel, Hz nominal) {
  const double rate = capture.rate.value();
  if (!(nominal.value() > 0) || nominal.value() > rate / 3)
    return Error{Errc::bad_argument, capture.source,
                 fmt::format("a tone of {:.6g} Hz cannot be measured at {:.6g} samples per second",
                             nominal.value(), rate),
                 "give the frequency of the calibrator, below a third of the sample rate"};
  const double seconds = capture.duration().value();
  const double needed = std::max(min_seconds, min_periods / nominal.value());
  if (seconds < needed)
    return Error{Errc::too_short, capture.source,
                 fmt::format("is {:.3g} s long, a calibration takes {:.3g} s", seconds, needed),
                 "record the calibrator longer"};
  if (!channel.full_scale) return {};
  const bool clipped = std::any_of(channel.samples.begin(), channel.samples.end(), [&](double v) {
    return std::abs(v) >= clipped_at * *channel.full_scale;
  });
  if (!clipped) return {};
  return no_calibration(capture, "the tone is clipped at full scale",
                        "reduce the gain, keep it for all recordings, and record the calibrator "
                        "again");
}

}  // namespace

Result<CalibrationTone> find_calibration_tone(const Capture& capture, std::size_t index,
                                              Hz nominal) {
  const Channel& channel = capture.channels.at(index);
  if (auto fine = check(capture, channel, nominal); !fine) return fine.error();
  const std::span<const double> x{channel.samples};
  const double rate = capture.rate.value();
  const double mean = mean_of(x);
  const auto part = std::min(
      x.size(), static_cast<std::size_t>(std::max(part_seconds, 10 / nominal.value()) * rate));
  const double cycles = strongest_near(x, mean, nominal.value() / rate, part);
  CalibrationTone tone;
  tone.frequency = Hz{cycles * rate};
  tone.amplitude = amplitude_at(x, mean, cycles);
  const double power = windowed_power(x, mean);
  const double of_tone = tone.amplitude * tone.amplitude / 2;
  tone.other = of_tone > 0 ? std::sqrt(std::max(0.0, power - of_tone) / of_tone) : 1e9;
  for (std::size_t at = 0; at + part <= x.size(); at += part) {
    const double a = amplitude_at(x.subspan(at, part), mean, cycles);
    tone.unsteadiness = std::max(tone.unsteadiness, std::abs(a / tone.amplitude - 1));
  }
  if (!(tone.other <= max_other))
    return no_calibration(
        capture,
        fmt::format(
            "contains no clean tone at {:.6g} Hz: everything else has {:.3g} times its level",
            nominal.value(), std::min(tone.other, 1e9)),
        "check the frequency of the calibrator and the mounting of the sensor, and record it "
        "alone");
  if (!(tone.unsteadiness <= max_unsteadiness)) return unsteady(capture, tone);
  return tone;
}

Result<CalibrationTone> find_calibration_tone(std::span<const Capture> pieces, std::size_t channel,
                                              Hz nominal) {
  if (pieces.empty()) throw std::invalid_argument{"find_calibration_tone: no piece"};
  std::vector<CalibrationTone> tones;
  for (const Capture& piece : pieces) {
    const auto tone = find_calibration_tone(piece, channel, nominal);
    if (!tone) return tone.error();
    tones.push_back(*tone);
  }
  CalibrationTone all;
  const auto n = static_cast<double>(tones.size());
  for (const CalibrationTone& t : tones) {
    all.amplitude += t.amplitude / n;
    all.frequency = Hz{all.frequency.value() + t.frequency.value() / n};
    all.other = std::max(all.other, t.other);
  }
  for (const CalibrationTone& t : tones)
    all.unsteadiness =
        std::max({all.unsteadiness, t.unsteadiness, std::abs(t.amplitude / all.amplitude - 1)});
  if (!(all.unsteadiness <= max_unsteadiness)) return unsteady(pieces.front(), all);
  return all;
}

double scale_of(const CalibrationTone& tone, AccelerationRms level) {
  return std::numbers::sqrt2 * level.value() / tone.amplitude;
}

}  // namespace bearingdsp
