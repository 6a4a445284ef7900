#pragma once
/// Files that have to go if a signal ends the command.
#include <string>

namespace cli {

/// From now on the file is removed where SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGPIPE or SIGXFSZ ends
/// the command, unless it ignores that signal. A file that is no longer there does no harm.
void remove_on_signal(const std::string& path);

}  // namespace cli
