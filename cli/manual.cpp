#include <map>
#include <memory>
#include <string>
#include <string_view>

#include "commands.hpp"
#include "manual_page.hpp"
#include "shell_rules.hpp"

namespace cli {

void add_manual(CLI::App& app, Run& run) {
  auto kind = std::make_shared<std::string>("man");
  CLI::App* command =
      app.add_subcommand("manual",
                         "Prints the manual page, or the completion rules for a shell.\n"
                         "Example: bearingdsp manual > bearingdsp.1 && man ./bearingdsp.1\n"
                         "         bearingdsp manual --for bash > bearingdsp.bash");
  command->add_option("--for", *kind, "output: man, bash, zsh or fish")
      ->type_name("READER")
      ->check(CLI::IsMember({"man", "bash", "zsh", "fish"}).description(""));
  command->callback([kind, &app, &run] {
    run = [kind, &app] {
      print(*kind == "man" ? manual_page(app) : shell_rules(app, *kind));
      return Exit::no_fault;
    };
  });
}

}  // namespace cli
