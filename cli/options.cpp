#include "options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdint>
#include <cstdio>
#include <string_view>
#include <utility>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/capture/together.hpp"
#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "checks.hpp"

namespace cli {
using namespace bearingdsp;

void add_model_option(CLI::App& command, std::string& file) {
  command.add_option("--model", file, "constants of the engine, name and value, as in model.csv")
      ->type_name("FILE.csv");
}

namespace {

/// Signs that a shell makes hard to type, by their names.
using SignWords = std::array<std::pair<std::string_view, char>, 5>;
constexpr SignWords delimiters{
    {{"comma", ','}, {"semicolon", ';'}, {"tab", '\t'}, {"blank", ' '}, {"bar", '|'}}};
constexpr SignWords decimals{{{"point", '.'}, {"comma", ','}}};

/// The sign that a word names, or the sign itself; 0 for none of them.
char sign_of(const std::string& text, const SignWords& words) {
  for (const auto& [word, sign] : words)
    if (!word.empty() && (text == word || text == std::string(1, sign))) return sign;
  return 0;
}

CLI::Validator sign_word(const SignWords& words) {
  return {[&words](std::string& text) -> std::string {
            if (sign_of(text, words) != 0) return {};
            std::string known;
            for (const auto& [word, sign] : words)
              if (!word.empty()) add_part(known, word);
            return fmt::format("'{}' is none of {}", text, known);
          },
          ""};
}

/// Whole words: "separated" does not speak of a rate.
bool has_words(std::string_view text, std::string_view words) {
  const auto letter = [&](std::size_t at) { return at < text.size() && in_word(text[at]); };
  for (auto at = text.find(words); at != std::string_view::npos; at = text.find(words, at + 1))
    if (!(at > 0 && letter(at - 1)) && !letter(at + words.size())) return true;
  return false;
}

/// The options that an advice of the reader speaks of.
std::string options_meant(const std::string& advice) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 9> known{
      {{"rate", "--rate"},
       {"time column", "--time-column"},
       {"delimiter", "--delimiter"},
       {"decimal separator", "--decimal"},
       {"full scale", "--full-scale"},
       {"unit", "--unit"},
       {"sensitivity", "--sensitivity"},
       {"channel", "--channel"},
       {"choose", "--channel"}}};
  std::string text;
  for (const auto& [word, option] : known)
    if (has_words(advice, word) && text.find(option) == std::string::npos) add_part(text, option);
  return text;
}

}  // namespace

