#include "cleanup.hpp"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <climits>
#include <csignal>
#include <cstddef>

namespace cli {
namespace {

// What a signal handler may touch: memory that is there from the start. A command writes a handful.
constexpr std::size_t most_files = 16;
std::array<std::array<char, PATH_MAX>, most_files> paths;
std::atomic<std::size_t> known{0};

void remove_and_end(int signal) {
  for (std::size_t i = 0; i < known.load(); ++i) ::unlink(paths[i].data());
  // The default ends the command with the status that it would have had.
  std::signal(signal, SIG_DFL);
  std::raise(signal);
}

void install_handlers() {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGPIPE, SIGXFSZ}) {
    struct sigaction before {};
    if (::sigaction(signal, nullptr, &before) != 0 || before.sa_handler != SIG_DFL) continue;
    struct sigaction action {};
    action.sa_handler = remove_and_end;
    ::sigaction(signal, &action, nullptr);
  }
}

}  // namespace

void remove_on_signal(const std::string& path) {
  const std::size_t i = known.load();
  if (i == most_files || path.size() >= PATH_MAX) return;
  std::copy_n(path.c_str(), path.size() + 1, paths[i].begin());
  known.store(i + 1);
  if (i == 0) install_handlers();
}

}  // namespace cli
