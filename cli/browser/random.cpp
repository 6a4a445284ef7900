#include <sys/random.h>
#include <unistd.h>

// Emscripten declares it, and has only the other one.
extern "C" ssize_t getrandom(void* to, size_t bytes, unsigned /*flags*/) {
  return ::getentropy(to, bytes) == 0 ? static_cast<ssize_t>(bytes) : -1;
}
