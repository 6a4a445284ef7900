// Writes the seeds of fuzz_mat into a folder: MAT v4, v5 and v7.3 files, plain and packed, of a
// signal that our own simulator makes, with a rate, a second shape of vector, a struct and a cell
// around it.
#include <hdf5.h>
#include <matio.h>

#include <array>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "bearingdsp/simulate/simulation.hpp"

namespace {

std::vector<double> samples() {
  bearingdsp::SimulationPlan plan;
  plan.rate = bearingdsp::Hz{8000};
  plan.duration = bearingdsp::Seconds{0.0025};
  auto made = bearingdsp::simulate(plan);
  if (!made) throw std::runtime_error{made.error().message()};
  return made->capture.channels.at(0).samples;
}

template <class T>
matvar_t* matrix(const char* name, matio_classes cls, matio_types type, std::vector<T> x,
                 std::size_t columns = 1) {
  std::array<std::size_t, 2> dims{x.size() / columns, columns};
  return Mat_VarCreate(name, cls, type, 2, dims.data(), x.data(), 0);
}

matvar_t* numbers(const char* name, const std::vector<double>& x) {
  return matrix(name, MAT_C_DOUBLE, MAT_T_DOUBLE, x);
}

/// A vector of two columns, a struct of signal, unit and speed, a cell of two.
std::vector<matvar_t*> nested(const std::vector<double>& x) {
  std::vector<std::int16_t> pair;
  for (std::int16_t i = 0; i < 40; ++i) pair.push_back(i);
  std::array<std::size_t, 2> one{1, 1};
  std::array<std::size_t, 2> two{2, 1};
  std::array<const char*, 3> fields{"gs", "unit", "rpm"};
  matvar_t* bearing = Mat_VarCreateStruct("bearing", 2, one.data(), fields.data(), 3);
  Mat_VarSetStructFieldByName(bearing, "gs", 0, numbers(nullptr, x));
  Mat_VarSetStructFieldByName(bearing, "unit", 0,
                              matrix<std::uint8_t>(nullptr, MAT_C_CHAR, MAT_T_UINT8, {'g'}));
  Mat_VarSetStructFieldByName(bearing, "rpm", 0, numbers(nullptr, {1480}));
  std::array<matvar_t*, 2> cells{numbers(nullptr, x), numbers(nullptr, {8000})};
  return {matrix("pair", MAT_C_INT16, MAT_T_INT16, pair, 2), bearing,
          Mat_VarCreate("runs", MAT_C_CELL, MAT_T_CELL, 2, two.data(), cells.data(), 0)};
}

void write(const std::string& path, mat_ft version, matio_compression packing) {
  const std::vector<double> x = samples();
  std::vector<matvar_t*> variables{numbers("x", x), numbers("fs", {8000})};
  if (version != MAT_FT_MAT4)  // v4 knows neither
    for (matvar_t* v : nested(x)) variables.push_back(v);
  mat_t* file = Mat_CreateVer(path.c_str(), "made by the tests of bearingdsp", version);
  if (file == nullptr) throw std::runtime_error{path + " cannot be written"};
  bool good = true;
  for (matvar_t* v : variables) {
    good = v != nullptr && Mat_VarWrite(file, v, packing) == 0 && good;
    Mat_VarFree(v);
  }
  if (Mat_Close(file) != 0 || !good) throw std::runtime_error{path + " is not whole"};
}

/// What matio does not write: headers and links of the newer make, several filters, two channels.
void write_new_style(const std::string& path) {
  const std::vector<double> x = samples();
  const hid_t access = H5Pcreate(H5P_FILE_ACCESS);
  const hid_t file = H5Pset_libver_bounds(access, H5F_LIBVER_LATEST, H5F_LIBVER_LATEST) < 0
                         ? -1
                         : H5Fcreate(path.c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, access);
  const std::array<hsize_t, 2> sides{2, x.size() / 2};
  const hid_t space = H5Screate_simple(2, sides.data(), nullptr);
  const hid_t form = H5Pcreate(H5P_DATASET_CREATE);
  bool good = H5Pset_chunk(form, 2, sides.data()) >= 0 && H5Pset_shuffle(form) >= 0 &&
              H5Pset_deflate(form, 6) >= 0 && H5Pset_fletcher32(form) >= 0;
  const hid_t data = H5Dcreate2(file, "x", H5T_IEEE_F64LE, space, H5P_DEFAULT, form, H5P_DEFAULT);
  good = H5Dwrite(data, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, x.data()) >= 0 && good;
  good = H5Dclose(data) >= 0 && H5Pclose(form) >= 0 && H5Sclose(space) >= 0 && good;
  if (H5Fclose(file) < 0 || H5Pclose(access) < 0 || !good) {
    throw std::runtime_error{path + " is not whole"};
  }
}

}  // namespace

int main(int argc, char** argv) {
  try {
    const std::string folder = argc > 1 ? argv[1] : ".";
    std::filesystem::create_directories(folder);
    write(folder + "/v4.mat", MAT_FT_MAT4, MAT_COMPRESSION_NONE);
    write(folder + "/v5.mat", MAT_FT_MAT5, MAT_COMPRESSION_NONE);
    write(folder + "/v5_packed.mat", MAT_FT_MAT5, MAT_COMPRESSION_ZLIB);
    write(folder + "/v73.mat", MAT_FT_MAT73, MAT_COMPRESSION_NONE);
    write(folder + "/v73_packed.mat", MAT_FT_MAT73, MAT_COMPRESSION_ZLIB);
    write_new_style(folder + "/v73_new_style.mat");
  } catch (const std::exception& e) {
    std::fprintf(stderr, "make_mat_seeds: %s\n", e.what());
    return 1;
  }
  return 0;
}
