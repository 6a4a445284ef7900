// Damaged NumPy files and archives are refused in one line or read with findings; see
// capture_invariants.hpp.
#include "capture_invariants.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::read_and_check(data, size, "a.npz");
  return 0;
}
