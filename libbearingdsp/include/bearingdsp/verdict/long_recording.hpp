#pragma once
/// The verdict on a recording that is too long to be held: of its pieces together.
#include <cstdint>
#include <functional>
#include <optional>
#include <span>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// How one piece is diagnosed: diagnose() or diagnose_at() with their options.
using DiagnosePiece = std::function<Result<Diagnosis>(const Capture&)>;

struct LongOptions {
  /// Lowest shaft rate that is expected, where known: pieces hold a thousand revolutions where the
  /// memory allows.
  std::optional<Hz> shaft{};
  /// Samples that are demodulated at the most, over all channels, in pieces spread evenly over the
  /// recording. 11 minutes of one channel at 51.2 kHz.
  std::uint64_t max_demodulated{std::uint64_t{1} << 25U};
  /// Samples of one piece at the most, over all channels.
  std::uint64_t max_piece{std::uint64_t{1} << 23U};
  bool keep_piece{false};  ///< whether LongDiagnosis::piece is wanted
  Hz velocity_from{10};    ///< as DiagnoseOptions::velocity_from
  JudgementModel model{};  ///< from which probability on the whole has a verdict
};

/// The lowest shaft rate that the options speak of, if any.
[[nodiscard]] std::optional<Hz> lowest_shaft(const DiagnoseOptions& options) noexcept;

struct LongDiagnosis {
  Diagnosis diagnosis;
  /// The one that is shown: what the bands, lines and curves are of. Empty unless it was wanted.
  Capture piece;
};

/// Reads all of a recording piece by piece. Levels, clipping, dropouts and all else of its quality
/// are measured over all of it; pieces spread evenly are diagnosed, and their verdicts combined:
/// see combined_damage(). What is shown of the evidence is that of one piece, the clearest of those
/// that have the verdict of the whole. One piece that is evidence for damage rules out "no fault".
///
/// Memory: some seven times a piece of 2^23 samples, and up to three pieces' curves where they are
///         kept
/// Errors: that of the first piece if it cannot be read or diagnosed
[[nodiscard]] Result<LongDiagnosis> diagnose_long(PieceReader& reader, FftPlans& plans,
                                                  const DiagnosePiece& diagnose_piece,
                                                  const LongOptions& options = {});

/// diagnose_known() of a recording that is too long to be held: with the piece that is shown, and
/// the vibration of all of it judged by the machine, if there is one. `max_piece`: as LongOptions.
/// Errors: as diagnose_long()
[[nodiscard]] Result<LongDiagnosis> diagnose_long_known(
    PieceReader& reader, FftPlans& plans, const DiagnoseOptions& options,
    const std::optional<KnownPoint>& at, std::uint64_t max_piece = LongOptions{}.max_piece);

/// Probability of damage, 0 .. 1, from those of n >= 1 pieces of one recording: the odds of the
/// j-th largest are multiplied by j / n, and the largest of these counts. Where all pieces agree,
/// so does the result; what only one of n pieces shows has to be n times clearer, for it had n
/// chances to be a false alarm. Holds for pieces that are not independent.
/// Errors: none; 0.5 of no pieces Source: [simes1986], for odds instead of p-values
[[nodiscard]] double combined_damage(std::span<const double> probabilities);

}  // namespace bearingdsp
