#include "sound_input.hpp"

// A build without PortAudio: the command is there and says what is missing.
namespace cli {
using namespace bearingdsp;

namespace {

Error no_portaudio() {
  return {Errc::unsupported_format, "record",
          "this build cannot record: it was made without PortAudio",
          "install PortAudio with its headers (Debian: portaudio19-dev) and build again"};
}

}  // namespace

Result<std::vector<InputDevice>> input_devices() { return no_portaudio(); }

Result<std::unique_ptr<SoundInput>> open_input(const InputRequest& /*request*/) {
  return no_portaudio();
}

}  // namespace cli
