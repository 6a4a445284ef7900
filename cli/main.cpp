#include <CLI/CLI.hpp>
#include <cstddef>
#include <exception>
#include <new>
#include <span>
#include <string>

#include "allocator.hpp"
#include "commands.hpp"
#include "show.hpp"
#include "terminal.hpp"
#include "wrong_words.hpp"

namespace {

using cli::Exit;

/// Parses and runs; what the user asked to see (help, version) goes to stdout.
Exit run_command(int argc, char** argv) {
  CLI::App app{
      "Finds out from a vibration recording whether a motor's rolling bearing is failing.\n"
      "Example: bearingdsp diagnose fan.wav --bearing 6205 --rpm 1480",
      "bearingdsp"};
  app.set_version_flag("--version", "bearingdsp " BEARINGDSP_VERSION);
  app.require_subcommand(1);
  const std::span<char* const> words{argc > 0 ? argv + 1 : argv, argv + argc};
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
  } catch (const CLI::ParseError& wrong) {
    return cli::fail(cli::wrong_words(app, words, wrong.what()));
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
