#pragma once
/// Included before every source of the page: what the C++ library of Debian 12's Emscripten (LLVM
/// 14) lacks of C++20.
#ifdef __cplusplus
#include <fast_float/fast_float.h>
#include <charconv>
#include <version>

namespace std {

#ifndef __cpp_lib_bit_cast
template <class To, class From>
constexpr To bit_cast(const From& from) noexcept {
  return __builtin_bit_cast(To, from);
}
#endif

#ifndef __cpp_lib_to_chars
inline from_chars_result from_chars(const char* first, const char* last, double& value) {
  const auto [end, code] = fast_float::from_chars(first, last, value);
  return {end, code};
}
#endif

}  // namespace std
#endif
