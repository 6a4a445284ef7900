// A sound device that delivers counted samples and is then gone, as a USB sensor that is unplugged:
// a plugin of ALSA (external I/O plugin, see alsa/pcm_ioplug.h). Every call after the last sample
// ends with "no such device". It may report one overrun on the way, as a computer that was too
// slow.
#include <alsa/asoundlib.h>
#include <alsa/pcm_external.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdint>
#include <string_view>

namespace {

struct Device {
  snd_pcm_ioplug_t plug{};
  std::uint64_t at{0};    ///< frames delivered
  std::uint64_t last{0};  ///< then it is gone
  std::uint64_t overrun_at{UINT64_MAX};
  std::uint64_t base{0};  ///< frames delivered when it was last prepared
  int ready{-1};          ///< always readable
};

Device& device_of(snd_pcm_ioplug_t* plug) { return *static_cast<Device*>(plug->private_data); }

int start(snd_pcm_ioplug_t* /*plug*/) { return 0; }
int stop(snd_pcm_ioplug_t* /*plug*/) { return 0; }
int prepare(snd_pcm_ioplug_t* plug) {
  Device& d = device_of(plug);
  d.base = d.at;
  return 0;
}

snd_pcm_sframes_t pointer(snd_pcm_ioplug_t* plug) {
  Device& d = device_of(plug);
  if (d.at >= d.last) return -ENODEV;
  if (d.at >= d.overrun_at) {
    d.overrun_at = UINT64_MAX;
    return -EPIPE;
  }
  // A quarter of the buffer is always there.
  const std::uint64_t arrived = std::min(d.at + plug->buffer_size / 4, d.last);
  return static_cast<snd_pcm_sframes_t>((arrived - d.base) % plug->buffer_size);
}

/// Sample n is n steps of 24 bits.
snd_pcm_sframes_t transfer(snd_pcm_ioplug_t* plug, const snd_pcm_channel_area_t* areas,
                           snd_pcm_uframes_t offset, snd_pcm_uframes_t size) {
  Device& d = device_of(plug);
  if (d.at >= d.last) return -ENODEV;
  const auto n = std::min<std::uint64_t>(size, d.last - d.at);
  for (unsigned c = 0; c < plug->channels; ++c) {
    auto* to = static_cast<std::uint8_t*>(areas[c].addr) + areas[c].first / 8;
    for (std::uint64_t i = 0; i < n; ++i)
      *reinterpret_cast<std::int32_t*>(to + (offset + i) * areas[c].step / 8) =
          static_cast<std::int32_t>((d.at + i) << 8U);
  }
  d.at += n;
  return static_cast<snd_pcm_sframes_t>(n);
}

int close_device(snd_pcm_ioplug_t* plug) {
  Device* d = &device_of(plug);
  ::close(d->ready);
  delete d;
  return 0;
}

int poll_revents(snd_pcm_ioplug_t* /*plug*/, pollfd* /*fds*/, unsigned /*n*/,
                 unsigned short* revents) {
  *revents = POLLIN;
  return 0;
}

const snd_pcm_ioplug_callback_t callbacks = [] {
  snd_pcm_ioplug_callback_t c{};
  c.start = start;
  c.stop = stop;
  c.prepare = prepare;
  c.pointer = pointer;
  c.transfer = transfer;
  c.close = close_device;
  c.poll_revents = poll_revents;
  return c;
}();

int limits(snd_pcm_ioplug_t* plug) {
  const std::array<unsigned, 1> access{SND_PCM_ACCESS_RW_INTERLEAVED};
  const std::array<unsigned, 1> format{SND_PCM_FORMAT_S32_LE};
  int code = snd_pcm_ioplug_set_param_list(plug, SND_PCM_IOPLUG_HW_ACCESS, 1, access.data());
  if (code >= 0)
    code = snd_pcm_ioplug_set_param_list(plug, SND_PCM_IOPLUG_HW_FORMAT, 1, format.data());
  if (code >= 0) code = snd_pcm_ioplug_set_param_minmax(plug, SND_PCM_IOPLUG_HW_CHANNELS, 1, 2);
  if (code >= 0) code = snd_pcm_ioplug_set_param_minmax(plug, SND_PCM_IOPLUG_HW_RATE, 8000, 192000);
  return code;
}

}  // namespace

// The name is what ALSA looks up for "type unplugged". "frames": how many are delivered;
// "overrun_at": after how many of them one overrun is reported.
extern "C" {
SND_PCM_PLUGIN_DEFINE_FUNC(unplugged) {
  (void)root;
  auto* d = new Device;
  d->last = 48000;
  snd_config_iterator_t i = nullptr;
  snd_config_iterator_t next = nullptr;
  snd_config_for_each(i, next, conf) {
    const char* id = nullptr;
    snd_config_t* entry = snd_config_iterator_entry(i);
    long value = 0;
    if (snd_config_get_id(entry, &id) < 0 || snd_config_get_integer(entry, &value) < 0) continue;
    if (std::string_view{id} == "frames") d->last = static_cast<std::uint64_t>(value);
    if (std::string_view{id} == "overrun_at") d->overrun_at = static_cast<std::uint64_t>(value);
  }
  d->ready = ::eventfd(1, EFD_CLOEXEC);
  d->plug.version = SND_PCM_IOPLUG_VERSION;
  d->plug.name = "a device that is unplugged";
  d->plug.callback = &callbacks;
  d->plug.private_data = d;
  d->plug.poll_fd = d->ready;
  d->plug.poll_events = POLLIN;
  int code = snd_pcm_ioplug_create(&d->plug, name, stream, mode);
  if (code >= 0) code = limits(&d->plug);
  if (code < 0) {
    delete d;
    return code;
  }
  *pcmp = d->plug.pcm;
  return 0;
}
SND_PCM_PLUGIN_SYMBOL(unplugged)
}
