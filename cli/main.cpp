#include <CLI/CLI.hpp>
#include <cstddef>
#include <exception>
#include <new>
#include <string>
#include <utility>

#include "allocator.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "terminal.hpp"

namespace {

using cli::Exit;

Exit refuse(const std::string& what, const CLI::App& app) {
  std::string help = "bearingdsp";
  for (const CLI::App* sub : app.get_subcommands()) help += " " + sub->get_name();
  cli::print_error(
      {bearingdsp::Errc::bad_argument, "command line", what, "see '" + help + " --help'"});
  return Exit::failed;
}

/// Parses and runs; what the user asked to see (help, version) goes to stdout.
Exit run_command(int argc, char** argv) {
  CLI::App app{
      "Finds out from a vibration recording whether a motor's rolling bearing is failing.\n"
      "Example: bearingdsp diagnose fan.wav --bearing 6205 --rpm 1480",
      "bearingdsp"};
  app.set_version_flag("--version", "bearingdsp " BEARINGDSP_VERSION);
  app.require_subcommand(1);
  app.footer(cli::help_footer());
  cli::Run run;
  cli::add_commands(app, run);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForVersion& version) {
    cli::print(std::string{version.what()} + "\n");
    return Exit::no_fault;
  } catch (const CLI::CallForHelp&) {
    cli::print(app.help());
    return Exit::no_fault;
  } catch (const CLI::RequiredError& wrong) {
    if (argc > 1 && app.get_subcommands().empty())
      return refuse("'" + std::string{argv[1]} + "' is an unknown command", app);
    return refuse(wrong.what(), app);
  } catch (const CLI::ParseError& wrong) {
    return refuse(cli::in_plain_words(wrong.what()), app);
  }
  return run();
}

}  // namespace

int main(int argc, char** argv) {
  cli::keep_freed_memory();
  cli::silence_libraries();
  Exit exit = Exit::failed;
  try {
    exit = run_command(argc, argv);
  } catch (const std::bad_alloc&) {
    cli::print_error({bearingdsp::Errc::internal, "", "out of memory",
                      "give a shorter recording or fewer channels"});
  } catch (const std::exception& e) {
    cli::print_error({bearingdsp::Errc::internal, "internal error", e.what(),
                      "please report this with the command and the file"});
  }
  if (!cli::finish_stdout()) exit = Exit::failed;
  return static_cast<int>(exit);
}
