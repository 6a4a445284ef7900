#pragma once
/// What all pieces of a recording say together: levels, quality, findings.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/dsp/running_moments.hpp"

namespace bearingdsp {

/// One channel over all pieces.
struct ChannelScan {
  std::string name;
  SampleUnit unit{SampleUnit::uncalibrated};
  std::optional<double> full_scale;  ///< as Channel::full_scale
  RunningMoments moments;            ///< in the unit
};

/// Findings of several pieces as findings of the whole: each kind of a place once, with how many
/// pieces have it and where it is worst. A piece that cannot be used does not spoil the whole: a
/// blocking finding of less than half of the pieces is a caution.
class PieceFindings {
 public:
  /// Findings of the piece that begins at `start` and lasts `length`.
  void add(const Findings& findings, Seconds start, Seconds length);
  [[nodiscard]] Findings merged() const;

 private:
  struct Seen {
    Finding worst;
    std::size_t pieces{1}, blocking{0};
    Seconds start, length;  ///< of the worst piece
  };
  std::vector<Seen> seen_;
  std::size_t pieces_{0};
};

/// A whole recording without its samples.
class RecordingScan {
 public:
  /// Takes one piece in. `findings`: all there are of it, the reader's among them.
  /// Errors: corrupt_file if its channels are not those of the pieces before
  [[nodiscard]] Result<void> add(const Capture& piece, const Findings& findings);
  /// Notes that a piece could not be read.
  void add_failed(const Error& error);

  [[nodiscard]] Seconds duration() const noexcept {
    return Seconds{rate.value() > 0 ? static_cast<double>(samples) / rate.value() : 0.0};
  }
  [[nodiscard]] Findings all_findings() const;

  std::string source, format;
  Hz rate;                   ///< of the first piece
  std::uint64_t samples{0};  ///< a channel
  std::vector<ChannelScan> channels;
  std::optional<std::string> start_utc;
  std::optional<Rpm> noted_speed;  ///< of the first piece
  Trail trail;                     ///< of the first piece
  std::size_t pieces{0}, failed{0};

 private:
  PieceFindings findings_;
  std::optional<Error> first_failure_;
  bool rate_changes_{false};
};

/// Samples per channel of one piece, so that all its channels together hold at most `total`.
[[nodiscard]] std::size_t piece_samples(const PieceReader& reader, std::uint64_t total) noexcept;

/// Reads all pieces and assesses the quality of each.
/// Memory: about three times a piece of 2^22 samples, however long the recording is
/// Errors: that of the first piece if it cannot be read; too_short if there are no samples
[[nodiscard]] Result<RecordingScan> scan(PieceReader& reader, FftPlans& plans);

}  // namespace bearingdsp
