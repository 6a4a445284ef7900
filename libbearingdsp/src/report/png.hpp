#pragma once
/// A small picture file inside a page: cells of a map would be thousands of elements.
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace bearingdsp {

/// A PNG of width x height palette indices, row by row from the top, over `palette` (0xRRGGBB, at
/// most 256).
/// Errors: std::invalid_argument if the sizes do not fit; std::bad_alloc.
/// Source: [png] W3C PNG specification, sections 5, 9 and 11 (signature, chunks, filter 0, IHDR,
/// PLTE, IDAT, IEND)
[[nodiscard]] std::vector<std::uint8_t> png_of(std::span<const std::uint8_t> pixels,
                                               std::size_t width, std::size_t height,
                                               std::span<const std::uint32_t> palette);

}  // namespace bearingdsp