void add_reading_options(CLI::App& command, ReadingOptions& o) {
  const std::string group = "The recording";
  command
      .add_option("--rate", o.rate_hz,
                  "samples per second, if the file does not state it: 25600 or 25.6k")
      ->type_name("HZ")
      ->transform(sampling_rate())
      ->group(group);
  command
      .add_option("-u,--unit", o.units,
                  "unit of the samples: g, m/s2, mm/s, V ... (once, or per channel)")
      ->type_name("UNIT")
      ->allow_extra_args(false)
      ->group(group);
  command
      .add_option("--sensitivity", o.sensitivities,
                  "sensitivity of the accelerometer (once, or per channel)")
      ->type_name("MV/G")
      ->allow_extra_args(false)
      ->group(group);
  command.add_option("--full-scale", o.full_scale, "full-scale value of an audio file, in --unit")
      ->type_name("VALUE")
      ->group(group);
  command
      .add_option("-c,--channel", o.channels,
                  "channel, column or variable to read, by name or number; can be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false)
      ->group(group);
  command.add_option("--time-column", o.time_column, "time column, or none")
      ->type_name("NAME")
      ->group(group);
  command
      .add_option("--delimiter", o.delimiter,
                  "separator of text columns: comma, semicolon, tab, blank, bar (default: found)")
      ->type_name("WORD")
      ->check(sign_word(delimiters))
      ->group(group);
  command
      .add_option("--decimal", o.decimal, "decimal sign in text: point or comma (default: found)")
      ->type_name("WORD")
      ->check(sign_word(decimals))
      ->group(group);
}

void add_channels_from_option(CLI::App& command, std::vector<std::string>& files) {
  command
      .add_option("--channels-from", files,
                  "another file with further channels of the same recording; can be repeated")
      ->type_name("FILE")
      ->allow_extra_args(false)
      ->group("The recording");
}

Error one_recording_only(const std::string& option) {
  return {Errc::bad_argument, option, "this option takes one recording, but several are given",
          "give one file, and its other channels with this option"};
}

Result<Capture> read_recording(const std::string& file, const ReadOptions& options,
                               const std::vector<std::string>& channels_from) {
  std::vector<std::string> files{file};
  files.insert(files.end(), channels_from.begin(), channels_from.end());
  auto capture = files.size() == 1 ? read_capture(file, options) : read_together(files, options);
  if (!capture) return with_options(capture.error());
  return capture;
}

namespace {

/// Samples of each of n recordings that are held at once: all of them, and the analysis of one,
/// which takes five times its samples, together as much as of two that are just read whole.
constexpr std::uint64_t held_each(std::size_t n) noexcept {
  constexpr std::uint64_t analysis = 5;
  return n <= 2 ? max_whole_recording : max_whole_recording * (2 + analysis) / (n + analysis);
}
static_assert(held_each(1) == max_whole_recording && held_each(2) == max_whole_recording);
static_assert(held_each(9) == max_whole_recording / 2 && held_each(93) == max_whole_recording / 14);

}  // namespace

Result<std::vector<Capture>> read_captures(const std::string& file, const ReadOptions& reading,
                                           std::size_t recordings,
                                           const std::vector<std::string>& channels_from) {
  const std::uint64_t held = held_each(recordings);
  constexpr std::size_t pieces = 4;
  if (channels_from.empty())
    if (const auto reader = open_if_long(file, reading, held)) {
      auto spread = spread_pieces(*reader, pieces, held / 2);
      if (!spread) return with_options(spread.error());
      return spread;
    }
  auto capture = read_recording(file, reading, channels_from);
  if (!capture) return capture.error();
  std::vector<Capture> one;
  one.push_back(std::move(*capture));
  return one;
}

Error with_options(Error error) {
  if (error.code == Errc::io) return error;
  if (const std::string options_for = options_meant(error.advice); !options_for.empty())
    error.advice += fmt::format(" ({})", options_for);
  return error;
}

Result<std::string> channel_named(const Capture& capture, const std::string& wanted,
                                  bool read_last) {
  const auto named = channel_index(capture, wanted);
  if (named) return wanted;
  if (read_last) return capture.channels.back().name;
  std::size_t number = 0;
  const char* const end = wanted.data() + wanted.size();
  const auto [stop, code] = std::from_chars(wanted.data(), end, number);
  if (code == std::errc{} && stop == end && number >= 1 && number <= capture.channels.size())
    return capture.channels[number - 1].name;
  return named.error();
}

ReadOptions read_options(const ReadingOptions& o) {
  ReadOptions read;
  if (o.rate_hz) read.rate = Hz{*o.rate_hz};
  read.units = o.units;
  read.sensitivity_mv_per_g = o.sensitivities;
  read.full_scale = o.full_scale;
  read.select = o.channels;
  read.time_column = o.time_column;
  if (!o.delimiter.empty()) read.delimiter = sign_of(o.delimiter, delimiters);
  if (!o.decimal.empty()) read.decimal = sign_of(o.decimal, decimals);
  return read;
}

namespace {

/// What of a machine file or plant still calibrates beside what is typed.
ReadOptions still_valid(ReadOptions from_file, const ReadOptions& typed) {
  // A usual sensor is one set: a part of it beside something else would calibrate nothing right.
  if (from_file.assumed &&
      (!typed.units.empty() || !typed.sensitivity_mv_per_g.empty() || typed.full_scale)) {
    from_file.assumed = false;
    from_file.units.clear();
    from_file.sensitivity_mv_per_g.clear();
    from_file.full_scale.reset();
  }
  // A full scale is in its unit.
  if (!typed.units.empty() && !from_file.units.empty() && typed.units != from_file.units)
    from_file.full_scale.reset();
  return from_file;
}

}  // namespace

ReadOptions merged(const ReadOptions& of_the_file, const ReadingOptions& options) {
  ReadOptions read = read_options(options);
  const ReadOptions from_file = still_valid(of_the_file, read);
  if (!read.rate) read.rate = from_file.rate;
  if (read.units.empty()) read.units = from_file.units;
  if (read.sensitivity_mv_per_g.empty()) read.sensitivity_mv_per_g = from_file.sensitivity_mv_per_g;
  if (!read.full_scale) read.full_scale = from_file.full_scale;
  if (read.select.empty()) read.select = from_file.select;
  read.assumed = from_file.assumed;
  return read;
}

Result<std::vector<double>> numbers(const std::string& text, const std::string& option,
                                    std::size_t least, std::size_t most) {
  std::vector<double> values;
  std::size_t begin = 0;
  while (true) {
    const std::size_t end = std::min(text.find(',', begin), text.size());
    double value = 0;
    const char* last = text.data() + end;
    const auto [stop, code] = std::from_chars(text.data() + begin, last, value);
    if (code != std::errc{} || stop != last)
      return Error{Errc::bad_argument, option,
                   "'" + text + "' is not a list of numbers separated by commas",
                   "separate them with commas and write decimals with a point"};
    values.push_back(value);
    if (end == text.size()) break;
    begin = end + 1;
  }
  if (values.size() < least || values.size() > most)
    return Error{
        Errc::bad_argument, option, fmt::format("{} given", counted(values.size(), "number")),
        least == most ? fmt::format("give {}", least) : fmt::format("give {} to {}", least, most)};
  return values;
}

Result<SimulatedDefect> parse_defect(const std::string& text) {
  const Error wrong{Errc::bad_argument, "--defect", "'" + text + "' is not PART:PEAK",
                    "write outer, inner, element or cage and the peak in m/s2, like outer:10"};
  const auto colon = text.find(':');
  const std::string part = text.substr(0, colon);
  SimulatedDefect defect;
  if (part == "outer")
    defect.part = Part::outer_ring;
  else if (part == "inner")
    defect.part = Part::inner_ring;
  else if (part == "element")
    defect.part = Part::rolling_element;
  else if (part == "cage")
    defect.part = Part::cage;
  else
    return wrong;
  if (colon == std::string::npos) return defect;
  const char* end = text.data() + text.size();
  const auto [stop, code] = std::from_chars(text.data() + colon + 1, end, defect.severity);
  if (code != std::errc{} || stop != end) return wrong;
  return defect;
}

}  // namespace cli
