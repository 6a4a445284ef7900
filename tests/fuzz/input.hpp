#pragma once
/// How the bytes of a fuzzer become what a reader takes.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace fuzz {

/// Takes the bytes apart; 0 where they end.
class Bytes {
 public:
  explicit Bytes(std::span<const std::uint8_t> data) : data_{data} {}
  [[nodiscard]] bool empty() const { return data_.empty(); }
  template <class T>
  T next() {
    T value{};
    const auto part = take(sizeof value);
    if (!part.empty()) std::memcpy(&value, part.data(), part.size());
    return value;
  }
  std::string_view take(std::size_t n) {
    const auto part = data_.first(std::min(n, data_.size()));
    data_ = data_.subspan(part.size());
    return {reinterpret_cast<const char*>(part.data()), part.size()};
  }

 private:
  std::span<const std::uint8_t> data_;
};

/// The first twenty lines, without their ends.
inline std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty() && lines.size() < 20) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

}  // namespace fuzz
