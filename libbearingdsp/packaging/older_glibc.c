/* What this compiler's C++ library asks of the C library and glibc 2.31 does not have. */
#include <stdint.h>
#include <stdlib.h>
#include <sys/random.h>

/* Since 2.32: whether the process has one thread. No: reference counts are then always atomic, which is never wrong. */
char __libc_single_threaded = 0;

/* Since 2.36: behind std::random_device. */
uint32_t arc4random(void) {
  uint32_t value;
  if (getrandom(&value, sizeof value, 0) != (ssize_t)sizeof value) abort();
  return value;
}
