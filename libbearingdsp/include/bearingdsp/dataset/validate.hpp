#pragma once
/// How good are we, honestly: every recording of a manifest diagnosed and compared with its label.
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dataset/outcome.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// What a detector of the caller's says of one recording.
struct DetectorAnswer {
  std::string named;             ///< words of token(Place)
  double probability_damage{0};  ///< 0 .. 1
  double probability_place{0};   ///< of the component that is named, 0 .. 1; 0: none
  std::string reason;            ///< a sentence for the table; may be empty
};

struct ValidateOptions {
  std::size_t jobs{0};      ///< threads; 0: as many as the machine has
  bool blind_speed{false};  ///< withhold the speed of the manifest
  double speed_tolerance{0.05};
  ModelParameters model{};  ///< constants of the engine, as shipped unless others are given
  /// Called after each recording with how many are done, from any thread but never at the same
  /// time.
  std::function<void(std::size_t done, std::size_t all)> progress{};
  /// Called with each diagnosis of the engine and the index of its record, from any thread but
  /// never at the same time.
  std::function<void(std::size_t index, const Diagnosis& diagnosis)> diagnosed{};
  /// Judges the recordings instead of the engine, from any thread, several at the same time; the
  /// samples are those of read_record(). With blind_speed neither argument has the speed. Errors
  /// that it returns or throws are failed outcomes, as is an answer out of range.
  std::function<Result<DetectorAnswer>(const LabelledRecord&, const Capture&)> detector{};
};

/// Diagnoses every recording. Rows come back in the order of the manifest; all but `seconds` is the
/// same for any number of jobs. A recording that cannot be read is an outcome ("failed"), not an
/// error.
[[nodiscard]] std::vector<Outcome> validate(const Manifest& manifest,
                                            const ValidateOptions& options = {});

}  // namespace bearingdsp
