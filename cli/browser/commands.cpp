#include "commands.hpp"

// The commands of the page: those that need neither a database nor a sound input.
namespace cli {

void add_commands(CLI::App& app, Run& run) {
  add_diagnose(app, run);
  add_compare(app, run);
  add_inspect(app, run);
  add_bearing(app, run);
  add_frequencies(app, run);
  add_replacement(app, run);
  add_cause(app, run);
  add_machine(app, run);
}

}  // namespace cli
