#include "allocator.hpp"

#include <cstdlib>

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace cli {

void keep_freed_memory() noexcept {
#ifdef __GLIBC__
  constexpr int mib = 1 << 20;
  // Larger blocks, as of recordings of minutes, still go back to the kernel at once.
  mallopt(M_MMAP_THRESHOLD, 32 * mib);
  mallopt(M_TRIM_THRESHOLD, 256 * mib);
  mallopt(M_TOP_PAD, 16 * mib);
#endif
}

}  // namespace cli
