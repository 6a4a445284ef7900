#include <fmt/format.h>
#include <portaudio.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <chrono>
#include <cstdlib>
#include <future>
#include <memory>
#include <thread>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "sample_ring.hpp"
#include "sound_input.hpp"

// PortAudio reaches the sound systems of Linux, macOS and Windows in the same way.
namespace cli {
using namespace bearingdsp;

namespace {

/// Longer than any pause of the reading thread, beyond what is asked for.
constexpr double spare_seconds = 4;
constexpr std::size_t max_samples_held = std::size_t{1} << 26U;  // 256 MB
/// Delay does no harm here, a lost sample does.
constexpr double min_latency = 0.2;
/// A stream that is stopped ends within its latency.
constexpr std::chrono::seconds patience{2};

Error no_access(const std::string& where, PaError code, const std::string& advice) {
  return {Errc::io, where, std::string{"cannot be used: "} + Pa_GetErrorText(code), advice};
}

/// PortAudio while it lives.
class Session {
 public:
  static Result<Session> start() {
    // Looking for inputs must not start a sound server.
    ::setenv("JACK_NO_START_SERVER", "1", 0);
    if (const PaError code = Pa_Initialize(); code != paNoError)
      return no_access("sound system", code, "check that the computer has one");
    return Session{true};
  }
  Session(Session&& other) noexcept : open_{std::exchange(other.open_, false)} {}
  Session& operator=(Session&& other) noexcept {
    std::swap(open_, other.open_);
    return *this;
  }
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;
  ~Session() {
    if (open_) Pa_Terminate();
  }
  /// Leaves the sound system to the end of the process.
  void abandon() { open_ = false; }

 private:
  explicit Session(bool open) : open_{open} {}
  bool open_;
};

/// Indices of PortAudio that are inputs.
std::vector<PaDeviceIndex> input_indices() {
  std::vector<PaDeviceIndex> found;
  for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount(); ++i)
    if (const PaDeviceInfo* info = Pa_GetDeviceInfo(i);
        info != nullptr && info->maxInputChannels > 0)
      found.push_back(i);
  return found;
}

/// What the thread of the sound system and ours share.
class Arrivals {
 public:
  Arrivals(std::size_t samples, int channels)
      : ring{samples}, channels_{static_cast<std::size_t>(channels)} {}

  /// By the thread of the sound system: no lock, no memory, no system call.
  void take(const std::int32_t* samples, std::size_t frames, bool overflow) noexcept {
    const std::uint64_t before = ring.written() / channels_;
    if (overflow) note_loss(before, 0);
    if (samples == nullptr) return;
    const std::size_t fits = std::min(frames, ring.room() / channels_);
    ring.push({samples, fits * channels_});
    if (fits < frames) note_loss(before + fits, frames - fits);
  }
  [[nodiscard]] std::vector<InputLoss> losses() const {
    std::vector<InputLoss> out;
    const std::size_t n = losses_.load(std::memory_order_acquire);
    for (std::size_t i = n - std::min(n, noted_.size()); i < n; ++i)
      out.push_back({noted(i).at, noted(i).frames});
    return out;
  }

  SampleRing ring;
  std::atomic<bool> ended{false};

 private:
  struct Noted {
    std::atomic<std::uint64_t> at{0}, frames{0};
  };
  [[nodiscard]] Noted& noted(std::size_t i) { return noted_[i % noted_.size()]; }
  [[nodiscard]] const Noted& noted(std::size_t i) const { return noted_[i % noted_.size()]; }
  void note_loss(std::uint64_t at, std::uint64_t frames) noexcept {
    const std::size_t n = losses_.load(std::memory_order_relaxed);
    if (n > 0 && frames > 0 && noted(n - 1).at == at) {
      noted(n - 1).frames += frames;  // still at the same place
      return;
    }
    // Those while listening do not count: the latest ones are kept.
    noted(n).at = at;
    noted(n).frames = frames;
    losses_.store(n + 1, std::memory_order_release);
  }

  std::size_t channels_;
  std::array<Noted, 256> noted_;
  std::atomic<std::size_t> losses_{0};
};

int on_samples(const void* input, void* /*output*/, unsigned long frames,
               const PaStreamCallbackTimeInfo* /*time*/, PaStreamCallbackFlags flags, void* user) {
  static_cast<Arrivals*>(user)->take(static_cast<const std::int32_t*>(input), frames,
                                     (flags & paInputOverflow) != 0);
  return paContinue;
}

void on_end(void* user) { static_cast<Arrivals*>(user)->ended = true; }

class PortAudioInput final : public SoundInput {
 public:
  PortAudioInput(Session session, const SoundShape& shape, std::size_t samples)
      : session_{std::move(session)},
        shape_{shape},
        arrivals_{std::make_unique<Arrivals>(samples, shape.channels)} {}
  ~PortAudioInput() override {
    if (stream_ == nullptr) return;
    // A device that delivers nothing more may hold its reading thread for good, and whoever waits
    // for it: what was recorded is safe by now, so the program ends without it.
    auto closed = std::make_shared<std::promise<void>>();
    auto done = closed->get_future();
    std::thread([stream = stream_, closed] {
      Pa_AbortStream(stream);
      Pa_CloseStream(stream);
      closed->set_value();
    }).detach();
    if (done.wait_for(patience) == std::future_status::ready) return;
    session_.abandon();
    (void)arrivals_.release();  // the thread may still write to it
  }
  PortAudioInput(const PortAudioInput&) = delete;
  PortAudioInput& operator=(const PortAudioInput&) = delete;

