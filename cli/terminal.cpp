#include "terminal.hpp"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <system_error>

#include "bearingdsp/core/foreign_text.hpp"

namespace cli {

using bearingdsp::Medium;
using bearingdsp::safe_text;

namespace {

std::optional<std::string_view> environment(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? std::nullopt : std::optional<std::string_view>{value};
}

/// Past the stream, which silence_libraries() shuts. What cannot be said is not said.
void to_stderr(std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = ::write(STDERR_FILENO, text.data(), text.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
}

/// The language is C or POSIX and says nothing of UTF-8: the reader may not see block characters.
bool plain_ascii() {
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    const auto value = environment(name);
    if (!value || value->empty()) continue;
    return *value == "C" || *value == "POSIX";
  }
  return false;
}

}  // namespace

Style stdout_style(When when) {
  const bool terminal = isatty(STDOUT_FILENO) == 1;
  winsize size{};
  const bool known = terminal && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0;
  return {use_colour(when, terminal, environment("NO_COLOR"), environment("TERM").value_or("")),
          !(terminal && plain_ascii()), text_width(terminal, known ? size.ws_col : 0)};
}

void silence_libraries() {
  std::FILE* nowhere = std::fopen("/dev/null", "rb");
  if (nowhere == nullptr) return;
#ifdef __GLIBC__
  stderr = nowhere;
#else
  // Another C library does not let it be assigned; the words of libraries then appear.
  std::fclose(nowhere);
#endif
}

bool stderr_is_terminal() { return isatty(STDERR_FILENO) == 1; }

void print_error(const bearingdsp::Error& error) { print_note(error.message()); }

void print_line(std::string_view text) { print(safe_text(text, Medium::terminal) + "\n"); }

void print_note(std::string_view text) {
  const std::string line = fmt::format("bearingdsp: {}\n", safe_text(text, Medium::terminal));
  to_stderr(line);
}

void print_question(std::string_view text) { to_stderr(safe_text(text, Medium::terminal)); }

void print_question_line(std::string_view text) {
  to_stderr(safe_text(text, Medium::terminal) + "\n");
}

void print(std::string_view text) { std::fwrite(text.data(), 1, text.size(), stdout); }

bool finish_stdout() {
  errno = 0;
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return true;
  const std::string why = errno != 0 ? std::generic_category().message(errno) : "write error";
  print_error({bearingdsp::Errc::io, "standard output", "cannot be written: " + why,
               "free some space or write elsewhere"});
  return false;
}

StatusLine::StatusLine() : active_{stderr_is_terminal()} {}

StatusLine::~StatusLine() { clear(); }

void StatusLine::show(std::string_view text) {
  if (active_) to_stderr("\r" + safe_text(text, Medium::terminal) + "\x1b[K");
}

void StatusLine::clear() {
  if (active_) to_stderr("\r\x1b[K");
}

Progress::Progress(std::string_view what) : what_{what}, active_{stderr_is_terminal()} {}

Progress::~Progress() {
  if (active_) to_stderr("\r\x1b[K");
}

void Progress::show(std::size_t done, std::size_t all) {
  if (!active_ || all == 0) return;
  constexpr std::size_t width = 30;
  const std::size_t filled = done * width / all;
  const std::string line = fmt::format("\r{} [{:#<{}}{:.<{}}] {} of {}", what_, "", filled, "",
                                       width - filled, done, all);
  to_stderr(line);
}

}  // namespace cli
