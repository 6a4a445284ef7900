#include <cmath>
#include <string>

#include "arguments.hpp"
#include "bearingdsp/core/model_table.hpp"
#include "bearingdsp/machine/model_file.hpp"
#include "value.hpp"

namespace bearingdsp::python {
namespace {

/// One constant with its value in one model.
struct Constant {
  std::string name, unit;
  double value{0}, shipped{0}, least{0}, most{0};
  bool whole{false};
  std::string origin, source, meaning;
};

Constant constant(const ModelParameters& model, std::size_t i) {
  const ModelParameter& p = model_parameters()[i];
  return {std::string{p.name},
          std::string{p.unit},
          model_value(model, i),
          model_value({}, i),
          p.least,
          p.most,
          p.whole,
          std::string{p.origin},
          std::string{p.source},
          std::string{p.meaning}};
}

ModelParameters with_values(ModelParameters model, const py::dict& values) {
  for (const auto& [key, value] : values) {
    if (!py::isinstance<py::str>(key))
      throw py::type_error("the name of a constant is " + kind_of(key) + "; give text");
    const auto name = py::cast<std::string>(key);
    double number = 0;
    try {
      number = py::cast<double>(value);
    } catch (const py::cast_error&) {
      throw py::type_error("'" + name + "' is " + kind_of(value) + "; give a number");
    }
    take(set_model_value(model, name, number));
  }
  take(check_model(model));
  return model;
}

std::size_t index_of(const std::string& name) {
  const auto all = model_parameters();
  for (std::size_t i = 0; i < all.size(); ++i)
    if (all[i].name == name) return i;
  throw py::key_error("no constant '" + name + "'");
}

py::dict changed(const ModelParameters& model) {
  py::dict values;
  for (std::size_t i = 0; i < model_parameters().size(); ++i)
    if (const double v = model_value(model, i); v != model_value({}, i))
      values[py::str(std::string{model_parameters()[i].name})] = v;
  return values;
}

}  // namespace

ModelParameters model_argument(const py::object& model) {
  if (model.is_none()) return {};
  if (py::isinstance<ModelParameters>(model)) return py::cast<ModelParameters>(model);
  if (py::isinstance<py::dict>(model)) return with_values({}, model);
  if (py::isinstance<py::str>(model) || py::hasattr(model, "__fspath__"))
    return take(read_model(py::cast<std::string>(py::module_::import("os").attr("fspath")(model))));
  throw py::type_error("model is " + kind_of(model) +
                       "; give a Model, a dict of constants, the path of a table, or None");
}

void add_model(py::module_& m) {
  value_type<Constant>(m, "ModelConstant", "One constant that decides a verdict.")
      .def_readonly("name", &Constant::name, "Group and member: \"judgement.even_strength\".")
      .def_readonly("unit", &Constant::unit, "\"1\" for a pure number.")
      .def_readonly("value", &Constant::value, "In the model that was asked.")
      .def_readonly("shipped", &Constant::shipped, "As the library has it.")
      .def_readonly("least", &Constant::least, "Smallest value that is accepted.")
      .def_readonly("most", &Constant::most, "Largest value that is accepted.")
      .def_readonly("whole", &Constant::whole, "Whether it takes whole numbers only.")
      .def_readonly("origin", &Constant::origin,
                    "'derived', 'published', 'practice', 'simulated', 'tuned' or 'chosen'.")
      .def_readonly("source", &Constant::source, "Key of docs/sources.md; may be empty.")
      .def_readonly("meaning", &Constant::meaning, "What it decides.");
  value_type<ModelParameters>(m, "Model",
                              "The constants of the engine by name, as shipped but for those "
                              "given.\n\nA mapping: model[\"judgement.even_strength\"], "
                              "len(model), list(model).")
      .def(py::init([](const py::dict& values) { return with_values({}, values); }),
           py::arg("values") = py::dict{},
           "Raises NotFound for an unknown name (with near misses), BadArgument out of range.")
      .def(
          "replaced",
          [](const ModelParameters& model, const py::dict& values) {
            return with_values(model, values);
          },
          py::arg("values"), "A copy with other values of the constants that are named.")
      .def_property_readonly("changed", &changed, "Constants that differ from the shipped ones.")
      .def_property_readonly(
          "constants",
          [](const ModelParameters& model) {
            std::vector<Constant> all;
            for (std::size_t i = 0; i < model_parameters().size(); ++i)
              all.push_back(constant(model, i));
            return all;
          },
          "Every constant with its value, range, origin and meaning.")
      .def(
          "__getitem__",
          [](const ModelParameters& model, const std::string& name) {
            return model_value(model, index_of(name));
          },
          py::arg("name"), "Value of one constant.")
      .def("__len__", [](const ModelParameters&) { return model_parameters().size(); })
      .def("__iter__",
           [](const ModelParameters&) {
             py::list names;
             for (const ModelParameter& p : model_parameters()) names.append(std::string{p.name});
             return py::iter(names);
           })
      .def("__repr__", [](const ModelParameters& model) {
        return "Model(" + py::cast<std::string>(py::repr(changed(model))) + ")";
      });
  m.def(
      "read_model", [](const py::object& path) { return model_argument(path); }, py::arg("path"),
      "Constants from a table with the columns name and value (docs/validation/figures.md tells of "
      "it);\nwhat is not named keeps its shipped value. Raises IoFailure, CorruptFile, NotFound, "
      "BadArgument.");
}

}  // namespace bearingdsp::python
