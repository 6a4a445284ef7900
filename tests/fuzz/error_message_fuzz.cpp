// Whatever bytes a file name or cell holds, an error stays one line and cannot steer the terminal.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "bearingdsp/core/result.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes{data, data + size};
  const std::size_t third = size / 3;
  const bearingdsp::Error error{bearingdsp::Errc::io, bytes.substr(0, third),
                                bytes.substr(third, third), bytes.substr(2 * third)};
  const std::string line = error.message();
  if (line.size() < size) std::abort();
  for (const char c : line) {
    const auto u = static_cast<unsigned char>(c);
    if (u < 0x20 || u == 0x7f) std::abort();
  }
  return 0;
}
