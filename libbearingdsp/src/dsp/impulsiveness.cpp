#include "bearingdsp/dsp/impulsiveness.hpp"

#include <cstddef>

namespace bearingdsp {

double impulsiveness(std::span<const double> x) noexcept {
  double two = 0;
  double four = 0;
  for (std::size_t i = 0; i + 2 < x.size(); ++i) {
    const double second_difference = x[i] - 2 * x[i + 1] + x[i + 2];
    const double square = second_difference * second_difference;
    two += square;
    four += square * square;
  }
  return two > 0 ? four / (two * two) * static_cast<double>(x.size() - 2) : 0;
}

}  // namespace bearingdsp
