#include "text_encoding.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <optional>
#include <span>

namespace bearingdsp::capture_detail {
namespace {

/// Bytes of the UTF-8 character at the front of text (not empty); 0 if there is none.
std::size_t utf8_length(std::string_view text) noexcept {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  const std::size_t length = lead < 0x80                   ? 1
                             : lead >= 0xC2 && lead < 0xE0 ? 2
                             : lead >= 0xE0 && lead < 0xF0 ? 3
                             : lead >= 0xF0 && lead < 0xF5 ? 4
                                                           : 0;
  if (length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i)
    if ((byte(i) & 0xC0U) != 0x80U) return 0;
  return length;
}

void append_utf8(std::string& out, std::uint32_t code) {
  const auto put = [&](std::uint32_t byte) { out += static_cast<char>(byte); };
  if (code < 0x80) {
    put(code);
  } else if (code < 0x800) {
    put(0xC0U | (code >> 6U));
    put(0x80U | (code & 0x3FU));
  } else if (code < 0x10000) {
    put(0xE0U | (code >> 12U));
    put(0x80U | ((code >> 6U) & 0x3FU));
    put(0x80U | (code & 0x3FU));
  } else {
    put(0xF0U | (code >> 18U));
    put(0x80U | ((code >> 12U) & 0x3FU));
    put(0x80U | ((code >> 6U) & 0x3FU));
    put(0x80U | (code & 0x3FU));
  }
}

class Utf16Stream final : public ByteStream {
 public:
  explicit Utf16Stream(ByteSource& source) : source_{&source} {
    std::array<std::byte, 2> mark{};
    at_ = source.read_at(0, mark);
    low_first_ = mark[0] == std::byte{0xff};
  }
  std::size_t read(std::span<std::byte> out) override {
    while (given_ == ready_.size() && refill()) {
    }
    const std::size_t n = std::min(out.size(), ready_.size() - given_);
    if (n > 0) std::memcpy(out.data(), ready_.data() + given_, n);
    given_ += n;
    return n;
  }
  [[nodiscard]] std::string damage() const override { return {}; }
  [[nodiscard]] std::uint64_t used() const noexcept override { return at_; }

 private:
  /// Turns the next block into UTF-8; false at the end.
  bool refill() {
    ready_.clear();
    given_ = 0;
    std::array<std::byte, 65536> block;
    const std::size_t n = source_->read_at(at_, block);
    at_ += n;
    for (std::size_t i = 0; i + 1 < n; i += 2) {
      const auto a = std::to_integer<std::uint32_t>(block[i]);
      const auto b = std::to_integer<std::uint32_t>(block[i + 1]);
      take(low_first_ ? a | (b << 8U) : b | (a << 8U));
    }
    if (n < block.size() && high_) {
      append_utf8(ready_, no_character);
      high_.reset();
    }
    return n > 0;
  }
  void take(std::uint32_t unit) {
    const bool low = unit >= 0xDC00 && unit < 0xE000;
    if (high_ && low) {
      append_utf8(ready_, 0x10000U + ((*high_ - 0xD800U) << 10U) + (unit - 0xDC00U));
      high_.reset();
      return;
    }
    if (high_) append_utf8(ready_, no_character);
    high_.reset();
    if (unit >= 0xD800 && unit < 0xDC00) {
      high_ = unit;
    } else {
      append_utf8(ready_, low ? no_character : unit);
    }
  }

  static constexpr std::uint32_t no_character = 0xFFFD;
  ByteSource* source_;
  std::uint64_t at_{};
  bool low_first_{};
  std::optional<std::uint32_t> high_;  ///< first half of a pair
  std::string ready_;
  std::size_t given_{};
};

}  // namespace

std::string as_utf8(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t length = utf8_length(text.substr(at));
    if (length == 0) break;
    at += length;
  }
  if (at >= text.size()) return std::string{text};
  std::string out;
  for (const char c : text) append_utf8(out, static_cast<unsigned char>(c));
  return out;
}

bool is_utf16(std::string_view head) noexcept {
  return head.substr(0, 2) == "\xff\xfe" || head.substr(0, 2) == "\xfe\xff";
}

std::unique_ptr<ByteStream> utf16_stream(ByteSource& source) {
  return std::make_unique<Utf16Stream>(source);
}

}  // namespace bearingdsp::capture_detail
