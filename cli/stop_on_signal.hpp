#pragma once
/// A recording that is stopped is kept.
#include <array>
#include <csignal>

namespace cli {

/// While it lives, SIGINT, SIGTERM and SIGHUP ask to stop instead of ending the command, and a file
/// that reaches the size limit of the user is an error of the write. A signal that the command
/// ignores stays ignored. One at a time.
class StopOnSignal {
 public:
  StopOnSignal();
  ~StopOnSignal();
  StopOnSignal(const StopOnSignal&) = delete;
  StopOnSignal& operator=(const StopOnSignal&) = delete;
  [[nodiscard]] bool asked() const noexcept;

 private:
  static constexpr std::array signals{SIGINT, SIGTERM, SIGHUP, SIGXFSZ};
  std::array<struct sigaction, signals.size()> before_{};
};

}  // namespace cli
