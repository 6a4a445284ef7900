#pragma once

#include <optional>
#include <string_view>
#include <type_traits>

/// Two texts for an enumerator. `token(e)`, declared beside the enumeration, is what programs read
/// back: in JSON, CSV, the history, machine files, tables of data and options. It never changes once
/// released. `words(e)` is what people read, and may be improved at any time.
namespace bearingdsp {

template <class E>
concept Tokened = std::is_enum_v<E> && requires(E e) {
  std::string_view{token(e)};
};

/// What people read for an enumerator: its token, unless an overload beside it has better words.
/// Errors: none
template <Tokened E>
[[nodiscard]] constexpr std::string_view words(E enumerator) noexcept {
  return token(enumerator);
}

namespace token_detail {
/// Whether E is one of its type: compilers print any other value as a cast or a number.
template <auto E>
[[nodiscard]] constexpr bool is_enumerator() noexcept {
  constexpr std::string_view printed{__PRETTY_FUNCTION__};
  constexpr char first = printed[printed.rfind("E = ") + 4];
  return first != '(' && first != '-' && (first < '0' || first > '9');
}
}  // namespace token_detail

/// How many enumerators E has, which count from 0 without a gap, at most 255.
/// Errors: none
template <class E, int N = 0>
[[nodiscard]] constexpr int enumerator_count() noexcept {
  if constexpr (N < 255 && token_detail::is_enumerator<static_cast<E>(N)>())
    return enumerator_count<E, N + 1>();
  else
    return N;
}

/// The enumerator with this token, the first of two with the same; none for another text.
/// Errors: none
template <Tokened E>
[[nodiscard]] std::optional<E> from_token(std::string_view text) noexcept {
  for (int i = 0; i < enumerator_count<E>(); ++i)
    if (token(static_cast<E>(i)) == text) return static_cast<E>(i);
  return std::nullopt;
}

}  // namespace bearingdsp
