#pragma once
/// What makes a bound type a value in Python: it is equal to its copies, in this process and in
/// others.
#include <string>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include "convert.hpp"
#include "fields.hpp"

namespace bearingdsp::python {

/// A value as tuples, lists, numbers, text and arrays, and back.
/// Errors: py::cast_error for a state that is not of this type
struct Packed {
  template <class T>
  static constexpr bool plain =
      std::is_same_v<T, double> || std::is_same_v<T, std::complex<double>>;

  template <class Tag>
  static py::object of(const Quantity<Tag>& q) {
    return py::float_(q.value());
  }
  static py::object of(const std::string& s) { return py::bytes(s); }  // paths are not always UTF-8
  template <class T>
  static py::object of(const std::optional<T>& o) {
    return o ? py::object{py::make_tuple(of(*o))} : py::none();
  }
  template <class T>
  static py::object of(const std::shared_ptr<T>& p) {
    return p ? py::object{py::make_tuple(of(*p))} : py::none();
  }
  template <class A, class B>
  static py::object of(const std::pair<A, B>& p) {
    return py::make_tuple(of(p.first), of(p.second));
  }
  template <class T, std::size_t N>
  static py::object of(const std::array<T, N>& a) {
    return listed(a);
  }
  template <class T>
  static py::object of(const std::vector<T>& v) {
    if constexpr (plain<T>)
      return py::array_t<T>(static_cast<py::ssize_t>(v.size()), v.data());
    else
      return listed(v);
  }
  template <class T>
  static py::object of(const T& value) {
    if constexpr (std::is_enum_v<T>)
      return py::int_(static_cast<long long>(value));
    else if constexpr (std::is_arithmetic_v<T>)
      return py::cast(value);
    else
      return std::apply(
          [](const auto&... member) { return py::object{py::make_tuple(of(member)...)}; },
          members(value));
  }

  template <class Tag>
  static void into(Quantity<Tag>& q, py::handle h) {
    q = Quantity<Tag>{py::cast<double>(h)};
  }
  static void into(std::string& s, py::handle h) { s = py::cast<std::string>(h); }
  template <class T>
  static void into(std::optional<T>& o, py::handle h) {
    o.reset();
    if (!h.is_none()) into(o.emplace(), only(h));
  }
  template <class T>
  static void into(std::shared_ptr<const T>& p, py::handle h) {
    p.reset();
    if (h.is_none()) return;
    auto made = std::make_shared<T>();
    into(*made, only(h));
    p = std::move(made);
  }
  template <class A, class B>
  static void into(std::pair<A, B>& p, py::handle h) {
    const auto t = sized(h, 2);
    into(p.first, t[0]);
    into(p.second, t[1]);
  }
  template <class T, std::size_t N>
  static void into(std::array<T, N>& a, py::handle h) {
    const auto t = sized(h, N);
    for (std::size_t i = 0; i < N; ++i) into(a[i], t[i]);
  }
  template <class T>
  static void into(std::vector<T>& v, py::handle h) {
    if constexpr (plain<T>) {
      const auto array = py::array_t<T, py::array::c_style>::ensure(h);
      if (!array || array.ndim() != 1) throw py::cast_error("not an array");
      v.assign(array.data(), array.data() + array.size());
    } else {
      const auto t = py::cast<py::tuple>(h);
      v.clear();
      for (const py::handle item : t) into(v.emplace_back(), item);
    }
  }
  template <class T>
  static void into(T& value, py::handle h) {
    if constexpr (std::is_enum_v<T>) {
      value = static_cast<T>(py::cast<std::underlying_type_t<T>>(h));
    } else if constexpr (std::is_arithmetic_v<T>) {
      value = py::cast<T>(h);
    } else {
      auto all = members(value);
      const auto t = sized(h, std::tuple_size_v<decltype(all)>);
      std::size_t i = 0;
      std::apply([&](auto&... member) { (into(member, t[i++]), ...); }, all);
    }
  }

 private:
  template <class Range>
  static py::object listed(const Range& range) {
    py::tuple t(range.size());
    std::size_t i = 0;
    for (const auto& item : range) t[i++] = of(item);
    return t;
  }
  static py::tuple sized(py::handle h, std::size_t n) {
    auto t = py::cast<py::tuple>(h);
    if (t.size() != n) throw py::cast_error("another number of members");
    return t;
  }
  static py::object only(py::handle h) { return sized(h, 1)[0]; }
};

/// Makes a bound type a value: ==, hash(), copy, pickle. A pickle is read by the version that wrote
/// it only, since members may change between versions.
template <class T, class... More>
void as_value(py::class_<T, More...>& type) {
  type.def(
      "__eq__", [](const T& a, const T& b) { return same(a, b); }, py::is_operator(),
      py::arg("other"));
  type.def("__hash__", [](const T& value) { return hash_of(value); });
  type.def("__copy__", [](const T& value) { return value; });
  type.def(
      "__deepcopy__", [](const T& value, const py::dict&) { return value; }, py::arg("memo"));
  type.def(py::pickle(
      [](const T& value) { return py::make_tuple(BEARINGDSP_VERSION, Packed::of(value)); },
      [](const py::tuple& state) {
        if (state.size() != 2 || !py::isinstance<py::str>(state[0]) ||
            py::cast<std::string>(state[0]) != BEARINGDSP_VERSION)
          throw py::value_error("pickled by another version of bearingdsp than " BEARINGDSP_VERSION
                                "; make the value again");
        T value{};
        Packed::into(value, state[1]);
        return value;
      }));
}

/// A bound type that is a value.
template <class T, class... More>
py::class_<T, More...> value_type(py::module_& m, const char* name, const char* doc) {
  py::class_<T, More...> type(m, name, doc);
  as_value(type);
  return type;
}

}  // namespace bearingdsp::python
