#pragma once
/// How good are we, honestly: every recording of a manifest diagnosed and compared with its label.
#include <cstddef>
#include <functional>
#include <vector>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/dataset/manifest.hpp"
#include "bearingdsp/dataset/outcome.hpp"

namespace bearingdsp {

struct ValidateOptions {
  std::size_t jobs{0};      ///< threads; 0: as many as the machine has
  bool blind_speed{false};  ///< withhold the speed of the manifest
  double speed_tolerance{0.05};
  ModelParameters model{};  ///< constants of the engine, as shipped unless others are given
  /// Called after each recording with how many are done, from any thread but never at the same
  /// time.
  std::function<void(std::size_t done, std::size_t all)> progress{};
};

/// Diagnoses every recording. Rows come back in the order of the manifest; all but `seconds` is the
/// same for any number of jobs. A recording that cannot be read is an outcome ("failed"), not an
/// error.
[[nodiscard]] std::vector<Outcome> validate(const Manifest& manifest,
                                            const ValidateOptions& options = {});

}  // namespace bearingdsp
