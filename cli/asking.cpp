#include "asking.hpp"

#include <unistd.h>

#include <charconv>
#include <iostream>

#include "terminal.hpp"

namespace cli {

bool can_ask() { return isatty(STDIN_FILENO) != 0 && stderr_is_terminal(); }

std::optional<std::string> ask(const std::string& question, const std::string& otherwise,
                               const Check& check) {
  while (true) {
    print_question(question + (otherwise.empty() ? "" : " [" + otherwise + "]") + ": ");
    std::string answer;
    if (!std::getline(std::cin, answer)) return std::nullopt;
    const auto first = answer.find_first_not_of(" \t\r");
    const auto last = answer.find_last_not_of(" \t\r");
    answer = first == std::string::npos ? otherwise : answer.substr(first, last - first + 1);
    const std::string wrong = check && !answer.empty() ? check(answer) : "";
    if (wrong.empty()) return answer;
    print_note(wrong);
  }
}

std::string wrong_number(const std::string& answer) {
  double value = 0;
  const char* const end = answer.data() + answer.size();
  const auto [stop, code] = std::from_chars(answer.data(), end, value);
  return code == std::errc{} && stop == end && value > 0
             ? ""
             : "'" + answer + "' is not a number above 0; write decimals with a point";
}

}  // namespace cli
