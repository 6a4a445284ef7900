#pragma once
/// The signals of tests/reference/gen_formats.py.
#include <cstddef>
#include <fstream>
#include <iterator>
#include <string>

#include "paths.hpp"

namespace test {

/// Sample i of signal k.
inline double reference_sample(std::size_t i, std::size_t k = 0) {
  return 0.001 * (static_cast<double>((7919 * i + 101 * k) % 2001) - 1000);
}
/// Path of one of its files.
inline std::string reference_file(const std::string& name) {
  return std::string{TESTS_SOURCE_DIR} + "/reference/formats/" + name;
}
inline std::string reference_bytes(const std::string& name) {
  std::ifstream in{reference_file(name), std::ios::binary};
  return {std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
}

}  // namespace test
