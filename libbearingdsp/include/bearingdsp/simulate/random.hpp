#pragma once
/// Random numbers that are the same everywhere: the distributions of the standard library are left
/// to each implementation, so a seed would not mean the same capture on two machines.
#include <array>
#include <cstdint>

namespace bearingdsp {

/// xoshiro256++ filled by splitmix64. Copies continue the same sequence independently.
/// Source: [blackman2021] D. Blackman, S. Vigna, ACM Trans. Math. Softw. 47(4), algorithm 1
class Random {
 public:
  /// Streams of one seed are independent, so one part of a simulation can change without moving
  /// the others.
  explicit Random(std::uint64_t seed, std::uint64_t stream = 0) noexcept;
  /// 64 random bits.
  std::uint64_t bits() noexcept;
  /// Uniform in (0, 1], 53 bits.
  double uniform() noexcept;
  /// Standard normal (Box and Muller's transform of two uniforms).
  double normal() noexcept;
  /// Exponential with mean 1.
  double exponential() noexcept;

 private:
  std::array<std::uint64_t, 4> state_{};
  double spare_{0};
  bool has_spare_{false};
};

}  // namespace bearingdsp
