#pragma once
/// The user's own list of bearings, from a file.
#include <string>

#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Reads a catalogue file in the form that parse_catalogue() describes.
/// Errors: io if the file cannot be read or is larger than 16 MB; those of parse_catalogue()
[[nodiscard]] Result<Catalogue> load_catalogue(const std::string& path);

}  // namespace bearingdsp
