#include "table_hdf5.hpp"

#include <dlfcn.h>
#include <hdf5.h>

#include <algorithm>
#include <cstddef>
#include <limits>
#include <optional>
#include <string_view>
#include <utility>

namespace cli {
using namespace bearingdsp;

/// Only what is called here, as hdf5.h declares it.
struct Hdf5 {
  explicit Hdf5(void* loaded) : handle{loaded} {}
  ~Hdf5() { ::dlclose(handle); }
  Hdf5(const Hdf5&) = delete;
  Hdf5& operator=(const Hdf5&) = delete;

  void* handle;
  decltype(&H5open) open{};
  decltype(&H5Eset_auto2) set_error_output{};
  decltype(&H5Pcreate) create_properties{};
  decltype(&H5Pclose) close_properties{};
  decltype(&H5Pset_fapl_core) set_in_memory{};
  decltype(&H5Pset_obj_track_times) set_times{};
  decltype(&H5Fcreate) create_file{};
  decltype(&H5Fflush) flush_file{};
  decltype(&H5Fget_file_image) file_image{};
  decltype(&H5Fclose) close_file{};
  decltype(&H5Gcreate2) create_group{};
  decltype(&H5Gclose) close_group{};
  decltype(&H5Screate) create_space{};
  decltype(&H5Screate_simple) create_simple_space{};
  decltype(&H5Sclose) close_space{};
  decltype(&H5Tcopy) copy_type{};
  decltype(&H5Tset_size) set_size{};
  decltype(&H5Tset_cset) set_characters{};
  decltype(&H5Tset_strpad) set_padding{};
  decltype(&H5Tclose) close_type{};
  decltype(&H5Dcreate2) create_data{};
  decltype(&H5Dwrite) write_data{};
  decltype(&H5Dclose) close_data{};
  decltype(&H5Acreate2) create_attribute{};
  decltype(&H5Awrite) write_attribute{};
  decltype(&H5Aclose) close_attribute{};
  const hid_t *stored_double{}, *native_double{}, *c_string{}, *of_file{}, *of_data{};
};

namespace {

/// H5F_ACC_TRUNC; the macro calls functions of the library.
constexpr unsigned replace_file = 2;

/// An object of the library; closed with it.
class Object {
 public:
  Object(hid_t id, herr_t (*close)(hid_t)) : id_{id}, close_{close} {}
  ~Object() {
    if (id_ >= 0) close_(id_);
  }
  Object(const Object&) = delete;
  Object& operator=(const Object&) = delete;
  [[nodiscard]] hid_t id() const { return id_; }
  [[nodiscard]] bool ok() const { return id_ >= 0; }

