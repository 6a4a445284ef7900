#include <alsa/asoundlib.h>
#include <fmt/format.h>

#include <memory>
#include <string>

#include "bearingdsp/core/sentence.hpp"
#include "sound_input.hpp"

// The mixer of Linux.
namespace cli {

namespace {

struct CloseMixer {
  void operator()(snd_mixer_t* mixer) const { snd_mixer_close(mixer); }
};
using Mixer = std::unique_ptr<snd_mixer_t, CloseMixer>;

/// "Codec: Analog (hw:1,0)" is on the card "hw:1"; the mixer of a device that the user defined has
/// the name of the device.
std::string control_of(const std::string& input) {
  const auto at = input.rfind("(hw:");
  if (at == std::string::npos) return input;
  const auto begin = at + 1;
  return input.substr(begin, input.find_first_of(",)", begin) - begin);
}

Mixer open_mixer(const std::string& control) {
  snd_mixer_t* opened = nullptr;
  if (snd_mixer_open(&opened, 0) < 0) return nullptr;
  Mixer mixer{opened};
  if (snd_mixer_attach(opened, control.c_str()) < 0 ||
      snd_mixer_selem_register(opened, nullptr, nullptr) < 0 || snd_mixer_load(opened) < 0)
    return nullptr;
  return mixer;
}

/// Empty for a control of the output, and for one that cannot be read.
std::string gain_of(snd_mixer_elem_t* control) {
  if (snd_mixer_selem_has_capture_volume(control) == 0) return {};
  const std::string name = snd_mixer_selem_get_name(control);
  constexpr auto left = SND_MIXER_SCHN_FRONT_LEFT;  // of one channel too
  if (int on = 1; snd_mixer_selem_has_capture_switch(control) != 0 &&
                  snd_mixer_selem_get_capture_switch(control, left, &on) >= 0 && on == 0)
    return name + " off";
  if (long hundredths = 0; snd_mixer_selem_get_capture_dB(control, left, &hundredths) >= 0)
    return fmt::format("{} {:+.1f} dB", name, static_cast<double>(hundredths) / 100);
  long value = 0;
  long min = 0;
  long max = 0;
  if (snd_mixer_selem_get_capture_volume(control, left, &value) < 0 ||
      snd_mixer_selem_get_capture_volume_range(control, &min, &max) < 0)
    return {};
  return fmt::format("{} {} of {} to {}", name, value, min, max);
}

}  // namespace

std::string mixer_gain(const std::string& input) {
  const Mixer mixer = open_mixer(control_of(input));
  if (!mixer) return {};
  std::string all;
  for (auto* c = snd_mixer_first_elem(mixer.get()); c != nullptr; c = snd_mixer_elem_next(c))
    if (const std::string one = gain_of(c); !one.empty()) bearingdsp::add_part(all, one);
  return all;
}

}  // namespace cli
