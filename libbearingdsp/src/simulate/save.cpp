#include "bearingdsp/simulate/save.hpp"

#include <string_view>

#include "bearingdsp/capture/write.hpp"

namespace bearingdsp {

Result<void> save(const Simulation& simulation, const std::string& path) {
  auto file = WholeFile::start(path);
  if (!file) return file.error();
  if (auto done = save(simulation, *file); !done) return done;
  return file->commit();
}

Result<void> check_ending(const std::string& path) {
  for (const std::string_view ending : {".wav", ".csv", ".txt"})
    if (path.ends_with(ending)) return {};
  return Error{Errc::bad_argument, path, "unknown file extension", "use .wav, .csv or .txt"};
}

Result<void> save(const Simulation& simulation, WholeFile& file) {
  const auto& plan = simulation.truth.plan;
  const std::string& path = file.path();
  if (auto known = check_ending(path); !known) return known;
  if (path.ends_with(".csv")) return write_csv(simulation.capture, file);
  if (path.ends_with(".txt"))
    return write_csv(simulation.capture, file,
                     {.delimiter = '\t', .decimal = ',', .time_column = true});
  WriteWavOptions options;
  if (plan.bits > 0 && plan.bits <= 24) {
    if (simulation.capture.channels.size() > 1)
      return Error{Errc::bad_argument, path,
                   "a tacho channel cannot be stored as a fraction of the range",
                   "remove bits or tacho_pulses, or write .csv"};
    options.samples = plan.bits <= 16 ? WavSamples::pcm16 : WavSamples::pcm24;
    options.full_scale = plan.range;
  }
  return write_wav(simulation.capture, file, options);
}

}  // namespace bearingdsp
