#pragma once
/// The size of an array that a file describes.
#include <cstdint>
#include <span>

namespace bearingdsp::capture_detail {

/// How many elements an array with these sides has; the largest number where that overflows.
[[nodiscard]] inline std::uint64_t product(std::span<const std::uint64_t> sides) noexcept {
  std::uint64_t n = 1;
  for (const std::uint64_t s : sides)
    if (__builtin_mul_overflow(n, s, &n)) return ~std::uint64_t{0};
  return n;
}

}  // namespace bearingdsp::capture_detail
