#pragma once
/// Files that have to go if a signal ends the command.
#include <csignal>
#include <string>

namespace cli {

/// From now on the file is removed where SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGPIPE or SIGXFSZ ends
/// the command, unless it ignores that signal. A file that is no longer there does no harm.
void remove_on_signal(const std::string& path);

/// Holds those signals back while it lives: a file is created and its name noted in one step, so
/// that none arrives in between.
class SignalsHeld {
 public:
  SignalsHeld() noexcept;
  ~SignalsHeld();
  SignalsHeld(const SignalsHeld&) = delete;
  SignalsHeld& operator=(const SignalsHeld&) = delete;

 private:
  sigset_t before_{};
};

}  // namespace cli
