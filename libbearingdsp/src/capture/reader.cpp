#include "reader.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fast_float/fast_float.h>
#include <fmt/format.h>

#include "bearingdsp/capture/missing.hpp"
#include "other_unit.hpp"
#include "rate.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// Values that are no numbers are filled by interpolation up to this part of a channel: beyond it
/// the filled stretches would shape the spectrum.
constexpr double repairable_fraction = 0.01;
/// A filled run longer than this is a dropout that may hide or fake an impact.
constexpr std::size_t harmless_run = 8;

/// No recorder reaches this in any unit: it is a mark for "no value", or damage. Staying far below
/// the largest double keeps every later square finite.
constexpr double largest_value = 1e30;
bool usable(double v) noexcept { return std::abs(v) < largest_value; }

/// What a machine file may say too (machine/machine_file.cpp).
constexpr double min_full_scale = 1e-9;
constexpr double max_full_scale = 1e9;
constexpr double min_sensitivity = 1e-3;  // mV/g
constexpr double max_sensitivity = 1e5;

Result<void> repair(Channel& channel, const std::string& where, const Finish& how,
                    std::string_view seen, Findings& findings) {
  std::vector<double>& x = channel.samples;
  if (all_usable(x)) return {};
  const std::size_t n = x.size();
  std::size_t bad = 0;
  std::size_t first = n;
  std::size_t longest = 0;
  for (std::size_t i = 0; i < n;) {
    if (usable(x[i])) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < n && !usable(x[end])) ++end;
    first = std::min(first, i);
    bad += end - i;
    longest = std::max(longest, end - i);
    i = end;
  }
  const std::string place = how.place ? how.place(first) : fmt::format("sample {}", first + 1);
  const std::string like = seen.empty() ? "" : fmt::format(", such as '{}'", seen);
  const double share = static_cast<double>(bad) / static_cast<double>(n);
  if (share > repairable_fraction) {
    return Error{
        Errc::corrupt_file, how.place ? place : where,
        fmt::format("channel '{}': {} of {} samples are missing or not numbers{}{}",
                    excerpt(channel.name), bad, n, like, how.place ? "" : ", first at " + place),
        "choose another channel or export the recording again"};
  }
  for (std::size_t i = first; i < n;) {
    if (usable(x[i])) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < n && !usable(x[end])) ++end;
    const double before = i > 0 ? x[i - 1] : x[end];
    const double after = end < n ? x[end] : before;
    const double steps = static_cast<double>(end - i + 1);
    for (std::size_t k = i; k < end; ++k) {
      x[k] = before + (after - before) * static_cast<double>(k - i + 1) / steps;
    }
    i = end;
  }
  findings.push_back(
      {FindingKind::repaired, longest > harmless_run ? Weight::caution : Weight::note, channel.name,
       fmt::format(
           "{} of {} samples were missing or not numbers{} (first: {}, longest run {}) and were "
           "filled by straight lines",
           bad, n, like, place, longest),
       longest > harmless_run
           ? "an impact in a filled stretch is lost and its edges may look like one"
           : "negligible",
       "check the recorder and the export"});
  return {};
}

}  // namespace

bool all_usable(std::span<const double> x) noexcept {
  // A sum of magnitudes below the limit has no part above it, and none that is not a number. Eight
  // sums, so that several are added in one step.
  std::array<double, 8> sums{};
  const std::size_t whole = x.size() / sums.size() * sums.size();
  for (std::size_t i = 0; i < whole; i += sums.size()) {
    for (std::size_t k = 0; k < sums.size(); ++k) sums[k] += std::abs(x[i + k]);
  }
  double sum = 0;
  for (const double s : sums) sum += s;
  for (std::size_t i = whole; i < x.size(); ++i) sum += std::abs(x[i]);
  return sum < largest_value || std::all_of(x.begin(), x.end(), usable);
}

