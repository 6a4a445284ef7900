#pragma once
/// The committed reference vectors (tests/reference/*.json) and made test signals.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>
#include <vector>

#include "paths.hpp"

namespace test {

/// Kept for the process: a loop over a part of what is returned would outlive a value.
inline const nlohmann::json& load_vectors(const std::string& file) {
  static std::map<std::string, nlohmann::json> kept;
  const auto [at, is_new] = kept.try_emplace(file);
  if (is_new) {
    std::ifstream in{std::string{TESTS_SOURCE_DIR} + "/reference/" + file};
    at->second = nlohmann::json::parse(in);
  }
  return at->second;
}

inline std::vector<double> doubles(const nlohmann::json& j) { return j.get<std::vector<double>>(); }

/// Gaussian noise of unit variance, the same on every machine: a 64-bit xorshift-multiply
/// stream through Box and Muller.
inline std::vector<double> noise(std::size_t n, std::uint64_t seed = 1) {
  std::uint64_t s = seed * 0x9e3779b97f4a7c15ULL + 0x1234567ULL;
  const auto uniform = [&s] {
    s ^= s >> 12U;
    s ^= s << 25U;
    s ^= s >> 27U;
    return (static_cast<double>((s * 0x2545f4914f6cdd1dULL) >> 11U) + 0.5) * 0x1p-53;
  };
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double u = uniform();
    const double v = uniform();
    x[i] = std::sqrt(-2 * std::log(u)) * std::cos(2 * std::numbers::pi * v);
  }
  return x;
}

/// amplitude * sin(2 pi f i / rate + phase)
inline std::vector<double> sine(std::size_t n, double f, double rate, double amplitude = 1,
                                double phase = 0) {
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i)
    x[i] = amplitude * std::sin(2 * std::numbers::pi * f * static_cast<double>(i) / rate + phase);
  return x;
}

}  // namespace test
