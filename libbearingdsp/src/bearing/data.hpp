#pragma once
/// The data files of libbearingdsp/data, compiled in by cmake/EmbedData.cmake.
#include <string_view>

namespace bearingdsp::data {

extern const std::string_view bearings;
extern const std::string_view boundary_dimensions;

}  // namespace bearingdsp::data