std::string_view trim(std::string_view text) noexcept {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

std::string excerpt(std::string_view text) {
  constexpr std::size_t most = 40;
  std::string out;
  for (const char c : text.substr(0, most)) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte == '\t') {
      out += ' ';
    } else if (byte < 0x20 || byte == 0x7f) {
      out += fmt::format("\\x{:02x}", byte);
    } else {
      out += c;
    }
  }
  if (text.size() > most) {
    // Do not cut a UTF-8 sequence in two.
    while (!out.empty() && (static_cast<unsigned char>(out.back()) & 0xC0U) == 0x80U)
      out.pop_back();
    if (!out.empty() && static_cast<unsigned char>(out.back()) >= 0xC0U) out.pop_back();
    out += "...";
  }
  return out;
}

std::string join_names(const std::vector<std::string>& names) {
  constexpr std::size_t most = 8;
  std::string out;
  for (std::size_t i = 0; i < std::min(names.size(), most); ++i) {
    out += fmt::format("{}{}", i == 0 ? "" : ", ", excerpt(names[i]));
  }
  if (names.size() > most) out += fmt::format(" and {} more", names.size() - most);
  return out;
}

std::optional<double> parse_number(std::string_view text, char decimal) noexcept {
  text = trim(text);
  if (!text.empty() && text.front() == '+') {
    text.remove_prefix(1);
    if (!text.empty() && (text.front() == '-' || text.front() == '+')) return std::nullopt;
  }
  if (text.empty()) return std::nullopt;
  double value = 0;
  const auto [end, code] = fast_float::from_chars_advanced(
      text.data(), text.data() + text.size(), value,
      fast_float::parse_options{fast_float::chars_format::general, decimal});
  if (end != text.data() + text.size()) return std::nullopt;
  if (code != std::errc{} && code != std::errc::result_out_of_range) return std::nullopt;
  return value;
}

bool matches(std::string_view pattern, std::string_view text) noexcept {
  std::size_t p = 0;
  std::size_t t = 0;
  std::size_t star = std::string_view::npos;
  std::size_t resume = 0;
  while (t < text.size()) {
    if (p < pattern.size() && (pattern[p] == '?' || pattern[p] == text[t]) && pattern[p] != '*') {
      ++p;
      ++t;
    } else if (p < pattern.size() && pattern[p] == '*') {
      star = p++;
      resume = t;
    } else if (star != std::string_view::npos) {
      p = star + 1;
      t = ++resume;
    } else {
      return false;
    }
  }
  while (p < pattern.size() && pattern[p] == '*') ++p;
  return p == pattern.size();
}

std::string ordinal_channel(std::size_t index, std::string_view name) {
  return name.empty() ? fmt::format("channel {}", index + 1)
                      : fmt::format("channel {} '{}'", index + 1, excerpt(name));
}

namespace {

std::optional<std::uint64_t> ordinal(std::string_view text) {
  if (text.empty() || text.size() > 9) return std::nullopt;
  std::uint64_t v = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return std::nullopt;
    v = v * 10 + static_cast<std::uint64_t>(c - '0');
  }
  return v;
}

/// Indices of the names that one word means: a name, a number or range of them, or a pattern.
Result<std::vector<std::size_t>> meant(const std::vector<std::string>& names,
                                       std::string_view wanted, std::string_view what,
                                       const std::string& where) {
  const auto named = std::find(names.begin(), names.end(), wanted);
  if (named != names.end()) return std::vector{static_cast<std::size_t>(named - names.begin())};
  std::vector<std::size_t> found;
  const std::size_t dash = wanted.find('-');
  const auto low = ordinal(wanted.substr(0, dash));
  const auto high = dash == std::string_view::npos ? low : ordinal(wanted.substr(dash + 1));
  if (low && high) {
    if (*low == 0 || *high < *low || *high > names.size())
      return Error{
          Errc::not_found, where,
          fmt::format("there is no {} {} (the file has {})", what, excerpt(wanted), names.size()),
          fmt::format("choose from 1 to {}: {}", names.size(), join_names(names))};
    for (std::uint64_t i = *low; i <= *high; ++i) found.push_back(static_cast<std::size_t>(i - 1));
    return found;
  }
  if (wanted.find_first_of("*?") != std::string_view::npos)
    for (std::size_t i = 0; i < names.size(); ++i)
      if (matches(wanted, names[i])) found.push_back(i);
  if (found.empty())
    return Error{Errc::not_found, where, fmt::format("there is no {} '{}'", what, excerpt(wanted)),
                 names.empty() ? std::string{"the file has none"}
                               : fmt::format("choose from: {}", join_names(names))};
  return found;
}

}  // namespace

