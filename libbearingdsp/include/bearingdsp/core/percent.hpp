#pragma once
/// How probabilities are written, in one place.
#include <string>

namespace bearingdsp {

/// A probability for people: "97 %", "> 99 %" above 0.99, "< 1 %" below 0.01, never 0 or 100;
/// "-" for what is not a finite number.
[[nodiscard]] std::string percent(double probability);

}  // namespace bearingdsp
