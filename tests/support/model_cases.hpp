#pragma once
/// Simulated recordings that between them use every constant of the engine.
#include <functional>
#include <string>
#include <vector>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace test {

struct ModelCase {
  std::string name;
  /// Every number of the diagnosis under these constants, always as many.
  std::function<std::vector<double>(const bearingdsp::ModelParameters&, bearingdsp::FftPlans&)>
      outputs;
};

/// The recordings are made once, here. Seeds decide everything.
[[nodiscard]] std::vector<ModelCase> model_cases();

/// The same of single stages of the engine, each on many drawn inputs.
[[nodiscard]] std::vector<ModelCase> model_part_cases();

}  // namespace test
