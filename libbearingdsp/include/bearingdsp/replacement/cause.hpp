#pragma once
/// Why the old bearing failed, from what was seen on it, so that the next one lasts.
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// What a row of the list is.
enum class DamageKind : std::uint8_t {
  mode,   ///< a damage mode of ISO 15243
  state,  ///< what workshops see besides: cage, seal, grease, creep
  trace,  ///< the running track of a load
};
/// "mode", "state", "trace"
[[nodiscard]] std::string_view token(DamageKind kind) noexcept;

/// What can be seen on a bearing; a mode has the name and clause of ISO 15243.
struct DamageMode {
  std::string name;
  DamageKind kind{DamageKind::mode};
  std::string clause;             ///< of ISO 15243:2017 (most from memory); empty of others
  std::vector<std::string> also;  ///< other words for it
  std::string looks;              ///< how to know it
};
/// All of them: the modes in the order of the standard, states, traces.
/// Source: [iso15243], data/damage_modes.csv, each kind with its own
[[nodiscard]] const std::vector<DamageMode>& damage_modes();

/// Facts that a rule of causes.csv may rest on and that are neither a mode nor from a diagnosis.
[[nodiscard]] const std::vector<std::string>& cause_facts();

/// One reason for or against a cause.
struct CauseReason {
  std::string sign;  ///< a mode, a fact or what the diagnosis found
  int points{0};
  std::string why;
  std::string source;
};

struct RootCause {
  std::string name;
  int points{0};                     ///< sum over its reasons; no probability
  std::vector<CauseReason> reasons;  ///< strongest first, those against last
  std::string change;                ///< so that the next bearing lasts
};

struct CauseInquiry {
  std::vector<DamageMode> seen;
  std::vector<RootCause> causes;  ///< most points first, none with 0 or fewer
};

/// Ranks the root causes. `seen`: words for damage modes, states and traces, any case, the
/// standard's name or a common one. `facts`: words of cause_facts(), or such words too.
/// `diagnosed`: signs from signs_of_diagnosis().
/// Errors:  bad_argument: nothing given; not_found: a word that is none, with what it is near
///          to by its spelling or by its meaning ("brown powder")
/// Source:  data/causes.csv, each row with its own
[[nodiscard]] Result<CauseInquiry> find_causes(std::span<const std::string> seen,
                                               std::span<const std::string> facts,
                                               std::span<const std::string> diagnosed = {});

/// Signs in a "bearingdsp.diagnosis/2" document: the place, where the verdict is a fault, and each
/// other cause with a probability of one half or more. `where` names the text in errors.
/// Errors:  corrupt_file: no JSON, or not that document
[[nodiscard]] Result<std::vector<std::string>> signs_of_diagnosis(std::string_view json,
                                                                  std::string_view where);

}  // namespace bearingdsp
