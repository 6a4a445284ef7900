#include "record_take.hpp"

#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdint>
#include <optional>
#include <thread>
#include <utility>
#include <vector>

#include "asking.hpp"
#include "bearingdsp/capture/input_level.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/time.hpp"
#include "stop_on_signal.hpp"
#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

using Steady = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr std::size_t frames_at_once = 4096;
constexpr milliseconds pause{10};
constexpr milliseconds shown_each{100};
/// A device that is gone often says nothing at all.
constexpr std::chrono::seconds max_silence{5};
constexpr double warned_from_seconds = 2;  ///< the last that was heard
constexpr std::uint64_t sidecar_bytes = 4096;

/// "  -12 dB [#########......]"
std::string level_bar(const InputLevel& level) {
  constexpr int width = 30;
  const int filled = static_cast<int>(level.bar() * width);
  return fmt::format("{:>4.0f} dB [{:#<{}}{:.<{}}]{}", level.peak_db, "", filled, "",
                     width - filled, level.clipped ? " CLIPPED" : "");
}

std::string seconds_of(std::uint64_t frames, Hz rate) {
  return fmt::format("{:.1f}", static_cast<double>(frames) / rate.value());
}

bool enter_pressed() {
  pollfd in{STDIN_FILENO, POLLIN, 0};
  if (::poll(&in, 1, 0) <= 0) return false;
  std::array<char, 256> line{};
  return ::read(STDIN_FILENO, line.data(), line.size()) >= 0;
}

/// The input, with what the loops below have in common.
class Source {
 public:
  explicit Source(SoundInput& input)
      : input_{input},
        block_(frames_at_once * static_cast<std::size_t>(input.shape().channels)),
        last_{Steady::now()} {}

  /// Up to `frames`; empty where nothing has arrived yet, after a pause.
  std::span<const std::int32_t> next(std::uint64_t frames) {
    const auto most = std::min<std::uint64_t>(
        block_.size(), frames * static_cast<std::uint64_t>(input_.shape().channels));
    const bool running = input_.running();
    const std::size_t n = input_.read(std::span{block_}.first(static_cast<std::size_t>(most)));
    if (n > 0) {
      last_ = Steady::now();
    } else {
      gone_ = !running || Steady::now() - last_ > max_silence;
      if (!gone_) std::this_thread::sleep_for(pause);
    }
    return std::span{block_}.first(n);
  }
  [[nodiscard]] bool gone() const { return gone_; }

 private:
  SoundInput& input_;
  std::vector<std::int32_t> block_;
  Steady::time_point last_;
  bool gone_{false};
};

/// Draws at most ten times a second.
class Meter {
 public:
  template <class Text>
  void show(std::span<const std::int32_t> samples, int channels, const Text& text) {
    if (!line_.active()) return;
    const InputLevel level = input_level(samples, channels);
    if (level.peak_db > level_.peak_db) level_.peak_db = level.peak_db;
    level_.clipped = level_.clipped || level.clipped;
    if (Steady::now() < next_) return;
    line_.show(text(level_bar(level_)));
    level_ = {};
    next_ = Steady::now() + shown_each;
  }

 private:
  StatusLine line_;
  InputLevel level_;
  Steady::time_point next_{};
};

Error nothing_stored(const std::string& path, const std::string& why) {
  return {Errc::io, path, why + " before the recording began", "nothing was stored"};
}

