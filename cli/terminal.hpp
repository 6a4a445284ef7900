#pragma once
/// What the terminal is like, decided once; and the one place that prints errors.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "bearingdsp/core/result.hpp"

namespace cli {

/// The answer is the exit code; see docs/exit-codes.md.
enum class Exit : std::uint8_t { no_fault = 0, fault = 1, failed = 2, cannot_tell = 3 };

/// Of two answers the one that counts over several files: failed, fault, cannot tell, no fault.
[[nodiscard]] constexpr Exit worse(Exit a, Exit b) noexcept {
  const auto rank = [](Exit e) {
    switch (e) {
      case Exit::failed:
        return 3;
      case Exit::fault:
        return 2;
      case Exit::cannot_tell:
        return 1;
      case Exit::no_fault:
        return 0;
    }
    return 3;
  };
  return rank(a) >= rank(b) ? a : b;
}

enum class When : std::uint8_t { automatic, always, never };

/// Whether to colour a stream. An explicit wish wins; else only a terminal that is not "dumb", with
/// NO_COLOR absent or empty.
[[nodiscard]] constexpr bool use_colour(When when, bool terminal,
                                        std::optional<std::string_view> no_color,
                                        std::string_view term) noexcept {
  if (when != When::automatic) return when == When::always;
  return terminal && term != "dumb" && !(no_color && !no_color->empty());
}

/// Width of a text: the terminal's, kept readable; 80 where there is none.
[[nodiscard]] constexpr int text_width(bool terminal, int columns) noexcept {
  if (!terminal || columns <= 0) return 80;
  return columns < 40 ? 40 : columns > 120 ? 120 : columns;
}

struct Style {
  bool colour{false};
  bool unicode{true};  ///< false where the locale is plain ASCII
  int width{80};
};
/// Style of stdout as it is now.
[[nodiscard]] Style stdout_style(When when);
[[nodiscard]] bool stderr_is_terminal();

/// From now on what libraries write to the stream stderr goes nowhere (libmpg123 does, of every
/// damaged frame); our own words, and those of a sanitizer, take the descriptor. Once, before any
/// thread.
void silence_libraries();
/// "bearingdsp: where: what; advice" on stderr.
void print_error(const bearingdsp::Error& error);
/// A remark on stderr, as "bearingdsp: text".
void print_note(std::string_view text);
/// A question on stderr, with the answer behind it in the same line.
void print_question(std::string_view text);
/// A line on stderr that belongs to a question: its choices, a caution.
void print_question_line(std::string_view text);
/// A line to stdout that holds foreign text, such as a path.
void print_line(std::string_view text);
/// To stdout, what is safe to show: a report, a document.
void print(std::string_view text);
/// Writes out what is left; false, with the error printed, if stdout did not take all of it.
[[nodiscard]] bool finish_stdout();

/// A line on stderr that redraws itself; does nothing if stderr is no terminal.
class StatusLine {
 public:
  StatusLine();
  ~StatusLine();
  StatusLine(const StatusLine&) = delete;
  StatusLine& operator=(const StatusLine&) = delete;
  [[nodiscard]] bool active() const { return active_; }
  void show(std::string_view text);
  /// So that another line can be printed.
  void clear();

 private:
  bool active_;
};

/// A counter on stderr that redraws itself; does nothing if stderr is no terminal.
class Progress {
 public:
  explicit Progress(std::string_view what);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  void show(std::size_t done, std::size_t all);

 private:
  std::string what_;
  bool active_;
};

}  // namespace cli
