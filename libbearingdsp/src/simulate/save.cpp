#include "bearingdsp/simulate/save.hpp"

#include "bearingdsp/capture/write.hpp"

namespace bearingdsp {

Result<void> save(const Simulation& simulation, const std::string& path) {
  const auto& plan = simulation.truth.plan;
  if (path.ends_with(".csv")) return write_csv(simulation.capture, path);
  if (path.ends_with(".txt"))
    return write_csv(simulation.capture, path,
                     {.delimiter = '\t', .decimal = ',', .time_column = true});
  if (!path.ends_with(".wav"))
    return Error{Errc::bad_argument, path, "the ending names no format that is written",
                 "use .wav, .csv or .txt"};
  WriteWavOptions options;
  if (plan.bits > 0 && plan.bits <= 24) {
    if (simulation.capture.channels.size() > 1)
      return Error{Errc::bad_argument, path, "a tacho channel has no place in fractions of a range",
                   "leave out bits or tacho_pulses, or write .csv"};
    options.samples = plan.bits <= 16 ? WavSamples::pcm16 : WavSamples::pcm24;
    options.full_scale = plan.range;
  }
  return write_wav(simulation.capture, path, options);
}

}  // namespace bearingdsp
