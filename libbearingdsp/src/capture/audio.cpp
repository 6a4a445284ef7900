/// Audio files, by libsndfile over our own byte source.
#include <sndfile.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <memory>
#include <utility>

#include <fmt/format.h>

#include "bearingdsp/capture/pieces.hpp"
#include "reader.hpp"
#include "sndfile_opening.hpp"

namespace bearingdsp::capture_detail {
namespace {

/// What libsndfile itself stops at; a header that asks for more is a lie or not ours to read.
constexpr int max_channels = 1024;
constexpr std::size_t block_samples = 8192;  // 64 KiB: stays in a core's own cache

struct Cursor {
  ByteSource* source;
  sf_count_t at;
};

sf_count_t io_length(void* user) {
  return static_cast<sf_count_t>(static_cast<Cursor*>(user)->source->size());
}
sf_count_t io_seek(sf_count_t offset, int whence, void* user) {
  Cursor& c = *static_cast<Cursor*>(user);
  const sf_count_t base = whence == SEEK_SET ? 0 : whence == SEEK_CUR ? c.at : io_length(user);
  sf_count_t to = 0;
  if (__builtin_add_overflow(base, offset, &to) || to < 0) return -1;
  c.at = to;
  return to;
}
sf_count_t io_read(void* out, sf_count_t count, void* user) {
  Cursor& c = *static_cast<Cursor*>(user);
  if (count <= 0) return 0;
  const std::size_t n =
      c.source->read_at(static_cast<std::uint64_t>(c.at),
                        {static_cast<std::byte*>(out), static_cast<std::size_t>(count)});
  c.at += static_cast<sf_count_t>(n);
  return static_cast<sf_count_t>(n);
}
sf_count_t io_write(const void* /*data*/, sf_count_t /*count*/, void* /*user*/) { return 0; }
sf_count_t io_tell(void* user) { return static_cast<Cursor*>(user)->at; }

struct Close {
  void operator()(SNDFILE* file) const noexcept { sf_close(file); }
};
using File = std::unique_ptr<SNDFILE, Close>;

struct Opened {
  std::unique_ptr<Cursor> cursor;  // libsndfile keeps its address
  File file;
  SF_INFO info{};
};

/// libsndfile's own words speak of its insides.
std::string_view in_our_words(int why) noexcept {
  switch (why) {
    case SF_ERR_UNRECOGNISED_FORMAT:
      return "unknown format";
    case SF_ERR_UNSUPPORTED_ENCODING:
      return "the samples are compressed with a method that is not supported";
    case SF_ERR_SYSTEM:
      return "it cannot be read to the end";
    default:
      return "its header is damaged";
  }
}

Result<Opened> open_audio(ByteSource& source, const std::string& name) {
  SF_VIRTUAL_IO io{io_length, io_seek, io_read, io_write, io_tell};
  Opened out;
  out.cursor = std::make_unique<Cursor>(Cursor{&source, 0});
  int why = SF_ERR_NO_ERROR;
  {
    const std::scoped_lock lock{sndfile_opening()};
    out.file.reset(sf_open_virtual(&io, SFM_READ, &out.info, out.cursor.get()));
    if (!out.file) why = sf_error(nullptr);
  }
  if (!out.file) {
    return Error{Errc::corrupt_file, name,
                 fmt::format("not readable as audio ({})", in_our_words(why)),
                 "copy or export it again as WAV, FLAC or AIFF"};
  }
  if (out.info.channels < 1 || out.info.channels > max_channels) {
    return Error{Errc::corrupt_file, name,
                 fmt::format("the header states {} channels", out.info.channels),
                 "copy or export it again"};
  }
  return out;
}

bool is_float(int format) noexcept {
  const int sub = format & SF_FORMAT_SUBMASK;
  return sub == SF_FORMAT_FLOAT || sub == SF_FORMAT_DOUBLE;
}

/// Made for ears: what they would not hear is left out.
bool is_lossy(int format) noexcept {
  const int sub = format & SF_FORMAT_SUBMASK;
  return sub == SF_FORMAT_VORBIS || sub == SF_FORMAT_OPUS || sub == SF_FORMAT_MPEG_LAYER_I ||
         sub == SF_FORMAT_MPEG_LAYER_II || sub == SF_FORMAT_MPEG_LAYER_III;
}

std::string type_name(int format) {
  switch (format & SF_FORMAT_SUBMASK) {
    case SF_FORMAT_PCM_S8:
    case SF_FORMAT_PCM_U8:
      return "PCM 8";
    case SF_FORMAT_PCM_16:
      return "PCM 16";
    case SF_FORMAT_PCM_24:
      return "PCM 24";
    case SF_FORMAT_PCM_32:
      return "PCM 32";
    case SF_FORMAT_FLOAT:
      return "float 32";
    case SF_FORMAT_DOUBLE:
      return "float 64";
    default:
      break;
  }
  SF_FORMAT_INFO info{};
  info.format = format & SF_FORMAT_SUBMASK;
  if (sf_command(nullptr, SFC_GET_FORMAT_INFO, &info, sizeof info) == 0 && info.name != nullptr) {
    return info.name;
  }
  return "unknown encoding";
}

std::string format_name(int format) {
  std::string_view major = "audio";
  switch (format & SF_FORMAT_TYPEMASK) {
    case SF_FORMAT_WAV:
    case SF_FORMAT_WAVEX:
      major = "WAV";
      break;
    case SF_FORMAT_RF64:
      major = "RF64";
      break;
    case SF_FORMAT_W64:
      major = "W64";
      break;
    case SF_FORMAT_AIFF:
      major = "AIFF";
      break;
    case SF_FORMAT_FLAC:
      major = "FLAC";
      break;
    case SF_FORMAT_AU:
      major = "AU";
      break;
    case SF_FORMAT_CAF:
      major = "CAF";
      break;
    case SF_FORMAT_OGG:
      major = "OGG";
      break;
    default:
      break;
  }
  return fmt::format("{} {}", major, type_name(format));
}

/// A chunk file's data chunk against what is there: libsndfile clamps in silence.
struct DataChunk {
  std::uint64_t said{};
  std::uint64_t there{};
};
std::optional<DataChunk> riff_data(ByteSource& source) {
  std::array<std::byte, 12> head{};
  if (source.read_at(0, head) < head.size()) return std::nullopt;
  const std::string_view tag{reinterpret_cast<const char*>(head.data()), 12};
  const bool little = tag.substr(0, 4) == "RIFF";
  const bool big = tag.substr(0, 4) == "RIFX" || tag.substr(0, 4) == "FORM";
  if (!little && !big) return std::nullopt;
  const auto word = [&](const std::byte* p) {
    std::uint32_t v = 0;
    for (int i = 0; i < 4; ++i) {
      v |= static_cast<std::uint32_t>(p[i]) << static_cast<unsigned>(8 * (little ? i : 3 - i));
    }
    return v;
  };
  std::uint64_t at = 12;
  // A file of tiny chunks must not keep us here; real ones have a few dozen.
  for (int chunk = 0; chunk < 4096 && at + 8 <= source.size(); ++chunk) {
    std::array<std::byte, 8> c{};
    if (source.read_at(at, c) < c.size()) return std::nullopt;
    const std::string_view id{reinterpret_cast<const char*>(c.data()), 4};
    const std::uint64_t size = word(c.data() + 4);
    if (id == "data" || id == "SSND") return DataChunk{size, source.size() - at - 8};
    at += 8 + size + (size & 1U);
  }
  return std::nullopt;
}

std::vector<std::string> channel_names(int channels) {
  std::vector<std::string> names;
  names.reserve(static_cast<std::size_t>(std::max(0, channels)));
  for (int c = 0; c < channels; ++c) names.push_back(fmt::format("channel {}", c + 1));
  return names;
}

/// A file, the channels chosen of it, and how far it was read.
struct AudioChannels {
  Opened opened;
  std::vector<std::string> names;   ///< of all channels
  std::vector<std::size_t> picked;  ///< of them, in order
  std::uint64_t said{};             ///< frames, by the header
  std::uint64_t total{};            ///< frames read so far
};

Result<AudioChannels> open_channels(ByteSource& source, const std::string& name,
                                    const ReadOptions& options) {
  auto opened = open_audio(source, name);
  if (!opened) return opened.error();
  AudioChannels out;
  out.opened = std::move(*opened);
  const SF_INFO& info = out.opened.info;
  out.names = channel_names(info.channels);
  out.said = static_cast<std::uint64_t>(std::max<sf_count_t>(info.frames, 0));
  out.picked.resize(out.names.size());
  for (std::size_t c = 0; c < out.picked.size(); ++c) out.picked[c] = c;
  if (options.select.empty()) return out;
  auto chosen = choose(out.names, options.select, "channel", name);
  if (!chosen) return chosen.error();
  out.picked = *std::move(chosen);
  return out;
}

/// Reads on, at most most frames, into an empty capture. Gives whether every value is a number that
/// a recorder can have meant.
bool read_frames(AudioChannels& in, std::uint64_t source_size, std::uint64_t most,
                 Capture& capture) {
  const SF_INFO& info = in.opened.info;
  const auto channels = static_cast<std::size_t>(info.channels);
  capture.channels.resize(in.picked.size());
  // Room for what the header says, as far as the file can hold it uncompressed; beyond, grow.
  const std::uint64_t left = in.said - std::min(in.said, in.total);
  const std::uint64_t backed = source_size / channels + 1;
  const auto room = static_cast<std::size_t>(std::min({left, backed, most}));
  const std::size_t frames_per_block = std::max<std::size_t>(1, block_samples / channels);
  for (std::size_t k = 0; k < in.picked.size(); ++k) {
    capture.channels[k].name = in.names[in.picked[k]];
    // A whole block is asked for at the end, too.
    capture.channels[k].samples.reserve(room + frames_per_block);
  }
  std::vector<double> block(channels == 1 ? 0 : frames_per_block * channels);
  const bool whole = !is_float(info.format) && !is_lossy(info.format);
  bool usable = true;
  for (std::uint64_t done = 0; done < most;) {
    // One channel is read where it stays; of several each takes its own out of the block.
    std::vector<double>& first = capture.channels.front().samples;
    const std::size_t before = first.size();
    const auto make_room = [&](std::vector<double>& x, std::size_t n) {
      if (before + n > x.capacity()) x.reserve(before + before / 4 + n);
      x.resize(before + n);
    };
    const auto wanted =
        static_cast<std::size_t>(std::min<std::uint64_t>(frames_per_block, most - done));
    if (channels == 1) make_room(first, wanted);
    double* const to = channels == 1 ? first.data() + before : block.data();
    const sf_count_t got =
        sf_readf_double(in.opened.file.get(), to, static_cast<sf_count_t>(wanted));
    const auto n = static_cast<std::size_t>(std::max<sf_count_t>(got, 0));
    if (channels == 1) first.resize(before + n);
    if (n == 0) break;
    done += n;
    usable = usable && (whole || all_usable({to, n * channels}));
    for (std::size_t k = 0; k < in.picked.size() && channels > 1; ++k) {
      std::vector<double>& x = capture.channels[k].samples;
      make_room(x, n);
      const double* from = block.data() + in.picked[k];
      double* out = x.data() + before;
      for (std::size_t f = 0; f < n; ++f) out[f] = from[f * channels];
    }
  }
  in.total += capture.size();
  return usable;
}

/// What the end of the file says of its header.
void note_end(ByteSource& source, const AudioChannels& in, Findings& findings) {
  const auto data = riff_data(source);
  // 0 and all ones are what a recorder leaves that never got to write the length.
  const bool open_ended = data && (data->said == 0 || data->said >= 0xFFFFFF00U);
  if (data && !open_ended && data->said > data->there) {
    findings.push_back(
        {FindingKind::truncated, Weight::caution, "",
         fmt::format("the header states {} bytes of samples, the file contains {}", data->said,
                     data->there),
         "the recording is shorter than the original: close spectral lines may not be resolved",
         "copy it again if you can"});
  } else if (in.total < in.said) {
    findings.push_back(
        {FindingKind::truncated, Weight::caution, "",
         fmt::format("the header states {} samples per channel, {} could be read", in.said,
                     in.total),
         "the recording is shorter than the original: close spectral lines may not be resolved",
         "copy it again if you can"});
  } else if (open_ended && in.total > 0) {
    findings.push_back({FindingKind::header_mismatch, Weight::note, "",
                        "the header was not completed; all samples in the file were read",
                        "none, if the recorder was switched off while recording", ""});
  }
}

/// From the frames as stored to a capture with units and what is to be said of the coding.
Result<Capture> completed(Capture capture, const AudioChannels& in, bool usable,
                          const std::string& name, const ReadOptions& options) {
  const SF_INFO& info = in.opened.info;
  capture.source = name;
  capture.format = format_name(info.format);
  if (is_lossy(info.format)) {
    capture.findings.push_back(
        {FindingKind::coarse_resolution, Weight::caution, "",
         fmt::format("the audio was compressed with loss ({})", type_name(info.format)),
         "inaudible detail is removed: weak impacts and high frequencies may be missing",
         "record as WAV or FLAC"});
  }
  capture.trail.push_back(
      {"read", fmt::format("format={} channels={} of {} samples={}", capture.format,
                           in.picked.size(), info.channels, capture.size())});
  if (const char* date = sf_get_string(in.opened.file.get(), SF_STR_DATE); date != nullptr) {
    capture.trail.push_back({"note", fmt::format("date in file: {}", excerpt(date))});
  }
  Finish end;
  end.storage = is_float(info.format) ? Storage::float_fractions : Storage::fractions;
  end.rate = info.samplerate;
  end.all_usable = usable;
  end.rate_advice = "give the rate";
  return finish(std::move(capture), end, options);
}

class AudioPieces final : public PieceReader {
 public:
  AudioPieces(std::unique_ptr<ByteSource> source, AudioChannels in, std::string name,
              ReadOptions options)
      : source_{std::move(source)},
        in_{std::move(in)},
        name_{std::move(name)},
        options_{std::move(options)} {}
  [[nodiscard]] std::uint64_t expected() const noexcept override { return in_.said; }
  [[nodiscard]] std::size_t channels() const noexcept override { return in_.picked.size(); }
  [[nodiscard]] std::optional<Hz> rate() const noexcept override {
    if (options_.rate) return options_.rate;
    if (in_.opened.info.samplerate <= 0) return std::nullopt;
    return Hz{static_cast<double>(in_.opened.info.samplerate)};
  }
  Result<std::optional<Capture>> next(std::size_t samples) override {
    if (ended_) return std::optional<Capture>{};
    Capture capture;
    const bool usable = read_frames(in_, source_->size(), samples, capture);
    ended_ = capture.size() < samples || in_.total == in_.said;
    if (ended_) note_end(*source_, in_, capture.findings);
    if (capture.size() == 0 && in_.total > 0) return std::optional<Capture>{};
    auto done = completed(std::move(capture), in_, usable, name_, options_);
    if (!done) return done.error();
    return std::optional<Capture>{std::move(*done)};
  }

