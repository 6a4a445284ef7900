#pragma once
/// One recording: listen, record, store with its description.
#include <string>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/machine/recording_place.hpp"
#include "output_file.hpp"
#include "sound_input.hpp"

namespace cli {

struct Take {
  std::string path;  ///< .wav or .flac
  double seconds{10};
  double listen_seconds{1};  ///< before it; on a terminal until Enter is pressed. 0: not at all
  InputRequest input;
  std::string input_name;
  bearingdsp::RecordingNotes notes;  ///< without what the recording itself tells
};

/// What became of it.
struct Taken {
  std::string path;                     ///< as it was stored
  bearingdsp::Result<void> complete{};  ///< else why it ended early; it is stored then
  [[nodiscard]] bool stopped() const { return !complete; }
};

/// Stores the recording and the file that describes it, also where the input, the disk or the
/// person ended it early.
/// Errors: those of open_input() and OutputFiles; io where nothing came that could be stored
[[nodiscard]] bearingdsp::Result<Taken> take_recording(const Take& take, OutputFiles& outputs);

}  // namespace cli
