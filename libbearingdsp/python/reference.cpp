#include <cstdlib>
#include <cstring>

#include "convert.hpp"

namespace bearingdsp::python {
namespace {

/// Python finds the signature of a compiled function in its text, if that begins as "token(a, b=1)",
/// "--" and an empty line follow. The text that pybind11 writes itself is no such one.
void document(const py::object& function, const std::string& text) {
  PyObject* f = function.ptr();
  if (PyInstanceMethod_Check(f)) f = PyInstanceMethod_Function(f);
  if (!PyCFunction_Check(f)) throw py::type_error("no compiled function");
  PyMethodDef* def = reinterpret_cast<PyCFunctionObject*>(f)->m_ml;
  char* copy = ::strdup(text.c_str());
  if (copy == nullptr) throw std::bad_alloc{};
  // pybind11 allocates it in the same way and frees it with the function.
  std::free(const_cast<char*>(def->ml_doc));
  def->ml_doc = copy;
}

}  // namespace

void add_reference(py::module_& m) {
  m.def("_document", &document, py::arg("function"), py::arg("text"));
}

}  // namespace bearingdsp::python
