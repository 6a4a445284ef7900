#pragma once
/// Failures of data or world as values. Three kinds of failure, three mechanisms:
/// data or world -> Result<T>; a caller's bug -> std::invalid_argument; out of memory ->
/// std::bad_alloc. Member names follow std::expected (absent in g++ 12's C++20 mode) so that Result
/// can become an alias.
#include <cstdint>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// What kind of failure; docs/errors.md says for each when it applies and what to do.
enum class Errc : std::uint8_t {
  bad_argument,        ///< an option or value given by the user is outside its range
  too_short,           ///< the recording holds too little for what was asked
  unsupported_format,  ///< the file is not of a kind we read
  corrupt_file,        ///< the file contradicts itself or its format
  missing_metadata,    ///< rate, unit, channel or speed is needed and not known
  no_speed,            ///< the shaft speed could not be found
  not_found,           ///< a name asked for (bearing, channel, variable) does not exist
  io,                  ///< the operating system refused
  database,            ///< the history store refused
  internal,            ///< our bug
};
inline constexpr int errc_count = 10;

/// Short name of the code ("bad_argument" ...), as written to JSON.
[[nodiscard]] std::string_view token(Errc code) noexcept;

/// One failure: where ("motor1.csv:17", "channel 3", an option), what is wrong, what to do about
/// it.
struct Error {
  Errc code{Errc::internal};
  std::string where;
  std::string what;
  std::string advice;
  /// One line: "where: what; advice" with the empty parts left out. Control characters are escaped.
  [[nodiscard]] std::string message() const;
};

/// Thrown by Result::value() when there is only an error; its what() is Error::message().
class BadResult : public std::runtime_error {
 public:
  explicit BadResult(const Error& e) : std::runtime_error{e.message()} {}
};

/// A value or an Error.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value)
      : state_{std::in_place_index<0>, std::move(value)} {}  // NOLINT(google-explicit-constructor)
  Result(Error error)
      : state_{std::in_place_index<1>, std::move(error)} {}  // NOLINT(google-explicit-constructor)
  [[nodiscard]] bool has_value() const noexcept { return state_.index() == 0; }
  explicit operator bool() const noexcept { return has_value(); }
  /// The value; throws BadResult if there is none.
  [[nodiscard]] T& value() & { return check(), *std::get_if<0>(&state_); }
  [[nodiscard]] const T& value() const& { return check(), *std::get_if<0>(&state_); }
  [[nodiscard]] T&& value() && { return check(), std::move(*std::get_if<0>(&state_)); }
  /// The error; calling it on a value is a caller's bug (std::bad_variant_access).
  [[nodiscard]] const Error& error() const { return std::get<1>(state_); }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }
  [[nodiscard]] T value_or(T fallback) const& {
    return has_value() ? value() : std::move(fallback);
  }

 private:
  void check() const {
    if (!has_value()) throw BadResult{error()};
  }
  std::variant<T, Error> state_;
};

/// Success without a value, or an Error.
template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Error error)
      : error_{std::move(error)}, failed_{true} {}  // NOLINT(google-explicit-constructor)
  [[nodiscard]] bool has_value() const noexcept { return !failed_; }
  explicit operator bool() const noexcept { return has_value(); }
  void value() const {
    if (failed_) throw BadResult{error_};
  }
  [[nodiscard]] const Error& error() const { return error_; }

 private:
  Error error_;
  bool failed_{false};
};

}  // namespace bearingdsp
