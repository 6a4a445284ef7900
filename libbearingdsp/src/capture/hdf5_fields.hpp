#pragma once
/// What both halves of H5File use: fields of fixed size, one after another.
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <span>
#include <string_view>

namespace bearingdsp::capture_detail {

inline constexpr std::size_t max_filters = 8;

inline std::uint64_t little(std::span<const std::byte> bytes) noexcept {
  std::uint64_t v = 0;
  for (std::size_t i = bytes.size(); i-- > 0;) {
    v = v << 8U | std::to_integer<std::uint64_t>(bytes[i]);
  }
  return v;
}

/// Little-endian fields one after another; once it ran over the end, everything is zero.
class Fields {
 public:
  explicit Fields(std::span<const std::byte> bytes) : bytes_{bytes} {}
  std::uint64_t next(std::size_t n) { return little(take(n)); }
  std::uint8_t u8() { return static_cast<std::uint8_t>(next(1)); }
  std::uint16_t u16() { return static_cast<std::uint16_t>(next(2)); }
  std::uint32_t u32() { return static_cast<std::uint32_t>(next(4)); }
  std::span<const std::byte> take(std::uint64_t n) {
    if (n > bytes_.size() - at_) {
      good_ = false;
      at_ = bytes_.size();
      return {};
    }
    const auto out = bytes_.subspan(at_, static_cast<std::size_t>(n));
    at_ += static_cast<std::size_t>(n);
    return out;
  }
  void skip(std::uint64_t n) { static_cast<void>(take(n)); }
  [[nodiscard]] bool good() const noexcept { return good_; }
  [[nodiscard]] std::size_t left() const noexcept { return bytes_.size() - at_; }

 private:
  std::span<const std::byte> bytes_;
  std::size_t at_{0};
  bool good_{true};
};

inline bool says(std::span<const std::byte> bytes, std::string_view word) noexcept {
  return bytes.size() >= word.size() && std::memcmp(bytes.data(), word.data(), word.size()) == 0;
}

}  // namespace bearingdsp::capture_detail
