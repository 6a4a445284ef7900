#pragma once
/// Numbers as files hold them, to doubles.
#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstring>

namespace bearingdsp::capture_detail {

static_assert(std::endian::native == std::endian::little, "the byte order below assumes it");

/// n numbers of type T one behind another; `swapped`: big-endian.
template <class T>
void convert_numbers(const std::byte* in, std::size_t n, bool swapped, double* out) noexcept {
  if (swapped) {
    for (std::size_t i = 0; i < n; ++i) {
      std::array<std::byte, sizeof(T)> raw{};
      std::memcpy(raw.data(), in + i * sizeof(T), sizeof(T));
      std::reverse(raw.begin(), raw.end());
      out[i] = static_cast<double>(std::bit_cast<T>(raw));
    }
    return;
  }
  for (std::size_t i = 0; i < n; ++i) {
    T value;
    std::memcpy(&value, in + i * sizeof(T), sizeof(T));
    out[i] = static_cast<double>(value);
  }
}

}  // namespace bearingdsp::capture_detail