Result<std::vector<std::size_t>> choose(const std::vector<std::string>& names,
                                        const std::vector<std::string>& select,
                                        std::string_view what, const std::string& where) {
  std::vector<std::size_t> chosen;
  std::vector<bool> taken(names.size(), false);
  for (const std::string& raw : select) {
    const std::string_view wanted = trim(raw);
    const auto found = meant(names, wanted, what, where);
    if (!found) return found.error();
    const std::size_t before = chosen.size();
    for (const std::size_t i : *found) {
      if (!taken[i]) chosen.push_back(i);
      taken[i] = true;
    }
    if (chosen.size() == before)
      return Error{Errc::bad_argument, where,
                   fmt::format("{} '{}' is chosen twice", what, excerpt(wanted)),
                   "name each signal once"};
  }
  return chosen;
}

Result<void> check_options(const ReadOptions& options, const std::string& where) {
  if (options.rate && !possible_rate(options.rate->value())) {
    return Error{Errc::bad_argument, where,
                 fmt::format("a sample rate of {} Hz is not possible", options.rate->value()),
                 "give a rate above 0 Hz, up to 1 GHz"};
  }
  if (options.full_scale &&
      !(*options.full_scale >= min_full_scale && *options.full_scale <= max_full_scale)) {
    return Error{Errc::bad_argument, where,
                 fmt::format("a full scale of {} is not possible", *options.full_scale),
                 fmt::format("give a value from {:g} to {:g}", min_full_scale, max_full_scale)};
  }
  for (const double s : options.sensitivity_mv_per_g) {
    if (!(s >= min_sensitivity && s <= max_sensitivity)) {
      return Error{Errc::bad_argument, where,
                   fmt::format("a sensitivity of {} mV/g is not possible", s),
                   fmt::format("give a value from {:g} to {:g}, as on the sensor's certificate",
                               min_sensitivity, max_sensitivity)};
    }
  }
  for (const std::string& unit : options.units) {
    if (auto parsed = parse_file_unit(unit); !parsed) return parsed.error();
  }
  constexpr std::string_view delimiters = ",;\t |:";
  if (options.delimiter != 0 && delimiters.find(options.delimiter) == std::string_view::npos) {
    return Error{Errc::bad_argument, where, "the given delimiter cannot separate columns",
                 "use comma, semicolon, tab, blank, | or :"};
  }
  if (options.decimal != 0 && options.decimal != '.' && options.decimal != ',') {
    return Error{Errc::bad_argument, where, "the decimal separator has to be . or ,",
                 "give one of these, or leave it out"};
  }
  if (options.decimal != 0 && options.decimal == options.delimiter) {
    return Error{Errc::bad_argument, where, "delimiter and decimal separator are the same",
                 "give two different characters"};
  }
  return {};
}

