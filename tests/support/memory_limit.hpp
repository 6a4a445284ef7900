#pragma once
/// Runs in a process of its own with little memory left, to see what happens when it runs out.
#include <malloc.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstddef>
#include <cstdio>
#include <functional>

// A sanitizer's shadow takes terabytes of addresses.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define TEST_MEMORY_LIMIT 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define TEST_MEMORY_LIMIT 0
#else
#define TEST_MEMORY_LIMIT 1
#endif
#else
#define TEST_MEMORY_LIMIT 1
#endif

namespace test {

/// Exit code of `work` in a child that may allocate `bytes` more than it holds at its start; 128 +
/// signal if it was killed. One thread only: each further one takes addresses of its own.
inline int in_child_with_memory(std::size_t bytes, const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) {
    malloc_trim(0);
    std::size_t pages = 0;
    if (std::FILE* f = std::fopen("/proc/self/statm", "r"); f != nullptr) {
      if (std::fscanf(f, "%zu", &pages) != 1) pages = 0;
      std::fclose(f);
    }
    const rlim_t most = pages * static_cast<std::size_t>(sysconf(_SC_PAGESIZE)) + bytes;
    const rlimit limit{most, most};
    if (pages == 0 || setrlimit(RLIMIT_AS, &limit) != 0) _exit(100);
    _exit(work());
  }
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

}  // namespace test
