#include "bearingdsp/history/hash.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <functional>
#include <memory>
#include <system_error>
#include <vector>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/text_file.hpp"

namespace bearingdsp {
namespace {

/// Fractional parts of the cube roots of the first 64 primes. Source: [fips180-4] section 4.2.2
constexpr std::array<std::uint32_t, 64> round_constants = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

class Sha256 {
 public:
  void add(std::span<const std::byte> bytes) {
    length_ += bytes.size();
    while (!bytes.empty()) {
      const std::size_t n = std::min(bytes.size(), block_.size() - filled_);
      std::copy_n(bytes.begin(), n, block_.begin() + static_cast<std::ptrdiff_t>(filled_));
      filled_ += n;
      bytes = bytes.subspan(n);
      if (filled_ == block_.size()) take_block();
    }
  }
  std::string finish() {
    const std::uint64_t bits = 8 * length_;
    constexpr std::array one{std::byte{0x80}};
    constexpr std::array zero{std::byte{0}};
    add(one);
    while (filled_ != block_.size() - 8) add(zero);
    std::array<std::byte, 8> tail{};
    for (std::size_t i = 0; i < 8; ++i) tail[i] = static_cast<std::byte>(bits >> (56 - 8 * i));
    add(tail);
    constexpr std::string_view digits = "0123456789abcdef";
    std::string hex;
    for (const std::uint32_t word : state_)
      for (int shift = 28; shift >= 0; shift -= 4) hex += digits[(word >> shift) & 15U];
    return hex;
  }

 private:
  void take_block() {
    std::array<std::uint32_t, 64> w{};
    for (std::size_t t = 0; t < 16; ++t)
      for (std::size_t b = 0; b < 4; ++b)
        w[t] = (w[t] << 8U) | std::to_integer<std::uint32_t>(block_[4 * t + b]);
    for (std::size_t t = 16; t < 64; ++t) {
      const std::uint32_t s0 =
          std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3U);
      const std::uint32_t s1 =
          std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10U);
      w[t] = w[t - 16] + s0 + w[t - 7] + s1;
    }
    auto [a, b, c, d, e, f, g, h] = state_;
    for (std::size_t t = 0; t < 64; ++t) {
      const std::uint32_t s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
      const std::uint32_t t1 = h + s1 + ((e & f) ^ (~e & g)) + round_constants[t] + w[t];
      const std::uint32_t s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
      const std::uint32_t t2 = s0 + ((a & b) ^ (a & c) ^ (b & c));
      h = g;
      g = f;
      f = e;
      e = d + t1;
      d = c;
      c = b;
      b = a;
      a = t1 + t2;
    }
    const std::array<std::uint32_t, 8> next{a, b, c, d, e, f, g, h};
    for (std::size_t i = 0; i < 8; ++i) state_[i] += next[i];
    filled_ = 0;
  }

  std::array<std::uint32_t, 8> state_{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                                      0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
  std::array<std::byte, 64> block_{};
  std::size_t filled_{0};
  std::uint64_t length_{0};
};

/// Tells contents apart that differ by accident, eight bytes at a step: a fraction of the cost of
/// SHA-256. It is compared within one store only, so the order of bytes does not matter.
class Beginnings {
 public:
  void add(std::span<const std::byte> bytes) {
    const std::size_t left_out =
        std::min<std::uint64_t>(header - std::min(header, seen_), bytes.size());
    seen_ += left_out;
    bytes = bytes.subspan(left_out);
    for (; bytes.size() >= 8; bytes = bytes.subspan(8)) {
      std::uint64_t word = 0;
      std::memcpy(&word, bytes.data(), 8);
      hash_ = (hash_ ^ word) * 0x9e3779b97f4a7c15U;  // odd: no information is lost
      hash_ ^= hash_ >> 29U;
      length_ += 8;
      if (length_ >= first && std::has_single_bit(length_))
        add_part(text_, fmt::format("{}:{:016x}", length_, hash_), " ");
    }
  }
  [[nodiscard]] std::string text() && { return std::move(text_); }

 private:
  static constexpr std::uint64_t header = 512;
  static constexpr std::uint64_t first = 4096;
  std::uint64_t hash_{0};
  std::uint64_t seen_{0};
  std::uint64_t length_{0};
  std::string text_;
};

struct Closer {
  void operator()(std::FILE* file) const noexcept { std::fclose(file); }
};

/// Gives the bytes piece by piece; all pieces but the last are of one even size.
Result<void> read_pieces(const std::string& path,
                         const std::function<void(std::span<const std::byte>)>& take) {
  const auto refused = [&](const std::string& why) {
    return Error{Errc::io, path, "cannot be read: " + why, "check the name and the permissions"};
  };
  // A device or a pipe may never end.
  if (const auto regular = check_regular_file(path); !regular) return regular.error();
  const std::unique_ptr<std::FILE, Closer> file{std::fopen(path.c_str(), "rb")};
  if (!file) return refused(std::generic_category().message(errno));
  std::vector<std::byte> buffer(std::size_t{1} << 16U);
  while (true) {
    const std::size_t n = std::fread(buffer.data(), 1, buffer.size(), file.get());
    take({buffer.data(), n});
    if (n < buffer.size()) break;
  }
  if (std::ferror(file.get()) != 0) return refused(std::generic_category().message(errno));
  return {};
}

}  // namespace

std::string sha256(std::span<const std::byte> bytes) {
  Sha256 hash;
  hash.add(bytes);
  return hash.finish();
}

Result<std::string> sha256_of_file(const std::string& path) {
  Sha256 hash;
  if (auto done = read_pieces(path, [&](auto bytes) { hash.add(bytes); }); !done)
    return done.error();
  return hash.finish();
}

Result<FileContent> content_of_file(const std::string& path) {
  Sha256 hash;
  Beginnings beginnings;
  FileContent content;
  const auto take = [&](std::span<const std::byte> bytes) {
    hash.add(bytes);
    beginnings.add(bytes);
    content.size_bytes += bytes.size();
  };
  if (auto done = read_pieces(path, take); !done) return done.error();
  content.hash = hash.finish();
  content.beginnings = std::move(beginnings).text();
  return content;
}

bool begin_alike(std::string_view a, std::string_view b) noexcept {
  // Lengths are the same sequence in both, so the shorter text ends at the longest in common.
  const std::size_t n = std::min(a.size(), b.size());
  if (n == 0 || (n < a.size() && a[n] != ' ') || (n < b.size() && b[n] != ' ')) return false;
  return a.substr(0, n) == b.substr(0, n);
}

}  // namespace bearingdsp