namespace {

/// What holds for a channel whose unit the file states, where the options only assume one.
ReadOptions as_stated(const ReadOptions& options, const FileUnit& stated) {
  ReadOptions out = options;
  out.assumed = false;
  out.units.clear();
  out.full_scale.reset();
  if (stated.kind != SampleUnit::volt) out.sensitivity_mv_per_g.clear();
  return out;
}

/// Units and sensitivities: one for all, or one per channel.
Result<void> check_counts(std::size_t n, const std::string& where, const ReadOptions& options) {
  const auto check = [&](std::string_view what, std::size_t given) -> Result<void> {
    if (given <= 1 || given == n) return {};
    return Error{Errc::bad_argument, where,
                 fmt::format("{} {} given for {} channels", given, what, n),
                 "give one for all, or one per channel"};
  };
  if (auto ok = check("units", options.units.size()); !ok) return ok;
  return check("sensitivities", options.sensitivity_mv_per_g.size());
}

}  // namespace

Result<Calibration> calibration(std::size_t i, std::size_t n, const std::string& where,
                                const std::optional<FileUnit>& in_file, Storage storage,
                                const ReadOptions& options) {
  if (options.assumed && in_file && in_file->kind != SampleUnit::uncalibrated)
    return calibration(i, n, where, in_file, storage, as_stated(options, *in_file));
  if (auto ok = check_counts(n, where, options); !ok) return ok.error();
  std::optional<FileUnit> given;
  if (!options.units.empty()) {
    auto parsed = parse_file_unit(options.units[options.units.size() == 1 ? 0 : i]);
    if (!parsed) return parsed.error();
    given = *parsed;
  }
  std::optional<double> sensitivity;
  if (!options.sensitivity_mv_per_g.empty())
    sensitivity = options.sensitivity_mv_per_g[options.sensitivity_mv_per_g.size() == 1 ? 0 : i];
  FileUnit unit = given ? *given : in_file ? *in_file : FileUnit{};
  if (!given && sensitivity && unit.kind == SampleUnit::uncalibrated) {
    unit = {SampleUnit::volt, 1};
  }
  if (sensitivity && unit.kind != SampleUnit::volt) {
    return Error{Errc::bad_argument, where,
                 fmt::format("channel {}: a sensitivity turns volts into acceleration, but the "
                             "samples are in {}",
                             i + 1, symbol(unit.kind)),
                 "remove the sensitivity, or give the unit V or mV"};
  }
  Calibration out;
  out.unit = unit.kind;
  out.factor = unit.to_si;
  const bool audio = storage != Storage::numbers;
  const bool meaningful =
      unit.kind != SampleUnit::uncalibrated && unit.kind != SampleUnit::revolution;
  // Read all the same: lines and their orders need no scale. assess_quality() says what is missing.
  if (storage == Storage::fractions && meaningful && !options.full_scale)
    return Calibration{1, SampleUnit::uncalibrated, 1.0, ""};
  if (options.full_scale && !meaningful) {
    return Error{Errc::missing_metadata, where, "a full scale is given without its unit",
                 "give the unit as well, for example g or V"};
  }
  if (audio && options.full_scale) out.factor *= *options.full_scale;
  double range = audio ? out.factor : options.full_scale.value_or(0) * out.factor;
  if (sensitivity) {
    const double per_volt = 1000.0 / *sensitivity * standard_gravity;
    out.unit = SampleUnit::acceleration;
    out.factor *= per_volt;
    range *= per_volt;
  }
  if (storage == Storage::fractions || options.full_scale) out.full_scale = range;
  if (out.factor != 1) {
    out.note = fmt::format("factor={:.9g} to={}", out.factor, symbol(out.unit));
    if (sensitivity) out.note += fmt::format(" sensitivity={:.6g} mV/g", *sensitivity);
    if (audio && options.full_scale)
      out.note += fmt::format(" full_scale={:.6g}", *options.full_scale);
  }
  return out;
}