 private:
  std::unique_ptr<ByteSource> source_;
  AudioChannels in_;
  std::string name_;
  ReadOptions options_;
  bool ended_{false};
};

Result<Capture> read_audio(ByteSource& source, const std::string& name,
                           const ReadOptions& options) {
  auto in = open_channels(source, name, options);
  if (!in) return in.error();
  const std::uint64_t most = options.max_samples / in->picked.size();
  const Error too_many{
      Errc::bad_argument, name,
      fmt::format("contains more than {} samples in the selected channels", options.max_samples),
      "choose fewer channels, cut the file, or raise max_samples"};
  // The header may lie, but then the file is damaged anyway; either way it is not read.
  if (in->said > most && in->said / 4096 <= source.size()) return too_many;
  Capture capture;
  // One more than allowed tells that there are more.
  const bool usable = read_frames(*in, source.size(), most + 1, capture);
  if (capture.size() > most) return too_many;
  note_end(source, *in, capture.findings);
  return completed(std::move(capture), *in, usable, name, options);
}

Result<std::unique_ptr<PieceReader>> audio_pieces(std::unique_ptr<ByteSource> source,
                                                  const std::string& name,
                                                  const ReadOptions& options) {
  auto in = open_channels(*source, name, options);
  if (!in) return in.error();
  return std::unique_ptr<PieceReader>{
      std::make_unique<AudioPieces>(std::move(source), std::move(*in), name, options)};
}

Result<Contents> list_audio(ByteSource& source, const std::string& name) {
  auto opened = open_audio(source, name);
  if (!opened) return opened.error();
  const SF_INFO& info = opened->info;
  Contents out;
  out.source = name;
  out.format = format_name(info.format);
  if (info.samplerate > 0) out.rate = Hz{static_cast<double>(info.samplerate)};
  const std::vector<std::string> names = channel_names(info.channels);
  for (std::size_t c = 0; c < names.size(); ++c) {
    ContentItem item;
    item.number = c + 1;
    item.name = names[c];
    item.type = type_name(info.format);
    item.dims = {static_cast<std::uint64_t>(std::max<sf_count_t>(info.frames, 0))};
    item.is_signal = true;
    out.items.push_back(std::move(item));
  }
  constexpr std::array texts{std::pair{SF_STR_TITLE, "title"}, std::pair{SF_STR_COMMENT, "comment"},
                             std::pair{SF_STR_SOFTWARE, "software"},
                             std::pair{SF_STR_DATE, "date"}};
  for (const auto& [id, label] : texts) {
    if (const char* text = sf_get_string(opened->file.get(), id); text != nullptr) {
      out.notes.push_back(fmt::format("{}: {}", label, excerpt(text)));
    }
  }
  return out;
}

bool begins_audio(std::string_view head) {
  constexpr std::array magics{"RIFF", "RIFX", "RF64", "riff", "FORM", "fLaC", "OggS",
                              ".snd", "dns.", "caff", "NIST", "2BIT", "ID3",  "ajkg"};
  return std::any_of(magics.begin(), magics.end(),
                     [&](const char* m) { return head.starts_with(m); });
}

}  // namespace

const Format audio_format{"wav w64 rf64 flac aif aiff aifc au caf ogg snd bwf mp3 opus",
                          begins_audio, read_audio, list_audio, audio_pieces};

}  // namespace bearingdsp::capture_detail
