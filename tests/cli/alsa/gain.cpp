// The mixer of a sound device, which has a gain in decibels, one without, a switch and a control of
// the output: a plugin of ALSA (external control plugin, see alsa/control_external.h).
#include <alsa/asoundlib.h>
#include <alsa/control_external.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstring>
#include <string_view>

namespace {

struct Control {
  const char* name;
  int type;
  long max;
  long value;
  bool decibels;
};
constexpr std::array<Control, 4> controls{
    {{"Capture Volume", SND_CTL_ELEM_TYPE_INTEGER, 63, 39, true},
     {"Capture Switch", SND_CTL_ELEM_TYPE_BOOLEAN, 1, 1, false},
     {"Boost Capture Volume", SND_CTL_ELEM_TYPE_INTEGER, 3, 2, false},
     {"Master Playback Volume", SND_CTL_ELEM_TYPE_INTEGER, 63, 50, false}}};

/// From -17.25 dB in steps of 0.75 dB: 39 of them are 12 dB (the layout of the kernel's TLV).
constexpr std::array<unsigned, 4> scale{SND_CTL_TLVT_DB_SCALE, 2 * sizeof(unsigned),
                                        static_cast<unsigned>(-1725), 75};

int count(snd_ctl_ext_t* /*ext*/) { return static_cast<int>(controls.size()); }
int list(snd_ctl_ext_t* /*ext*/, unsigned offset, snd_ctl_elem_id_t* id) {
  snd_ctl_elem_id_set_interface(id, SND_CTL_ELEM_IFACE_MIXER);
  snd_ctl_elem_id_set_name(id, controls.at(offset).name);
  return 0;
}
snd_ctl_ext_key_t find(snd_ctl_ext_t* /*ext*/, const snd_ctl_elem_id_t* id) {
  const std::string_view name{snd_ctl_elem_id_get_name(id)};
  for (std::size_t i = 0; i < controls.size(); ++i)
    if (controls[i].name == name) return i;
  return SND_CTL_EXT_KEY_NOT_FOUND;
}
int attribute(snd_ctl_ext_t* /*ext*/, snd_ctl_ext_key_t key, int* type, unsigned* access,
              unsigned* values) {
  *type = controls.at(key).type;
  *access = SND_CTL_EXT_ACCESS_READ;
  if (controls.at(key).decibels) *access |= SND_CTL_EXT_ACCESS_TLV_READ;
  *values = 1;
  return 0;
}
int range(snd_ctl_ext_t* /*ext*/, snd_ctl_ext_key_t key, long* min, long* max, long* step) {
  *min = 0;
  *max = controls.at(key).max;
  *step = 1;
  return 0;
}
int read_value(snd_ctl_ext_t* /*ext*/, snd_ctl_ext_key_t key, long* value) {
  *value = controls.at(key).value;
  return 0;
}

const snd_ctl_ext_callback_t callbacks = [] {
  snd_ctl_ext_callback_t c{};
  c.close = [](snd_ctl_ext_t* ext) { delete ext; };
  c.elem_count = count;
  c.elem_list = list;
  c.find_elem = find;
  c.get_attribute = attribute;
  c.get_integer_info = range;
  c.read_integer = read_value;
  return c;
}();

}  // namespace

// The name is what ALSA looks up for "type gain".
extern "C" {
SND_CTL_PLUGIN_DEFINE_FUNC(gain) {
  (void)root;
  (void)conf;
  auto* ext = new snd_ctl_ext_t{};
  ext->version = SND_CTL_EXT_VERSION;
  std::strcpy(ext->id, "test");
  std::strcpy(ext->name, "mixer of the test");
  ext->poll_fd = -1;
  ext->callback = &callbacks;
  ext->tlv.p = scale.data();
  if (const int code = snd_ctl_ext_create(ext, name, mode); code < 0) {
    delete ext;
    return code;
  }
  *handlep = ext->handle;
  return 0;
}
SND_CTL_PLUGIN_SYMBOL(gain)
}
