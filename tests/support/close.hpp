#pragma once
/// Comparisons that say what they mean. doctest's own approximate comparison is absolute near zero,
/// so it would let 1e-6 equal 2e-6: these are used instead.
#include <cmath>

namespace test {

/// |a - b| <= rel * max(|a|, |b|); exact for zeros.
inline bool close_rel(double a, double b, double rel) {
  return std::abs(a - b) <= rel * std::fmax(std::abs(a), std::abs(b));
}
/// |a - b| <= tol
inline bool close_abs(double a, double b, double tol) { return std::abs(a - b) <= tol; }
/// Amplitudes a and b (> 0) differ by at most db decibels.
inline bool close_db(double a, double b, double db) {
  return std::abs(20.0 * std::log10(a / b)) <= db;
}

}  // namespace test
