#include "stop_on_signal.hpp"

#include <cstddef>

namespace cli {
namespace {

volatile std::sig_atomic_t stop_asked = 0;

void ask_to_stop(int /*signal*/) { stop_asked = 1; }

}  // namespace

StopOnSignal::StopOnSignal() {
  stop_asked = 0;
  for (std::size_t i = 0; i < signals.size(); ++i) {
    struct sigaction action {};
    action.sa_handler = signals[i] == SIGXFSZ ? SIG_IGN : ask_to_stop;
    ::sigaction(signals[i], nullptr, &before_[i]);
    if (before_[i].sa_handler != SIG_IGN) ::sigaction(signals[i], &action, nullptr);
  }
}

StopOnSignal::~StopOnSignal() {
  for (std::size_t i = 0; i < signals.size(); ++i) ::sigaction(signals[i], &before_[i], nullptr);
}

bool StopOnSignal::asked() const noexcept { return stop_asked != 0; }

}  // namespace cli
