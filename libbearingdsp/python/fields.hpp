#pragma once
/// The members of a plain struct without naming them: copies, pickles, equality and hashes of every
/// bound type are made of all its members, also of those that a struct gets later.
#include <array>
#include <cmath>
#include <complex>
#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include "bearingdsp/bearing/candidate.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp::python {

template <class T>
struct IsOptional : std::false_type {};
template <class T>
struct IsOptional<std::optional<T>> : std::true_type {};

/// Stands for a value of any type where members are counted; never made.
struct AnyMember {
  // An optional takes it as a value where it can; two ways would be one too many.
  template <class T>
  requires(!IsOptional<T>::value) operator T()
      const;  // NOLINT(google-explicit-constructor): to be converted is its use
  template <class T>
  requires(IsOptional<T>::value &&
           !std::is_constructible_v<typename T::value_type, const AnyMember&>)
  operator T() const;  // NOLINT(google-explicit-constructor)
};

template <class T, std::size_t... I>
constexpr bool takes(std::index_sequence<I...>) {
  return requires { T{(static_cast<void>(I), std::declval<const AnyMember&>())...}; };
}

inline constexpr std::size_t max_members = 96;

/// How many members an aggregate has: as many as it can be initialised with, by halving. Members
/// that are left out are initialised by themselves, so that fewer always do. A wrong count does not
/// compile below.
template <class T, std::size_t Enough = 0, std::size_t TooMany = max_members + 1>
constexpr std::size_t member_count() {
  if constexpr (TooMany - Enough == 1) {
    return Enough;
  } else {
    constexpr std::size_t middle = (Enough + TooMany) / 2;
    if constexpr (takes<T>(std::make_index_sequence<middle>{}))
      return member_count<T, middle, TooMany>();
    else
      return member_count<T, Enough, middle>();
  }
}

#define BEARINGDSP_8(x) x##0, x##1, x##2, x##3, x##4, x##5, x##6, x##7
#define BEARINGDSP_16(x, y) BEARINGDSP_8(x), BEARINGDSP_8(y)
#define BEARINGDSP_TIE(n, ...)     \
  else if constexpr (count == n) { \
    auto& [__VA_ARGS__] = value;   \
    return std::tie(__VA_ARGS__);  \
  }
#define BEARINGDSP_TIE_8(n, ...)                                  \
  BEARINGDSP_TIE((n) + 1, __VA_ARGS__ z0)                         \
  BEARINGDSP_TIE((n) + 2, __VA_ARGS__ z0, z1)                     \
  BEARINGDSP_TIE((n) + 3, __VA_ARGS__ z0, z1, z2)                 \
  BEARINGDSP_TIE((n) + 4, __VA_ARGS__ z0, z1, z2, z3)             \
  BEARINGDSP_TIE((n) + 5, __VA_ARGS__ z0, z1, z2, z3, z4)         \
  BEARINGDSP_TIE((n) + 6, __VA_ARGS__ z0, z1, z2, z3, z4, z5)     \
  BEARINGDSP_TIE((n) + 7, __VA_ARGS__ z0, z1, z2, z3, z4, z5, z6) \
  BEARINGDSP_TIE((n) + 8, __VA_ARGS__ z0, z1, z2, z3, z4, z5, z6, z7)

/// References to all members of an aggregate, in order, as a tuple. T: const or not.
template <class T>
auto members(T& value) {
  constexpr std::size_t count = member_count<std::remove_const_t<T>>();
  static_assert(count > 0 && count <= max_members, "add rows to BEARINGDSP_TIE");
  if constexpr (count == 0) {
    return std::tuple<>{};
  }
  BEARINGDSP_TIE_8(0, )
  BEARINGDSP_TIE_8(8, BEARINGDSP_8(a), )
  BEARINGDSP_TIE_8(16, BEARINGDSP_16(a, b), )
  BEARINGDSP_TIE_8(24, BEARINGDSP_16(a, b), BEARINGDSP_8(c), )
  BEARINGDSP_TIE_8(32, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), )
  BEARINGDSP_TIE_8(40, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), BEARINGDSP_8(e), )
  BEARINGDSP_TIE_8(48, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), BEARINGDSP_16(e, f), )
  BEARINGDSP_TIE_8(56, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), BEARINGDSP_16(e, f),
                   BEARINGDSP_8(g), )
  BEARINGDSP_TIE_8(64, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), BEARINGDSP_16(e, f),
                   BEARINGDSP_16(g, h), )
  BEARINGDSP_TIE_8(72, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), BEARINGDSP_16(e, f),
                   BEARINGDSP_16(g, h), BEARINGDSP_8(i), )
  BEARINGDSP_TIE_8(80, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), BEARINGDSP_16(e, f),
                   BEARINGDSP_16(g, h), BEARINGDSP_16(i, j), )
  BEARINGDSP_TIE_8(88, BEARINGDSP_16(a, b), BEARINGDSP_16(c, d), BEARINGDSP_16(e, f),
                   BEARINGDSP_16(g, h), BEARINGDSP_16(i, j), BEARINGDSP_8(k), )
}
#undef BEARINGDSP_TIE_8
#undef BEARINGDSP_TIE
#undef BEARINGDSP_16
#undef BEARINGDSP_8

