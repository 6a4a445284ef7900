#pragma once
/// A small text file as a whole: machines, routes, catalogues, plans, manifests.
#include <cstddef>
#include <string>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// More than this is not a file that a person wrote.
constexpr std::size_t max_text_file = std::size_t{16} << 20U;

/// Reads a text file. Only regular files are read, because a device or a pipe may never end.
/// max_bytes: size that is refused above. The bytes are not checked to be text.
/// Errors: io (missing, no permission, a folder, device, pipe or socket, larger than max_bytes)
[[nodiscard]] Result<std::string> read_text_file(const std::string& path,
                                                 std::size_t max_bytes = max_text_file);

/// Whether the path names a regular file, behind any links.
/// Errors: io, as read_text_file(); says what it is instead
[[nodiscard]] Result<void> check_regular_file(const std::string& path);

}  // namespace bearingdsp
