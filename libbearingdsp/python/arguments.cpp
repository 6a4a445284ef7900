#include "arguments.hpp"

#include <algorithm>
#include <cmath>

#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/bearing/geometry.hpp"

namespace bearingdsp::python {

std::string kind_of(const py::handle& object) {
  return py::cast<std::string>(py::type::of(object).attr("__name__"));
}

RawSamples raw_samples(const py::handle& given) {
  const auto refuse = [](const std::string& what) {
    return py::type_error(what + "; give an array of real numbers");
  };
  if (given.is_none() || py::isinstance<py::str>(given) || py::isinstance<py::bytes>(given))
    throw refuse("the samples are " + kind_of(given));
  auto array = py::reinterpret_borrow<py::object>(given);
  if (py::hasattr(array, "mask") && py::hasattr(array, "filled"))
    array = array.attr("astype")("float64").attr("filled")(std::nan(""));
  const auto any = py::array::ensure(array);
  if (!any) {
    PyErr_Clear();
    throw refuse("the samples are " + kind_of(given));
  }
  const char kind = any.dtype().kind();
  if (kind == 'c') throw refuse("the samples are complex");
  if (std::string_view{"biufO"}.find(kind) == std::string_view::npos)
    throw refuse("the samples are of type " + py::cast<std::string>(py::str(any.dtype())));
  using Array = py::array_t<double, py::array::c_style | py::array::forcecast>;
  auto numbers = Array::ensure(any);
  if (!numbers) {
    PyErr_Clear();
    throw refuse("a sample is not a number");
  }
  return py::reinterpret_steal<RawSamples>(numbers.release());
}

Samples finite_samples(const py::handle& given) {
  auto raw = raw_samples(given);
  const double* first = raw.data();
  const double* end = first + raw.size();
  const auto bad = [](double v) { return !std::isfinite(v); };
  const double* at = std::find_if(first, end, bad);
  if (at != end)
    throw Failure{{Errc::bad_argument, "samples",
                   std::to_string(std::count_if(at, end, bad)) + " of " +
                       std::to_string(raw.size()) + " are missing or not numbers, first at index " +
                       std::to_string(at - first),
                   "fill them, or make a Capture: capture_from_array() fills short gaps"}};
  return py::reinterpret_steal<Samples>(raw.release());
}

double positive(const char* argument, double value) {
  if (!(value > 0 && std::isfinite(value)))
    throw Failure{{Errc::bad_argument, argument, "is not a number above 0", "give it above 0"}};
  return value;
}

std::optional<double> positive(const char* argument, std::optional<double> value) {
  return value ? std::optional{positive(argument, *value)} : std::nullopt;
}

std::vector<std::string> texts_argument(const char* argument, const py::object& value) {
  if (value.is_none()) return {};
  const auto text = [&](const py::handle& item) {
    if (py::isinstance<py::str>(item)) return py::cast<std::string>(item);
    // Channels and columns are also chosen by their number.
    if (py::isinstance<py::int_>(item)) return py::cast<std::string>(py::str(item));
    throw py::type_error(std::string{argument} + " is " + kind_of(item) +
                         "; give text, or a list of texts");
  };
  if (!py::isinstance<py::list>(value) && !py::isinstance<py::tuple>(value)) return {text(value)};
  std::vector<std::string> texts;
  for (const py::handle item : value) texts.push_back(text(item));
  return texts;
}

std::vector<DefectOrders> bearing_argument(const py::object& bearing) {
  if (bearing.is_none()) return {};
  if (py::isinstance<py::str>(bearing))
    return orders_of(take(bearing_candidates(py::cast<std::string>(bearing))));
  if (py::isinstance<DefectOrders>(bearing)) return {py::cast<DefectOrders>(bearing)};
  if (py::isinstance<BearingGeometry>(bearing))
    return {take(defect_orders(py::cast<BearingGeometry>(bearing)))};
  if (!py::isinstance<py::list>(bearing) && !py::isinstance<py::tuple>(bearing))
    throw py::type_error("bearing is " + kind_of(bearing) +
                         "; give a designation, a BearingGeometry, DefectOrders, a list of "
                         "DefectOrders, or None");
  std::vector<DefectOrders> orders;
  for (const py::handle item : bearing) {
    if (!py::isinstance<DefectOrders>(item))
      throw py::type_error("bearing[" + std::to_string(orders.size()) + "] is " + kind_of(item) +
                           "; give DefectOrders");
    orders.push_back(py::cast<DefectOrders>(item));
  }
  if (orders.empty())
    throw Failure{{Errc::bad_argument, "bearing", "is an empty list",
                   "give None where the bearing is not known"}};
  return orders;
}

}  // namespace bearingdsp::python
