#pragma once
/// How impulsive the fast part of a signal is, at the cost of one pass.
#include <span>

namespace bearingdsp {

/// Kurtosis of the second difference, which is next to nothing but the fast part of the signal: 3
/// for Gaussian noise, far more where impacts exceed it, whatever tones lie below.
/// Shape: x [n]; 0 for fewer than three samples or a straight line.
/// Unit: 1.
/// Errors: none
/// Source: fourth standardised moment; closed form
[[nodiscard]] double impulsiveness(std::span<const double> x) noexcept;

}  // namespace bearingdsp
