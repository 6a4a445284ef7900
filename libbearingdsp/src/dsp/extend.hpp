#pragma once
/// Continuation of a recording beyond its ends.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

namespace bearingdsp::detail {

/// x with `reach` point-reflected samples on each side: 2 x[0] - x[i] keeps value and slope. Where
/// x is shorter than reach the farthest reflected sample is held.
inline std::vector<double> reflect_ends(std::span<const double> x, std::size_t reach) {
  const std::size_t n = x.size();
  std::vector<double> e(n + 2 * reach);
  std::copy(x.begin(), x.end(), e.begin() + static_cast<std::ptrdiff_t>(reach));
  for (std::size_t i = 1; i <= reach; ++i) {
    const std::size_t j = std::min(i, n - 1);
    e[reach - i] = 2 * x[0] - x[j];
    e[reach + n - 1 + i] = 2 * x[n - 1] - x[n - 1 - j];
  }
  return e;
}

/// x with `reach` mirrored samples on each side, times sign: +1 keeps the mean where it is; -1
/// makes the running integral a mirror image, so that its mean stays where it is.
inline std::vector<double> mirror_ends(std::span<const double> x, std::size_t reach, double sign) {
  const std::size_t n = x.size();
  std::vector<double> e(n + 2 * reach);
  std::copy(x.begin(), x.end(), e.begin() + static_cast<std::ptrdiff_t>(reach));
  for (std::size_t i = 0; i < reach; ++i) {
    const std::size_t j = std::min(i, n - 1);
    e[reach - 1 - i] = sign * x[j];
    e[reach + n + i] = sign * x[n - 1 - j];
  }
  return e;
}

/// Half-cosine fade of the outer `reach` samples of both ends to zero.
inline void fade_ends(std::span<double> e, std::size_t reach) {
  for (std::size_t i = 0; i < reach; ++i) {
    const double g = 0.5 - 0.5 * std::cos(std::numbers::pi * (static_cast<double>(i) + 0.5) /
                                          static_cast<double>(reach));
    e[i] *= g;
    e[e.size() - 1 - i] *= g;
  }
}

}  // namespace bearingdsp::detail