namespace {

/// The unit given against the one of the file.
void note_other_unit(const Channel& channel, const std::optional<FileUnit>& in_file,
                     const Calibration& used, const ReadOptions& options, Findings& findings) {
  constexpr double alike = 0.01;
  if (options.units.empty() || options.assumed || !in_file ||
      in_file->kind == SampleUnit::uncalibrated)
    return;
  const bool same_kind = in_file->kind == used.unit;
  const double ratio = used.factor / in_file->to_si;
  if (same_kind && std::abs(ratio - 1) <= alike) return;
  // Volts of the file and a sensitivity: that is how volts are meant.
  if (in_file->kind == SampleUnit::volt && !options.sensitivity_mv_per_g.empty()) return;
  findings.push_back(
      {FindingKind::unit_disagrees, Weight::caution, channel.name,
       fmt::format("with the given unit, 1 in the file is {:.6g} {}; with the unit in the file, it "
                   "is {:.6g} {}",
                   used.factor, symbol(used.unit), in_file->to_si, symbol(in_file->kind)),
       same_kind ? fmt::format("every level is {:.4g} times the level in the file: levels and "
                               "zones are not evaluated; frequencies are not affected",
                               ratio)
                 : "levels and zones are not evaluated; frequencies are not affected",
       "remove the unit (--unit; unit in a machine file) if the file is correct, otherwise correct "
       "the file"});
}

}  // namespace

Result<Capture> finish(Capture capture, const Finish& finish, const ReadOptions& options) {
  const std::string& where = capture.source;
  const std::size_t n = capture.size();
  if (capture.channels.empty() || n == 0) {
    return Error{Errc::too_short, where, "contains no samples",
                 "check the recorder and the export"};
  }
  if (options.names.size() > capture.channels.size()) {
    return Error{Errc::bad_argument, where,
                 fmt::format("{} names given for {} channels", options.names.size(),
                             capture.channels.size()),
                 "give at most one per channel"};
  }
  for (std::size_t i = 0; i < options.names.size(); ++i) {
    capture.channels[i].name = options.names[i];
  }
  if (auto ok = settle_rate(capture, finish, options); !ok) return ok.error();
  if (finish.storage == Storage::float_fractions && options.full_scale.value_or(1) != 1) {
    const double scale = *options.full_scale;
    capture.findings.push_back(
        {FindingKind::header_mismatch, Weight::note, "",
         fmt::format("the samples are floating-point numbers and were read as fractions of the "
                     "given full scale, {:.6g}",
                     scale),
         fmt::format("if the file already contains values in its unit, every level is {:.6g} times "
                     "too high; frequencies are not affected",
                     scale),
         "in that case remove the full scale"});
  }
  for (std::size_t i = 0; i < capture.channels.size(); ++i) {
    Channel& channel = capture.channels[i];
    if (!finish.all_usable) {
      const std::string_view seen = i < finish.seen.size() ? finish.seen[i] : std::string_view{};
      if (auto ok = repair(channel, where, finish, seen, capture.findings); !ok) return ok.error();
    }
    auto scale = calibration(i, capture.channels.size(), where,
                             i < finish.units.size() ? finish.units[i] : std::nullopt,
                             finish.storage, options);
    if (!scale) return scale.error();
    channel.unit = scale->unit;
    channel.full_scale = scale->full_scale;
    if (scale->factor != 1) {
      for (double& v : channel.samples) v *= scale->factor;
      capture.trail.push_back({"calibrate", fmt::format("{} {}", channel.name, scale->note)});
    }
    note_other_unit(channel, i < finish.units.size() ? finish.units[i] : std::nullopt, *scale,
                    options, capture.findings);
  }
  settle_axis(capture, finish);
  return capture;
}