/// Until Enter on a terminal, else for a while; then says what would spoil the recording.
Result<void> listen_first(const Take& t, SoundInput& input, const StopOnSignal& stop) {
  const SoundShape shape = input.shape();
  const auto channels = static_cast<std::size_t>(shape.channels);
  const bool asks = can_ask();
  const auto wanted = static_cast<std::uint64_t>(t.listen_seconds * shape.rate.value());
  const auto kept = static_cast<std::size_t>(warned_from_seconds * shape.rate.value()) * channels;
  std::vector<std::int32_t> heard;
  std::uint64_t frames = 0;
  FftPlans plans;
  std::string warning;
  {
    Source source{input};
    Meter meter;
    auto judged = Steady::now();
    while (asks ? !enter_pressed() : frames < wanted) {
      if (stop.asked()) return nothing_stored(t.path, "stopped");
      const auto block = source.next(frames_at_once);
      if (source.gone()) return nothing_stored(t.path, "the input '" + t.input_name + "' ended");
      frames += block.size() / channels;
      heard.insert(heard.end(), block.begin(), block.end());
      if (heard.size() > 2 * kept)
        heard.erase(heard.begin(), heard.end() - static_cast<std::ptrdiff_t>(kept));
      if (asks && Steady::now() - judged > std::chrono::seconds{1}) {
        const Findings found = listen(heard, shape, plans);
        warning = found.empty() ? "" : "  " + found.front().what;
        judged = Steady::now();
      }
      meter.show(block, shape.channels,
                 [&](const std::string& bar) { return bar + "  Enter starts" + warning; });
    }
  }
  if (static_cast<double>(heard.size()) < shape.rate.value() / 2 * shape.channels) return {};
  for (const Finding& f : listen(heard, shape, plans))
    print_note(fmt::format("input '{}', {}: {}; {}", t.input_name, f.where, f.what, f.advice));
  return {};
}

/// Why a recording ended before its time.
struct Ending {
  std::string why, advice;
};

/// Writes what arrives until there is enough; says why not.
std::optional<Ending> record(const Take& t, SoundInput& input, SoundWriter& writer,
                             const StopOnSignal& stop) {
  const SoundShape shape = input.shape();
  const auto wanted = static_cast<std::uint64_t>(t.seconds * shape.rate.value());
  Source source{input};
  Meter meter;
  while (writer.frames() < wanted) {
    if (stop.asked()) return Ending{"was stopped", "record again for the whole time"};
    const auto block =
        source.next(std::min(wanted - writer.frames(), std::uint64_t{frames_at_once}));
    if (source.gone())
      return Ending{"the input '" + t.input_name + "' ended", "check cable and connection"};
    if (block.empty()) continue;
    if (const auto done = writer.write(block); !done)
      return Ending{done.error().what, done.error().advice};
    meter.show(block, shape.channels, [&](const std::string& bar) {
      return fmt::format("{}  {} of {:g} s", bar, seconds_of(writer.frames(), shape.rate),
                         t.seconds);
    });
  }
  return std::nullopt;
}

/// The losses between two frames, as a finding.
std::optional<Finding> lost_within(const std::vector<InputLoss>& losses, std::uint64_t begin,
                                   std::uint64_t frames, Hz rate) {
  std::size_t count = 0;
  std::uint64_t missing = 0;
  std::uint64_t first = 0;
  for (const InputLoss& loss : losses) {
    if (loss.at <= begin || loss.at >= begin + frames) continue;
    if (count++ == 0) first = loss.at - begin;
    missing += loss.frames;
  }
  if (count == 0) return std::nullopt;
  Finding f{FindingKind::gap, Weight::caution, "", "", "", ""};
  f.what = fmt::format("{} of the input{}, first at {:.3f} s", counted(count, "overrun"),
                       missing == 0 ? "" : fmt::format(", {} samples are missing", missing),
                       static_cast<double>(first) / rate.value());
  return f;
}

/// The files of a recording, opened before it starts.
struct Files {
  OutputFile sound;  ///< WAV, while it is recorded
  std::optional<OutputFile> flac;
  std::optional<OutputFile> notes;
};

/// What was typed comes first: it may name a gain that the computer does not set.
std::string gain_words(const std::string& typed, const std::string& mixer) {
  if (typed.empty() || mixer.empty()) return typed + mixer;
  return typed + " (mixer: " + mixer + ")";
}

std::string wav_name(const std::string& path) {
  return path.ends_with(".flac") ? path + ".wav" : path;
}

