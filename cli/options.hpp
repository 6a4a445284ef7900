#pragma once
/// Options that several commands share: how to read a recording, and the engine's constants.
#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/simulate/simulation.hpp"

namespace cli {

/// --model: a file of the engine's constants.
void add_model_option(CLI::App& command, std::string& file);

struct ReadingOptions {
  std::optional<double> rate_hz, full_scale;
  std::vector<std::string> units, channels;
  std::vector<double> sensitivities;
  std::string time_column, delimiter, decimal;
};
void add_reading_options(CLI::App& command, ReadingOptions& options);
[[nodiscard]] bearingdsp::ReadOptions read_options(const ReadingOptions& options);
/// What a machine file says of reading, where the options say nothing else.
[[nodiscard]] bearingdsp::ReadOptions merged(const bearingdsp::ReadOptions& from_file,
                                             const ReadingOptions& options);
/// read_capture() with the options that say what the file does not, named in the error.
[[nodiscard]] bearingdsp::Result<bearingdsp::Capture> read_recording(
    const std::string& file, const bearingdsp::ReadOptions& options,
    const std::vector<std::string>& channels_from = {});
/// The same, or some pieces of one that is too long to be held together with as many others
/// (`recordings`, this one counted), spread over it: a capture each.
[[nodiscard]] bearingdsp::Result<std::vector<bearingdsp::Capture>> read_captures(
    const std::string& file, const bearingdsp::ReadOptions& reading, std::size_t recordings,
    const std::vector<std::string>& channels_from = {});
/// --channels-from: other files with channels of the same recording.
void add_channels_from_option(CLI::App& command, std::vector<std::string>& files);
/// The error where such an option meets several recordings.
[[nodiscard]] bearingdsp::Error one_recording_only(const std::string& option);
/// The error with the options named that its advice speaks of.
[[nodiscard]] bearingdsp::Error with_options(bearingdsp::Error error);
/// The name of the channel that `wanted` names, or numbers as the file counts them; `read_last`: it
/// was read behind the channels chosen.
/// Errors: not_found.
[[nodiscard]] bearingdsp::Result<std::string> channel_named(const bearingdsp::Capture& capture,
                                                            const std::string& wanted,
                                                            bool read_last);

/// Numbers separated by commas ("9,7.94,39.04"), at least `least` and at most `most` of them.
/// Errors: bad_argument naming the option.
[[nodiscard]] bearingdsp::Result<std::vector<double>> numbers(const std::string& text,
                                                              const std::string& option,
                                                              std::size_t least, std::size_t most);

/// "outer:10": a defect of the outer ring whose impacts peak at 10 m/s2.
/// Errors: bad_argument.
[[nodiscard]] bearingdsp::Result<bearingdsp::SimulatedDefect> parse_defect(const std::string& text);

}  // namespace cli