namespace {

/// Words of a header's key, in small letters.
template <class Test>
bool any_word(std::string_view key, const Test& test) {
  const auto letter = [&](std::size_t i) { return key[i] >= 'a' && key[i] <= 'z'; };
  for (std::size_t at = 0; at < key.size();) {
    std::size_t end = at;
    while (end < key.size() && letter(end)) ++end;
    if (end > at && test(key.substr(at, end - at), key.substr(0, at), key.substr(end))) return true;
    at = std::max(end, at + 1);
  }
  return false;
}

/// "Max. sample rate", "rpm limit": what could be, not what was.
bool says_limit(std::string_view key) {
  constexpr std::array starts{"max",  "minimum",   "minimal", "limit",  "range", "alarm",
                              "trip", "threshold", "highest", "lowest", "full"};
  return any_word(key, [&](auto word, auto before, auto behind) {
    // "min" in "1/min" and "min-1" is the minute.
    if (word == "min")
      return !before.ends_with('/') && !behind.starts_with("-1") && !behind.starts_with("^-1");
    return std::any_of(starts.begin(), starts.end(),
                       [&](const char* w) { return word.starts_with(w); });
  });
}

/// "Rated rpm", "Nenndrehzahl": what stands on the nameplate.
bool says_nominal(std::string_view key) {
  constexpr std::array starts{"rated",  "nominal", "nameplate", "nenn", "synchr",
                              "target", "set",     "design",    "base"};
  return any_word(key, [&](auto word, auto, auto) {
    return std::any_of(starts.begin(), starts.end(),
                       [&](const char* w) { return word.starts_with(w); });
  });
}

void keep(std::optional<double>& first, std::optional<double>& second, double value) {
  constexpr double alike = 0.01;
  if (!first) {
    first = value;
  } else if (!second && std::abs(*first - value) > alike * std::max(*first, value)) {
    second = value;
  }
}

}  // namespace

void take_hint(Hint& hint, std::string_view name, double value, std::string_view unit) {
  if (!std::isfinite(value) || value <= 0) return;
  const std::string key = lower(trim(name));
  const std::string u = lower(trim(unit));
  if (says_limit(key)) return;
  const auto has = [&](std::string_view word) { return key.find(word) != std::string::npos; };
  const double hz = u == "khz" ? 1e3 : u == "mhz" ? 1e6 : 1;
  const bool exact = key == "fs" || key == "sr" || key == "rate" || key == "fsamp" ||
                     key == "samplerate" || key == "sample_rate" || key == "srate";
  const bool sampled = has("sampl") || has("abtast");
  const bool sampling = sampled && (has("rate") || has("freq") || has("fs") || has("hz"));
  const bool interval = key == "dt" || key == "delta t" || key == "deltat" || key == "delta_t" ||
                        (sampled && (has("interval") || has("period")));
  if (u != "rpm" && (exact || sampling)) {
    // "sr" says sampling rate more surely than "rate", which may mean the shaft's.
    const bool weak = key == "rate";
    if (!weak) keep(hint.rate, hint.second_rate, value * hz);
  } else if (interval) {
    keep(hint.rate, hint.second_rate, 1.0 / (value * seconds_in(u).value_or(1)));
  } else if (says_nominal(key)) {
    return;
  } else if (rpm_in(u) == 1.0 || has("rpm") || key == "1/min" || key == "drehzahl") {
    keep(hint.speed, hint.second_speed, value);
  } else if (has("shaft") && (has("speed") || has("freq") || has("rate")) && u == "hz") {
    keep(hint.speed, hint.second_speed, value * 60);
  }
}

void note_speed(Capture& capture, const Hint& hint) {
  if (!hint.speed) return;
  if (!hint.second_speed) {
    capture.noted_speed = Rpm{*hint.speed};
    return;
  }
  capture.findings.push_back(
      {FindingKind::speed_disagrees, Weight::caution, "",
       fmt::format("the header states {:.5g} rpm and {:.5g} rpm", *hint.speed, *hint.second_speed),
       "neither is used", "give the correct speed (--rpm)"});
}

}  // namespace bearingdsp::capture_detail

namespace bearingdsp {

Result<void> fill_missing(Capture& capture) {
  for (Channel& channel : capture.channels) {
    const auto filled = capture_detail::repair(channel, capture.source, {}, {}, capture.findings);
    if (!filled) return filled.error();
  }
  return {};
}

}  // namespace bearingdsp