 private:
  hid_t id_;
  herr_t (*close_)(hid_t);
};

template <class Pointer>
bool find(void* library, const char* name, Pointer& pointer) {
  pointer = reinterpret_cast<Pointer>(::dlsym(library, name));
  return pointer != nullptr;
}

bool find_all(Hdf5& h) {
  void* const l = h.handle;
  return find(l, "H5open", h.open) && find(l, "H5Eset_auto2", h.set_error_output) &&
         find(l, "H5Pcreate", h.create_properties) && find(l, "H5Pclose", h.close_properties) &&
         find(l, "H5Pset_fapl_core", h.set_in_memory) &&
         find(l, "H5Pset_obj_track_times", h.set_times) && find(l, "H5Fcreate", h.create_file) &&
         find(l, "H5Fflush", h.flush_file) && find(l, "H5Fget_file_image", h.file_image) &&
         find(l, "H5Fclose", h.close_file) && find(l, "H5Gcreate2", h.create_group) &&
         find(l, "H5Gclose", h.close_group) && find(l, "H5Screate", h.create_space) &&
         find(l, "H5Screate_simple", h.create_simple_space) && find(l, "H5Sclose", h.close_space) &&
         find(l, "H5Tcopy", h.copy_type) && find(l, "H5Tset_size", h.set_size) &&
         find(l, "H5Tset_cset", h.set_characters) && find(l, "H5Tset_strpad", h.set_padding) &&
         find(l, "H5Tclose", h.close_type) && find(l, "H5Dcreate2", h.create_data) &&
         find(l, "H5Dwrite", h.write_data) && find(l, "H5Dclose", h.close_data) &&
         find(l, "H5Acreate2", h.create_attribute) && find(l, "H5Awrite", h.write_attribute) &&
         find(l, "H5Aclose", h.close_attribute) && find(l, "H5T_IEEE_F64LE_g", h.stored_double) &&
         find(l, "H5T_NATIVE_DOUBLE_g", h.native_double) && find(l, "H5T_C_S1_g", h.c_string) &&
         find(l, "H5P_CLS_FILE_ACCESS_ID_g", h.of_file) &&
         find(l, "H5P_CLS_DATASET_CREATE_ID_g", h.of_data);
}

/// Words of at most `size` bytes, filled up with zeros. Said to be UTF-8 only where they are more
/// than ASCII: some readers (Octave 7) take nothing else.
hid_t text_type(const Hdf5& h, std::size_t size, std::string_view words) {
  const hid_t type = h.copy_type(*h.c_string);
  if (type < 0) return type;
  const bool ascii = std::all_of(words.begin(), words.end(),
                                 [](char c) { return static_cast<unsigned char>(c) < 0x80; });
  h.set_size(type, std::max<std::size_t>(size, 1));
  h.set_characters(type, ascii ? H5T_CSET_ASCII : H5T_CSET_UTF8);
  h.set_padding(type, H5T_STR_NULLPAD);
  return type;
}

bool add_attribute(const Hdf5& h, hid_t to, const char* name, std::string_view text) {
  const Object type{text_type(h, text.size(), text), h.close_type};
  const Object space{h.create_space(H5S_SCALAR), h.close_space};
  const Object attribute{
      h.create_attribute(to, name, type.id(), space.id(), H5P_DEFAULT, H5P_DEFAULT),
      h.close_attribute};
  return attribute.ok() && h.write_attribute(attribute.id(), type.id(), text.data()) >= 0;
}

/// One column as a data set; `in_file` and `in_memory` are its types.
bool add_column(const Hdf5& h, hid_t group, const Hdf5Column& column, hsize_t rows, hid_t in_file,
                hid_t in_memory, const void* values) {
  const Object space{h.create_simple_space(1, &rows, nullptr), h.close_space};
  const Object how{h.create_properties(*h.of_data), h.close_properties};
  if (!how.ok() || h.set_times(how.id(), false) < 0) return false;
  const Object data{h.create_data(group, column.name.c_str(), in_file, space.id(), H5P_DEFAULT,
                                  how.id(), H5P_DEFAULT),
                    h.close_data};
  if (!data.ok()) return false;
  if (rows > 0 && h.write_data(data.id(), in_memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) < 0)
    return false;
  return column.unit.empty() || add_attribute(h, data.id(), "unit", column.unit);
}

bool add_words(const Hdf5& h, hid_t group, const Hdf5Column& column,
               const std::vector<std::string>& words) {
  std::size_t longest = 1;
  for (const std::string& word : words) longest = std::max(longest, word.size());
  std::string all(words.size() * longest, '\0');
  for (std::size_t i = 0; i < words.size(); ++i)
    std::copy(words[i].begin(), words[i].end(),
              all.begin() + static_cast<std::ptrdiff_t>(i * longest));
  const Object type{text_type(h, longest, all), h.close_type};
  return type.ok() && add_column(h, group, column, words.size(), type.id(), type.id(), all.data());
}

}  // namespace

Hdf5Table::Hdf5Table(std::shared_ptr<const Hdf5> library, Hdf5Layout layout)
    : library_{std::move(library)}, layout_{std::move(layout)} {
  for (const Hdf5Column& c : layout_.columns)
    if (c.number)
      cells_.emplace_back(std::vector<double>{});
    else
      cells_.emplace_back(std::vector<std::string>{});
}

Result<Hdf5Table> Hdf5Table::start(Hdf5Layout layout) {
  const std::string name{BEARINGDSP_HDF5_LIBRARY};
  void* const loaded = ::dlopen(name.c_str(), RTLD_NOW | RTLD_LOCAL);
  const Error missing{Errc::unsupported_format, layout.command,
                      "HDF5 files need the library " + name + ", which is not installed",
                      "install it (Debian 12: libhdf5-103-1), or write " + layout.instead};
  if (loaded == nullptr) return missing;
  auto library = std::make_shared<Hdf5>(loaded);
  if (!find_all(*library) || library->open() < 0) return missing;
  library->set_error_output(H5E_DEFAULT, nullptr, nullptr);
  return Hdf5Table{std::move(library), std::move(layout)};
}

void Hdf5Table::add(const std::vector<Hdf5Cell>& row) {
  for (std::size_t i = 0; i < row.size(); ++i) {
    if (const auto* word = std::get_if<std::string>(&row[i]))
      std::get<std::vector<std::string>>(cells_[i]).push_back(*word);
    else
      std::get<std::vector<double>>(cells_[i]).push_back(
          std::get<std::optional<double>>(row[i]).value_or(
              std::numeric_limits<double>::quiet_NaN()));
  }
}

Result<std::string> Hdf5Table::file() const {
  const Hdf5& h = *library_;
  const Error failed{Errc::internal, layout_.command, "the HDF5 library could not make the file",
                     "write " + layout_.instead};
  const Object access{h.create_properties(*h.of_file), h.close_properties};
  constexpr std::size_t steps = std::size_t{1} << 20U;
  if (!access.ok() || h.set_in_memory(access.id(), steps, 0) < 0) return failed;
  // The name is not used: nothing is written to the disk.
  const Object file{h.create_file("table.h5", replace_file, H5P_DEFAULT, access.id()),
                    h.close_file};
  if (!file.ok() || !add_attribute(h, file.id(), "schema", layout_.schema) ||
      !add_attribute(h, file.id(), "written_by", "bearingdsp " BEARINGDSP_VERSION))
    return failed;
  {
    const Object group{
        h.create_group(file.id(), layout_.group.c_str(), H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT),
        h.close_group};
    if (!group.ok()) return failed;
    for (std::size_t i = 0; i < layout_.columns.size(); ++i) {
      const auto* numbers = std::get_if<std::vector<double>>(&cells_[i]);
      const bool done = numbers != nullptr
                            ? add_column(h, group.id(), layout_.columns[i], numbers->size(),
                                         *h.stored_double, *h.native_double, numbers->data())
                            : add_words(h, group.id(), layout_.columns[i],
                                        std::get<std::vector<std::string>>(cells_[i]));
      if (!done) return failed;
    }
  }
  if (h.flush_file(file.id(), H5F_SCOPE_GLOBAL) < 0) return failed;
  const ssize_t size = h.file_image(file.id(), nullptr, 0);
  if (size <= 0) return failed;
  std::string bytes(static_cast<std::size_t>(size), '\0');
  if (h.file_image(file.id(), bytes.data(), bytes.size()) != size) return failed;
  return bytes;
}

}  // namespace cli