  PaError start(const PaStreamParameters& parameters) {
    // The samples as they come: neither clipped nor with noise added.
    PaError code = Pa_OpenStream(&stream_, &parameters, nullptr, shape_.rate.value(),
                                 paFramesPerBufferUnspecified, paClipOff | paDitherOff, on_samples,
                                 arrivals_.get());
    if (code != paNoError) {
      stream_ = nullptr;
      return code;
    }
    Pa_SetStreamFinishedCallback(stream_, on_end);
    return Pa_StartStream(stream_);
  }

  [[nodiscard]] SoundShape shape() const override { return shape_; }
  std::size_t read(std::span<std::int32_t> out) override {
    const auto channels = static_cast<std::size_t>(shape_.channels);
    return arrivals_->ring.pop(out.first(out.size() / channels * channels));
  }
  std::uint64_t skip() override {
    std::vector<std::int32_t> thrown(4096 * static_cast<std::size_t>(shape_.channels));
    const std::uint64_t until = arrivals_->ring.written();
    while (arrivals_->ring.read() < until) {
      const std::uint64_t left = until - arrivals_->ring.read();
      (void)arrivals_->ring.pop(
          std::span{thrown}.first(std::min<std::uint64_t>(left, thrown.size())));
    }
    return arrivals_->ring.read() / static_cast<std::uint64_t>(shape_.channels);
  }
  [[nodiscard]] bool running() const override {
    return !arrivals_->ended && Pa_IsStreamActive(stream_) == 1;
  }
  [[nodiscard]] std::vector<InputLoss> losses() const override { return arrivals_->losses(); }

 private:
  Session session_;
  SoundShape shape_;
  std::unique_ptr<Arrivals> arrivals_;
  PaStream* stream_{nullptr};
};

Error not_opened(const PaDeviceInfo& info, const SoundShape& shape, PaError code) {
  const std::string where = fmt::format("input '{}'", info.name);
  if (code == paInvalidSampleRate)
    return {Errc::bad_argument, where,
            fmt::format("cannot deliver {:g} samples/s", shape.rate.value()),
            fmt::format("its usual rate is --rate {:g}", info.defaultSampleRate)};
  return no_access(where, code, "check that it is connected and that no other program uses it");
}

}  // namespace

Result<std::vector<InputDevice>> input_devices() {
  const auto session = Session::start();
  if (!session) return session.error();
  std::vector<InputDevice> devices;
  for (const PaDeviceIndex i : input_indices()) {
    const PaDeviceInfo* info = Pa_GetDeviceInfo(i);
    const PaHostApiInfo* api = Pa_GetHostApiInfo(info->hostApi);
    devices.push_back({info->name, api == nullptr ? "" : api->name, info->maxInputChannels,
                       info->defaultSampleRate, i == Pa_GetDefaultInputDevice()});
  }
  return devices;
}

Result<std::unique_ptr<SoundInput>> open_input(const InputRequest& request) {
  auto session = Session::start();
  if (!session) return session.error();
  const auto indices = input_indices();
  if (request.device >= indices.size())
    return Error{Errc::not_found, "record", "the input is no longer there", "connect it again"};
  const PaDeviceInfo* info = Pa_GetDeviceInfo(indices[request.device]);
  if (request.channels > info->maxInputChannels)
    return Error{
        Errc::bad_argument, fmt::format("input '{}'", info->name),
        fmt::format("has {}, not {}", counted(info->maxInputChannels, "channel"), request.channels),
        "give fewer with --channels"};
  const SoundShape shape{request.channels, Hz{request.rate_hz.value_or(info->defaultSampleRate)}};
  const double held = (request.seconds + spare_seconds) * shape.rate.value() * shape.channels;
  const std::size_t samples = held < static_cast<double>(max_samples_held)
                                  ? static_cast<std::size_t>(held)
                                  : max_samples_held;
  auto input = std::make_unique<PortAudioInput>(std::move(*session), shape, samples);
  PaStreamParameters parameters{};
  parameters.device = indices[request.device];
  parameters.channelCount = request.channels;
  parameters.sampleFormat = paInt32;
  parameters.suggestedLatency = std::max(info->defaultHighInputLatency, min_latency);
  if (const PaError code = input->start(parameters); code != paNoError)
    return not_opened(*info, shape, code);
  return std::unique_ptr<SoundInput>{std::move(input)};
}

}  // namespace cli
