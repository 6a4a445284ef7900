#include "wrong_words.hpp"

#include <algorithm>
#include <optional>

#include "bearingdsp/core/near_miss.hpp"
#include "checks.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

std::vector<std::string> names_of_options(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::Option* option : app.get_options())
    for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
  return names;
}

/// The first word, as it was typed, that the parser could not place.
std::optional<std::string> first_unplaced(const CLI::App& app, std::span<char* const> words) {
  const auto unplaced = app.remaining(true);
  for (const char* word : words)
    if (std::find(unplaced.begin(), unplaced.end(), word) != unplaced.end()) return word;
  return std::nullopt;
}

}  // namespace

std::vector<std::string> names_of_commands(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::App* child : app.get_subcommands([](const CLI::App*) { return true; }))
    names.push_back(child->get_name());
  return names;
}

Error wrong_words(const CLI::App& app, std::span<char* const> words, const std::string& message) {
  const CLI::App* at = &app;
  std::string path = "bearingdsp";
  while (!at->get_subcommands().empty()) {
    at = at->get_subcommands().front();
    path += " " + at->get_name();
  }
  const auto wrong = [](std::string what, std::string advice) {
    return Error{Errc::bad_argument, "command line", std::move(what), std::move(advice)};
  };
  const std::string see = "see '" + path + " --help'";
  const auto word = first_unplaced(app, words);
  if (!word) return wrong(in_plain_words(message), see);
  if (word->size() > 1 && word->front() == '-') {
    const std::string option = word->substr(0, word->find('='));
    return wrong("'" + option + "' is an unknown option",
                 did_you_mean(option, names_of_options(*at), see));
  }
  if (const auto known = names_of_commands(*at); !known.empty())
    return wrong("'" + *word + "' is an unknown command", did_you_mean(*word, known, see));
  return wrong("'" + *word + "' was not expected", see);
}

}  // namespace cli
