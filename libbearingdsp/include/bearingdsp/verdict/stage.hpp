#pragma once
/// How far the damage of a bearing has come, from the bearing's own evidence. Not from the
/// velocity, which moves last.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "bearingdsp/core/band.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/place.hpp"

namespace bearingdsp {

/// Steps of damage, each with its physical sign; docs/history.md has the table.
enum class Stage : std::uint8_t {
  unknown,    ///< the recording cannot tell
  none,       ///< no harmonic series of the bearing
  early,      ///< in one resonance only: small sharp impacts
  developed,  ///< the impacts carry energy over much of the range, or fully modulate it
  advanced,   ///< more than one component, or the noise between the impacts has risen as well
};
/// "cannot tell", "none", "early", "developed", "advanced"
[[nodiscard]] std::string_view token(Stage stage) noexcept;

/// What a stage is judged by.
struct StageEvidence {
  Verdict verdict{Verdict::indeterminate};
  int parts{0};      ///< parts of the bearing that stand on their own
  int harmonics{0};  ///< of the strongest family, standing
  int sidebands{0};  ///< of the strongest family, standing
  double depth{0};   ///< of the strongest family; 1 = fully modulated
  double share{0};   ///< of the frequency range in which it is strongest, 0 .. 1
  Band band;         ///< where that is
};
/// Pure. A part counts where its strength is above the one at which damage and soundness are
/// equally likely (JudgementModel::even_strength).
[[nodiscard]] StageEvidence stage_evidence(const Diagnosis& diagnosis);

struct StageJudgement {
  Stage stage{Stage::unknown};
  std::string why;  ///< one sentence with the numbers
};
/// floor_rise_db: how far the noise floor of the high band stands above its baseline (Trend), where
/// there is one; without it "advanced" is only shown by a second damaged part, and `why` says so.
/// Source: order in which the signs of spreading damage appear [randall2011] section 2; the limits
///         are ours, docs/history.md
[[nodiscard]] StageJudgement judge_stage(const StageEvidence& evidence,
                                         std::optional<double> floor_rise_db = std::nullopt);

}  // namespace bearingdsp
