#include "matio_library.hpp"

#include <dlfcn.h>

#include <fmt/format.h>

namespace bearingdsp::capture_detail {
namespace {

/// HDF5's functions are found through matio's own dependency, so that both are of one build.
template <class Function>
bool find(void* library, const char* name, Function& function) {
  function = reinterpret_cast<Function>(::dlsym(library, name));
  return function != nullptr;
}

bool find_all(void* library, MatioLibrary& f) {
  return find(library, "Mat_Open", f.open) && find(library, "Mat_Close", f.close) &&
         find(library, "Mat_GetVersion", f.version) &&
         find(library, "Mat_VarReadNextInfo", f.next_variable) &&
         find(library, "Mat_VarReadDataAll", f.read_data) &&
         find(library, "Mat_VarFree", f.free_variable) &&
         find(library, "Mat_VarGetNumberOfFields", f.field_count) &&
         find(library, "Mat_VarGetStructFieldnames", f.field_names) &&
         find(library, "Mat_VarGetStructFieldByIndex", f.field) &&
         find(library, "Mat_VarGetCell", f.cell) &&
         find(library, "H5Eget_auto2", f.hdf5_printing) &&
         find(library, "H5Eset_auto2", f.set_hdf5_printing);
}

struct Loaded {
  bool complete{};
  MatioLibrary functions;
};
Loaded load() {
  Loaded loaded;
  void* library = ::dlopen(BEARINGDSP_MATIO_SONAME, RTLD_LAZY | RTLD_LOCAL);
  loaded.complete = library != nullptr && find_all(library, loaded.functions);
  return loaded;
}

}  // namespace

Result<const MatioLibrary*> matio_library(const std::string& where) {
  static const Loaded loaded = load();
  if (!loaded.complete) {
    return Error{
        Errc::unsupported_format, where,
        fmt::format("MAT v7.3 needs {}, which this machine cannot load", BEARINGDSP_MATIO_SONAME),
        "install matio, or save the file as MAT v5 or v7"};
  }
  return &loaded.functions;
}

}  // namespace bearingdsp::capture_detail
