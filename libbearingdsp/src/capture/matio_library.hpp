#pragma once
/// matio, loaded when the first MAT v7.3 file is opened. With HDF5 it brings some thirty shared
/// libraries (network, encryption, directory services), which would more than double the start of a
/// program that reads a WAV file.
#include <hdf5.h>
#include <matio.h>

#include <string>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp::capture_detail {

/// The functions used here, under their own names and types.
struct MatioLibrary {
  decltype(&::Mat_Open) open{};
  decltype(&::Mat_Close) close{};
  decltype(&::Mat_GetVersion) version{};
  decltype(&::Mat_VarReadNextInfo) next_variable{};
  decltype(&::Mat_VarReadDataAll) read_data{};
  decltype(&::Mat_VarFree) free_variable{};
  decltype(&::Mat_VarGetNumberOfFields) field_count{};
  decltype(&::Mat_VarGetStructFieldnames) field_names{};
  decltype(&::Mat_VarGetStructFieldByIndex) field{};
  decltype(&::Mat_VarGetCell) cell{};
  decltype(&::H5Eget_auto2) hdf5_printing{};
  decltype(&::H5Eset_auto2) set_hdf5_printing{};
};

/// Loads the library that was built against, by its bare name and so from where the system's loader
/// looks; once in the process, never unloaded (HDF5 does not outlive that).
/// Errors: unsupported_format at `where` if it is not installed.
Result<const MatioLibrary*> matio_library(const std::string& where);

}  // namespace bearingdsp::capture_detail
