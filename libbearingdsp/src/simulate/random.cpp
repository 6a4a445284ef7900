#include "bearingdsp/simulate/random.hpp"

#include <cmath>
#include <numbers>

namespace bearingdsp {
namespace {

std::uint64_t splitmix(std::uint64_t& x) noexcept {
  x += 0x9e3779b97f4a7c15ULL;
  std::uint64_t z = x;
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31U);
}

std::uint64_t rotate(std::uint64_t x, unsigned k) noexcept { return (x << k) | (x >> (64U - k)); }

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) noexcept {
  std::uint64_t mixed = stream;
  std::uint64_t x = seed ^ splitmix(mixed);
  if (stream == 0) x = seed;
  for (auto& s : state_) s = splitmix(x);
}

std::uint64_t Random::bits() noexcept {
  auto& s = state_;
  const std::uint64_t result = rotate(s[0] + s[3], 23) + s[0];
  const std::uint64_t t = s[1] << 17U;
  s[2] ^= s[0];
  s[3] ^= s[1];
  s[1] ^= s[2];
  s[0] ^= s[3];
  s[2] ^= t;
  s[3] = rotate(s[3], 45);
  return result;
}

double Random::uniform() noexcept { return (static_cast<double>(bits() >> 11U) + 1.0) * 0x1.0p-53; }

double Random::normal() noexcept {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  const double r = std::sqrt(-2 * std::log(uniform()));
  const double a = 2 * std::numbers::pi * uniform();
  spare_ = r * std::sin(a);
  has_spare_ = true;
  return r * std::cos(a);
}

double Random::exponential() noexcept { return -std::log(uniform()); }

}  // namespace bearingdsp
