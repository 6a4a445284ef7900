#include "png.hpp"

#include <zlib.h>

#include <array>
#include <new>
#include <stdexcept>
#include <string_view>

namespace bearingdsp {
namespace {

void put32(std::vector<std::uint8_t>& to, std::uint32_t value) {
  for (const unsigned shift : {24U, 16U, 8U, 0U})
    to.push_back(static_cast<std::uint8_t>((value >> shift) & 0xFFU));
}

void put_chunk(std::vector<std::uint8_t>& to, std::string_view type,
               const std::vector<std::uint8_t>& data) {
  put32(to, static_cast<std::uint32_t>(data.size()));
  const std::size_t start = to.size();
  to.insert(to.end(), type.begin(), type.end());
  to.insert(to.end(), data.begin(), data.end());
  put32(to, static_cast<std::uint32_t>(
                crc32(0, to.data() + start, static_cast<uInt>(to.size() - start))));
}

}  // namespace

std::vector<std::uint8_t> png_of(std::span<const std::uint8_t> pixels, std::size_t width,
                                 std::size_t height, std::span<const std::uint32_t> palette) {
  if (width == 0 || height == 0 || pixels.size() != width * height || palette.empty() ||
      palette.size() > 256)
    throw std::invalid_argument{"png_of: sizes do not fit"};
  std::vector<std::uint8_t> out{0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
  std::vector<std::uint8_t> head;
  put32(head, static_cast<std::uint32_t>(width));
  put32(head, static_cast<std::uint32_t>(height));
  // 8 bits a pixel, palette, the only compression and filtering there are, not interlaced.
  constexpr std::array<std::uint8_t, 5> kind{8, 3, 0, 0, 0};
  head.insert(head.end(), kind.begin(), kind.end());
  put_chunk(out, "IHDR", head);
  std::vector<std::uint8_t> colours;
  for (const std::uint32_t c : palette)
    for (const unsigned shift : {16U, 8U, 0U})
      colours.push_back(static_cast<std::uint8_t>((c >> shift) & 0xFFU));
  put_chunk(out, "PLTE", colours);
  std::vector<std::uint8_t> lines;
  for (std::size_t row = 0; row < height; ++row) {
    lines.push_back(0);  // no filter
    const auto line = pixels.subspan(row * width, width);
    lines.insert(lines.end(), line.begin(), line.end());
  }
  uLongf size = compressBound(static_cast<uLong>(lines.size()));
  std::vector<std::uint8_t> packed(size);
  if (compress2(packed.data(), &size, lines.data(), static_cast<uLong>(lines.size()), 9) != Z_OK)
    throw std::bad_alloc{};
  packed.resize(size);
  put_chunk(out, "IDAT", packed);
  put_chunk(out, "IEND", {});
  return out;
}

}  // namespace bearingdsp
