#pragma once
/// Inputs of this computer: sound cards and USB sensors.
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/capture/sound_writer.hpp"
#include "bearingdsp/core/result.hpp"

namespace cli {

struct InputDevice {
  std::string name;
  std::string through;  ///< "ALSA", "JACK" ...
  int channels{0};      ///< at most
  double rate_hz{0};    ///< its usual one
  bool usual{false};    ///< used where nothing else is said
};
/// Every input, in the order of the operating system.
/// Errors: unsupported_format in a build without PortAudio, with what to install; io
[[nodiscard]] bearingdsp::Result<std::vector<InputDevice>> input_devices();
/// The index of the one that is named, by its number (from 1), its name or a part that only one
/// name has; the usual one where nothing is named.
/// Errors: not_found, bad_argument for several
[[nodiscard]] bearingdsp::Result<std::size_t> choose_input(const std::vector<InputDevice>& devices,
                                                           const std::string& wanted);

/// The gain of an input as its mixer tells it, "Capture +12.0 dB, Mic Boost +20.0 dB"; a control
/// without decibels as "Capture 24 of 0 to 63"; empty where the system has no mixer for the input,
/// or this build does not know its sound system. `input`: InputDevice::name
[[nodiscard]] std::string mixer_gain(const std::string& input);

/// Frames that were lost within what was read.
struct InputLoss {
  std::uint64_t at{0};      ///< frames read before it, since the start
  std::uint64_t frames{0};  ///< 0: the input does not say how many
};

/// An input that delivers samples of 32 bits from the start on.
class SoundInput {
 public:
  SoundInput() = default;
  SoundInput(const SoundInput&) = delete;
  SoundInput& operator=(const SoundInput&) = delete;
  virtual ~SoundInput() = default;
  [[nodiscard]] virtual bearingdsp::SoundShape shape() const = 0;
  /// Takes what has arrived, whole frames; does not wait. Gives the number of samples.
  virtual std::size_t read(std::span<std::int32_t> interleaved) = 0;
  /// Throws away what has arrived; the frames since the start until there.
  virtual std::uint64_t skip() = 0;
  /// False when the device has ended, for example because it was unplugged.
  [[nodiscard]] virtual bool running() const = 0;
  /// Losses so far, in order.
  [[nodiscard]] virtual std::vector<InputLoss> losses() const = 0;
};
struct InputRequest {
  std::size_t device{0};  ///< index into input_devices()
  int channels{1};
  std::optional<double> rate_hz;  ///< the usual one of the device
  double seconds{10};             ///< so many fit into the memory that is set aside
};
/// Errors: those of input_devices(); bad_argument for a rate or number of channels that the device
/// cannot deliver; io
[[nodiscard]] bearingdsp::Result<std::unique_ptr<SoundInput>> open_input(
    const InputRequest& request);

}  // namespace cli
