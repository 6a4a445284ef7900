#pragma once
/// What was done to a signal, in order, so that a result can be redone.
#include <string>
#include <vector>

namespace bearingdsp {

/// One processing step, appended only after it succeeded: {"bandpass", "low=2000 Hz high=8000 Hz"}.
struct Step {
  std::string op;
  std::string args;
};
using Trail = std::vector<Step>;

}  // namespace bearingdsp
