#pragma once
/// Between NumPy and the library: arrays without copies where possible, errors as exceptions, typed
/// scalars as floats whose names say the unit.
#include <pybind11/complex.h>
#include <pybind11/functional.h>
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <complex>
#include <cstddef>
#include <exception>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp::python {

namespace py = pybind11;

/// An Error on its way to Python; module.cpp turns it into the class of its code.
class Failure : public std::exception {
 public:
  explicit Failure(Error error) : error_{std::move(error)}, message_{error_.message()} {}
  [[nodiscard]] const Error& error() const noexcept { return error_; }
  [[nodiscard]] const char* what() const noexcept override { return message_.c_str(); }

 private:
  Error error_;
  std::string message_;
};

/// The value, or a Failure.
template <class T>
T take(Result<T> result) {
  if (!result) throw Failure{result.error()};
  return *std::move(result);
}
/// A JSON document as Python objects.
inline py::object json_loads(const std::string& text) {
  return py::module_::import("json").attr("loads")(text);
}
inline void take(const Result<void>& result) {
  if (!result) throw Failure{result.error()};
}

/// Samples as they come in: float64 and contiguous is borrowed, anything else is converted once.
/// What is missing (masked, None in an array of objects) is NaN.
struct RawSamples : py::array_t<double, py::array::c_style | py::array::forcecast> {
  using array_t::array_t;
};
/// The same without anything missing.
struct Samples : RawSamples {
  using RawSamples::RawSamples;
};
/// Errors: py::type_error for what is no array of real numbers
[[nodiscard]] RawSamples raw_samples(const py::handle& given);
/// Errors: as there; bad_argument for a value that is missing, not a number or infinite
[[nodiscard]] Samples finite_samples(const py::handle& given);
/// The value, if it is a finite number above 0.
/// Errors: bad_argument with the name of the argument
double positive(const char* argument, double value);
std::optional<double> positive(const char* argument, std::optional<double> value);
/// Name of the class of an object, for messages.
[[nodiscard]] std::string kind_of(const py::handle& object);

/// The borrowed samples. The argument keeps the array alive while the GIL is released; writing to
/// it from another thread meanwhile is the caller's mistake.
inline std::span<const double> view(const Samples& x) {
  if (x.ndim() != 1)
    throw py::value_error("the samples have " + std::to_string(x.ndim()) +
                          " dimensions; give one channel as a one-dimensional array");
  return {x.data(), static_cast<std::size_t>(x.size())};
}

/// A result as an array that owns the vector's memory.
template <class T>
py::array_t<T> owned(std::vector<T> values) {
  auto kept = std::make_unique<std::vector<T>>(std::move(values));
  const auto n = static_cast<py::ssize_t>(kept->size());
  const T* data = kept->data();
  py::capsule owner(kept.get(), [](void* p) { delete static_cast<std::vector<T>*>(p); });
  kept.release();
  return py::array_t<T>({n}, {static_cast<py::ssize_t>(sizeof(T))}, data, owner);
}

/// An array inside an object that Python holds: no copy, read-only, keeps the object alive.
template <class T>
py::array_t<T> borrowed(const std::vector<T>& values, const py::handle& owner) {
  py::array_t<T> array({static_cast<py::ssize_t>(values.size())},
                       {static_cast<py::ssize_t>(sizeof(T))}, values.data(), owner);
  array.attr("flags").attr("writeable") = false;
  return array;
}

/// The caller's plans, or plans for this call alone.
using PlansArgument = std::shared_ptr<FftPlans>;
inline PlansArgument or_fresh(PlansArgument plans) {
  return plans ? std::move(plans) : std::make_shared<FftPlans>();
}

/// Getter of a member that is a Quantity, or an optional one.
template <class T, class Q>
auto number(Q T::*member) {
  return [member](const T& object) { return (object.*member).value(); };
}
template <class T, class Q>
auto maybe_number(std::optional<Q> T::*member) {
  return [member](const T& object) {
    const auto& value = object.*member;
    return value ? std::optional<double>{value->value()} : std::nullopt;
  };
}

template <class Q>
std::optional<Q> quantity(const std::optional<double>& value) {
  return value ? std::optional<Q>{Q{*value}} : std::nullopt;
}

/// Getter of a vector member as an array that shares its memory.
template <class T, class V>
auto array_of(std::vector<V> T::*member) {
  return
      [member](const py::object& self) { return borrowed(py::cast<const T&>(self).*member, self); };
}

/// Words of an enumerator, as the command-line tool prints them.
template <class E>
py::enum_<E> words(py::enum_<E> type) {
  type.def_property_readonly(
      "words", [](E e) { return std::string{token(e)}; }, "The word for it, as it is printed.");
  return type;
}

void add_reference(py::module_& m);
void add_core(py::module_& m);
void add_model(py::module_& m);
void add_bearing(py::module_& m);
void add_capture(py::module_& m);
void add_dsp(py::module_& m);
void add_speed(py::module_& m);
void add_places(py::module_& m);
void add_evidence(py::module_& m);
void add_verdict(py::module_& m);
void add_comparison(py::module_& m);
void add_simulate(py::module_& m);
void add_dataset(py::module_& m);
void add_history(py::module_& m);

}  // namespace bearingdsp::python

namespace pybind11::detail {

template <>
struct type_caster<bearingdsp::python::RawSamples> {
  PYBIND11_TYPE_CASTER(bearingdsp::python::RawSamples, const_name("numpy.ndarray"));
  bool load(handle source, bool) {
    value = bearingdsp::python::raw_samples(source);
    return true;
  }
};
template <>
struct type_caster<bearingdsp::python::Samples> {
  PYBIND11_TYPE_CASTER(bearingdsp::python::Samples, const_name("numpy.ndarray"));
  bool load(handle source, bool) {
    value = bearingdsp::python::finite_samples(source);
    return true;
  }
};

}  // namespace pybind11::detail
