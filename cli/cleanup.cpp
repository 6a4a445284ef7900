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
constexpr std::size_t max_files = 16;
std::array<std::array<char, PATH_MAX>, max_files> paths;
std::atomic<std::size_t> known_files{0};

constexpr std::array ending_signals{SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGPIPE, SIGXFSZ};

void remove_and_end(int signal) {
  for (std::size_t i = 0; i < known_files.load(); ++i) ::unlink(paths[i].data());
  // The default ends the command with the status that it would have had.
  std::signal(signal, SIG_DFL);
  std::raise(signal);
}

void install_handlers() {
  for (const int signal : ending_signals) {
    struct sigaction before {};
    if (::sigaction(signal, nullptr, &before) != 0 || before.sa_handler != SIG_DFL) continue;
    struct sigaction action {};
    action.sa_handler = remove_and_end;
    ::sigaction(signal, &action, nullptr);
  }
}

}  // namespace

void remove_on_signal(const std::string& path) {
  const std::size_t i = known_files.load();
  if (i == max_files || path.size() >= PATH_MAX) return;
  std::copy_n(path.c_str(), path.size() + 1, paths[i].begin());
  known_files.store(i + 1);
  if (i == 0) install_handlers();
}

SignalsHeld::SignalsHeld() noexcept {
  sigset_t held{};
  sigemptyset(&held);
  for (const int signal : ending_signals) sigaddset(&held, signal);
  ::pthread_sigmask(SIG_BLOCK, &held, &before_);
}

SignalsHeld::~SignalsHeld() { ::pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

}  // namespace cli
