#include "bearingdsp/machine/machine.hpp"

#include <memory>
#include <string>
#include <utility>

#include "bearingdsp/report/machine.hpp"
#include "bearingdsp/report/text.hpp"
#include "commands.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct MachineCheckCommand {
  std::string file;
  bool json{false};
  Printing printing;
};

Exit run_machine_check(const MachineCheckCommand& o) {
  const MachineCheck check = check_machines(o.file);
  if (o.json) {
    print(machine_check_json(check) + "\n");
  } else if (o.printing.quiet) {
    for (const Machine& machine : check.machines) print_line(machine.name);
  } else {
    const TextOptions text = text_options(o.printing);
    bool first = true;
    for (const Machine& machine : check.machines) {
      if (!std::exchange(first, false)) print("\n");
      print(to_text(machine_report(machine), text));
    }
  }
  for (const Error& error : check.errors) print_error(error);
  return check.errors.empty() ? Exit::no_fault : Exit::failed;
}

}  // namespace

void add_machine(CLI::App& app, Run& run) {
  CLI::App* machine =
      app.add_subcommand("machine", "Machine files: nameplate, bearings, measuring points");
  machine->require_subcommand(1);
  auto o = std::make_shared<MachineCheckCommand>();
  CLI::App* check =
      machine->add_subcommand("check",
                              "Shows what was read from a machine file, and every error in it.\n"
                              "Example: bearingdsp machine check testdata/machines.toml");
  check->add_option("file", o->file, "machine file, see docs/machine-files.md")
      ->type_name("FILE")
      ->required();
  check->add_flag("--json", o->json, "print JSON");
  add_printing_options(*check, o->printing);
  check->callback([o, &run] { run = [o] { return run_machine_check(*o); }; });
}

}  // namespace cli