// No aggregate: it has constructors.
inline auto members(BearingCandidate& c) { return std::tie(c.orders, c.weight, c.basis); }
inline auto members(const BearingCandidate& c) { return std::tie(c.orders, c.weight, c.basis); }

// Members of its own and of a base: no structured binding takes both.
static_assert(member_count<SignalFigures>() == 7, "name the new member below");
template <class Figures>
requires std::is_same_v<std::remove_const_t<Figures>, SignalFigures>
auto members(Figures& f) {
  using Levels = std::conditional_t<std::is_const_v<Figures>, const SignalLevels, SignalLevels>;
  return std::tie(static_cast<Levels&>(f), f.channel, f.unit, f.velocity_rms, f.envelope_rms,
                  f.velocity_from, f.displacement_rms);
}

template <class T>
concept Number = std::is_arithmetic_v<T> || std::is_enum_v<T>;

/// Whether two values are equal in every member. Two missing numbers (NaN) are equal: a value is
/// equal to its copy.
template <class T>
bool same(const T& a, const T& b);
template <class T>
std::size_t hash_of(const T& value);

struct Same {
  template <class Tag>
  static bool of(const Quantity<Tag>& a, const Quantity<Tag>& b) {
    return same(a.value(), b.value());
  }
  template <class T>
  static bool of(const std::complex<T>& a, const std::complex<T>& b) {
    return same(a.real(), b.real()) && same(a.imag(), b.imag());
  }
  template <class T>
  static bool of(const std::optional<T>& a, const std::optional<T>& b) {
    return a.has_value() == b.has_value() && (!a || same(*a, *b));
  }
  template <class T>
  static bool of(const std::shared_ptr<T>& a, const std::shared_ptr<T>& b) {
    return a == b || (a && b && same(*a, *b));
  }
  template <class A, class B>
  static bool of(const std::pair<A, B>& a, const std::pair<A, B>& b) {
    return same(a.first, b.first) && same(a.second, b.second);
  }
  template <class T, std::size_t N>
  static bool of(const std::array<T, N>& a, const std::array<T, N>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), same<T>);
  }
  template <class T>
  static bool of(const std::vector<T>& a, const std::vector<T>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), same<T>);
  }
  static bool of(const std::string& a, const std::string& b) { return a == b; }
  template <class T>
  static bool of(const T& a, const T& b) {
    if constexpr (std::is_floating_point_v<T>) return a == b || (std::isnan(a) && std::isnan(b));
    if constexpr (Number<T>) {
      return a == b;
    } else {
      const auto left = members(a);
      const auto right = members(b);
      return [&]<std::size_t... I>(std::index_sequence<I...>) {
        return (same(std::get<I>(left), std::get<I>(right)) && ...);
      }
      (std::make_index_sequence<std::tuple_size_v<decltype(left)>>{});
    }
  }
};

struct Hash {
  static void mix(std::size_t& seed, std::size_t more) {
    seed ^= more + 0x9e3779b97f4a7c15ULL + (seed << 6U) + (seed >> 2U);
  }
  template <class Range>
  static std::size_t all(const Range& range) {
    std::size_t seed = range.size();
    for (const auto& item : range) mix(seed, hash_of(item));
    return seed;
  }
  template <class Tag>
  static std::size_t of(const Quantity<Tag>& q) {
    return hash_of(q.value());
  }
  template <class T>
  static std::size_t of(const std::complex<T>& z) {
    return all(std::array<T, 2>{z.real(), z.imag()});
  }
  template <class T>
  static std::size_t of(const std::optional<T>& o) {
    return o ? hash_of(*o) : 1;
  }
  template <class T>
  static std::size_t of(const std::shared_ptr<T>& p) {
    return p ? hash_of(*p) : 1;
  }
  template <class A, class B>
  static std::size_t of(const std::pair<A, B>& p) {
    std::size_t seed = hash_of(p.first);
    mix(seed, hash_of(p.second));
    return seed;
  }
  template <class T, std::size_t N>
  static std::size_t of(const std::array<T, N>& a) {
    return all(a);
  }
  template <class T>
  static std::size_t of(const std::vector<T>& v) {
    return all(v);
  }
  static std::size_t of(const std::string& s) { return std::hash<std::string>{}(s); }
  template <class T>
  static std::size_t of(const T& value) {
    if constexpr (std::is_floating_point_v<T>) {
      return std::isnan(value) ? 2 : std::hash<T>{}(value);
    } else if constexpr (Number<T>) {
      return std::hash<T>{}(value);
    } else {
      std::size_t seed = 0;
      std::apply([&](const auto&... member) { (mix(seed, hash_of(member)), ...); }, members(value));
      return seed;
    }
  }
};

template <class T>
bool same(const T& a, const T& b) {
  return Same::of(a, b);
}
template <class T>
std::size_t hash_of(const T& value) {
  return Hash::of(value);
}

}  // namespace bearingdsp::python
