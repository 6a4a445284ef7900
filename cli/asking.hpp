#pragma once
/// Questions to a person, one at a time, only on a terminal.
#include <functional>
#include <optional>
#include <string>

namespace cli {

/// Whether stdin and stderr are a terminal, so that someone can answer.
[[nodiscard]] bool can_ask();
/// What is wrong with an answer; empty if nothing.
using Check = std::function<std::string(const std::string&)>;
/// Asks until the answer passes the check; an empty answer is `otherwise`. Nothing at the end of
/// the input.
[[nodiscard]] std::optional<std::string> ask(const std::string& question,
                                             const std::string& otherwise, const Check& check = {});
/// Whether it is a number above 0; nothing else may follow.
[[nodiscard]] std::string wrong_number(const std::string& answer);

}  // namespace cli
