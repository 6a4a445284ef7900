#pragma once
/// What a recording is known by: the hash of its bytes, whatever it is called and wherever it lies.
#include <cstddef>
#include <span>
#include <string>

#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// SHA-256 of the bytes, as 64 lower-case hexadecimal digits. Source: [fips180-4] section 6.2
[[nodiscard]] std::string sha256(std::span<const std::byte> bytes);
/// The same of a file, read in pieces. Errors: io
[[nodiscard]] Result<std::string> sha256_of_file(const std::string& path);

}  // namespace bearingdsp
