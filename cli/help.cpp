#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "bearingdsp/core/near_miss.hpp"
#include "commands.hpp"
#include "show.hpp"
#include "wrong_words.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// The help of the command that the words name. Errors: not_found
Result<std::string> help_of(const CLI::App& app, const std::vector<std::string>& words) {
  const CLI::App* at = &app;
  std::string path = "bearingdsp";
  for (const std::string& word : words) {
    const auto children = at->get_subcommands([](const CLI::App*) { return true; });
    const auto next = std::find_if(children.begin(), children.end(), [&](const CLI::App* child) {
      return child->get_name() == word;
    });
    if (next == children.end())
      return Error{Errc::not_found, "help", "'" + word + "' is an unknown command",
                   did_you_mean(word, names_of_commands(*at), "see '" + path + " --help'")};
    at = *next;
    path += " " + word;
  }
  return at->get_formatter()->make_help(at, path, CLI::AppFormatMode::Normal);
}

}  // namespace

void add_help(CLI::App& app, Run& run) {
  auto words = std::make_shared<std::vector<std::string>>();
  CLI::App* command = app.add_subcommand("help",
                                         "Explains a command.\n"
                                         "Example: bearingdsp help route run");
  command->add_option("command", *words, "the command; without it, the list of commands")
      ->type_name("COMMAND");
  command->callback([words, &app, &run] {
    run = [words, &app] {
      const auto text = help_of(app, *words);
      if (!text) return fail(text.error());
      print(*text);
      return Exit::no_fault;
    };
  });
}

}  // namespace cli
