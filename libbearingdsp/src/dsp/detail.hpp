#pragma once
/// Shared small helpers of the signal-mathematics sources.
#include <cstddef>
#include <numbers>
#include <span>
#include <stdexcept>

namespace bearingdsp::detail {

inline constexpr double pi = std::numbers::pi;

inline double real(std::size_t n) { return static_cast<double>(n); }

/// A caller's bug stops here, at the public edge.
inline void require(bool ok, const char* what) {
  if (!ok) throw std::invalid_argument{what};
}

/// Sum of f(x[i]) in eight interleaved partial sums: vectorises without fast-math, and rounding
/// grows with n/8 instead of n.
template <class F>
double sum_of(std::span<const double> x, F f) {
  double part[8] = {};
  const std::size_t whole = x.size() / 8 * 8;
  for (std::size_t i = 0; i < whole; i += 8)
    for (std::size_t j = 0; j < 8; ++j) part[j] += f(x[i + j]);
  for (std::size_t i = whole; i < x.size(); ++i) part[i - whole] += f(x[i]);
  return ((part[0] + part[1]) + (part[2] + part[3])) + ((part[4] + part[5]) + (part[6] + part[7]));
}

/// Modified Bessel function I0 by its power series: every term is positive, so the error stays at
/// a few ulp for 0 <= x <= 50.
inline double bessel_i0(double x) {
  const double q = x * x / 4;
  double term = 1;
  double sum = 1;
  for (int k = 1; k < 500 && term > sum * 1e-17; ++k) {
    term *= q / (static_cast<double>(k) * static_cast<double>(k));
    sum += term;
  }
  return sum;
}

}  // namespace bearingdsp::detail