Result<OutputFile> open_notes(const std::string& recording, OutputFiles& outputs) {
  auto notes = outputs.open(sidecar_of(recording));
  if (!notes) return notes;
  // So that a disk that the recording fills has room for it.
  if (auto done = notes->file().reserve(sidecar_bytes); !done) return done.error();
  return notes;
}

Result<Files> open_files(const std::string& path, OutputFiles& outputs) {
  std::optional<OutputFile> flac;
  if (wav_name(path) != path) {
    auto file = outputs.open(path);
    if (!file) return file.error();
    flac = std::move(*file);
  }
  auto sound = outputs.open(wav_name(path));
  if (!sound) return sound.error();
  auto notes = open_notes(path, outputs);
  if (!notes) return notes.error();
  return Files{std::move(*sound), std::move(flac), std::move(*notes)};
}

/// Puts the files in place; the name of the recording, which stays WAV where FLAC has no room.
Result<std::string> put_in_place(const Take& t, Files files, OutputFiles& outputs,
                                 const RecordingNotes& notes, bool as_flac) {
  std::string path = t.path;
  if (files.flac && as_flac)
    if (const auto done = write_flac(files.sound.file(), files.flac->file()); !done) {
      print_note(done.error().message());
      as_flac = false;
    }
  if (files.flac && !as_flac) {
    files.flac.reset();
    files.notes.reset();  // its room on the disk goes to the next one
    path = wav_name(t.path);
    auto other = open_notes(path, outputs);
    if (!other) return other.error();
    files.notes = std::move(*other);
  }
  OutputFile& sound = files.flac ? *files.flac : files.sound;
  if (auto done = sound.commit(); !done) return done.error();
  if (auto done = files.notes->write(sidecar_text(notes)); !done) return done.error();
  if (auto done = files.notes->commit(); !done) return done.error();
  return path;
}

}  // namespace

Result<Taken> take_recording(const Take& t, OutputFiles& outputs) {
  auto files = open_files(t.path, outputs);
  if (!files) return files.error();
  const StopOnSignal stop;
  auto input = open_input(t.input);
  if (!input) return input.error();
  const SoundShape shape = (*input)->shape();
  auto writer = SoundWriter::start(files->sound.file(), shape);
  if (!writer) return writer.error();
  if (t.listen_seconds > 0)
    if (auto done = listen_first(t, **input, stop); !done) return done.error();
  const std::uint64_t begin = t.listen_seconds > 0 ? (*input)->skip() : 0;
  print_note(fmt::format("recording {:g} s from '{}', {} at {:g} samples/s", t.seconds,
                         t.input_name, counted(shape.channels, "channel"), shape.rate.value()));
  RecordingNotes notes = t.notes;
  const std::string started = format_time(system_time());  // 2026-03-02T07:45:10.250Z
  notes.taken = {started.substr(0, 10), started.substr(11, 8)};
  notes.input = t.input_name;
  notes.gain = gain_words(t.notes.gain, mixer_gain(t.input_name));
  const auto ending = record(t, **input, *writer, stop);
  const std::uint64_t frames = writer->frames();
  if (frames == 0) return nothing_stored(t.path, ending ? ending->why : "the input ended");
  const std::string part = fmt::format("{} of {:g} s", seconds_of(frames, shape.rate), t.seconds);
  if (ending)
    notes.findings.push_back({FindingKind::truncated, Weight::note, "",
                              fmt::format("{} after {}", ending->why, part), "", ""});
  if (auto lost = lost_within((*input)->losses(), begin, frames, shape.rate)) {
    print_note(fmt::format("{}: {}; record again", t.path, lost->what));
    notes.findings.push_back(std::move(*lost));
  }
  if (auto done = writer->finish(); !done && !ending) return done.error();
  auto path = put_in_place(t, std::move(*files), outputs, notes, !ending.has_value());
  if (!path) return path.error();
  Taken taken{*path, {}};
  if (ending)
    taken.complete = Error{Errc::io, *path,
                           fmt::format("{} after {}; what was recorded is kept", ending->why, part),
                           ending->advice};
  return taken;
}

}  // namespace cli
