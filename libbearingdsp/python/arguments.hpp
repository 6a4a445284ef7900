#pragma once
/// Arguments that several functions take in more than one form.
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/model.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "convert.hpp"

namespace bearingdsp::python {

/// What Python knows as a Diagnosis: also what the user called the bearing.
struct Diagnosed {
  Diagnosis diagnosis;
  std::string bearing;
};

/// A capture made of an array [n] or [channels, n].
[[nodiscard]] Capture capture_from_array(const RawSamples& samples, double rate_hz,
                                         const std::string& unit,
                                         const std::vector<std::string>& names,
                                         std::optional<double> full_scale,
                                         std::optional<double> noted_speed_rpm);

/// Names in one text, in a list of texts and numbers, or None.
/// Errors: py::type_error
[[nodiscard]] std::vector<std::string> texts_argument(const char* argument,
                                                      const py::object& value);

/// The variants that a `bearing` argument means: a designation, a geometry, orders, several orders,
/// or None.
[[nodiscard]] std::vector<DefectOrders> bearing_argument(const py::object& bearing);

/// The constants that a `model` argument means: a Model, a dict, the path of a table, or None.
[[nodiscard]] ModelParameters model_argument(const py::object& model);

}  // namespace bearingdsp::python
