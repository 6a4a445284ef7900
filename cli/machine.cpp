#include "bearingdsp/machine/machine.hpp"

#include <memory>
#include <string>
#include <utility>

#include "bearingdsp/report/machine.hpp"
#include "bearingdsp/report/text.hpp"
#include "commands.hpp"
#include "machine_add.hpp"
#include "machine_option.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct MachineCheckCommand {
  std::string file;
  bool json{false};
  Printing printing;
};

/// The file that was typed, or the machine file of the plant.
Result<std::string> machine_file(const std::string& typed) {
  if (!typed.empty()) return typed;
  const auto plant = required_plant();
  if (!plant && plant.error().code == Errc::not_found)
    return Error{Errc::bad_argument, "file", "is not given, and there is no plant folder here",
                 "give the machine file, or make a plant folder: bearingdsp init"};
  if (!plant) return plant.error();
  return plant->machines;
}

Exit run_machine_check(const MachineCheckCommand& o) {
  const auto file = machine_file(o.file);
  if (!file) return fail(file.error());
  const MachineCheck check = check_machines(*file);
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

Exit run_machine_list(const MachineCheckCommand& o) {
  const auto plant = required_plant();
  if (!plant) return fail(plant.error());
  const auto machines = plant_machines(*plant);
  if (!machines) return fail(machines.error());
  if (o.json)
    print(machine_check_json({*machines, {}}) + "\n");
  else
    show(machine_list_report(*machines, plant->name.empty() ? plant->path : plant->name),
         o.printing);
  return Exit::no_fault;
}

Exit run_machine_show(const MachineCheckCommand& o) {
  const auto machine = choose_machine(o.file);
  if (!machine) return fail(machine.error());
  if (o.json)
    print(machine_check_json({{*machine}, {}}) + "\n");
  else
    show(machine_report(*machine), o.printing);
  return Exit::no_fault;
}

CLI::App* add(CLI::App& parent, const std::string& name, const std::string& help, Run& run,
              const std::shared_ptr<MachineCheckCommand>& o,
              Exit (*what)(const MachineCheckCommand&)) {
  CLI::App* c = parent.add_subcommand(name, help);
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, what);
  return c;
}

}  // namespace

void add_machine(CLI::App& app, Run& run) {
  CLI::App* machine =
      app.add_subcommand("machine", "Machine files: nameplate, bearings, measuring points");
  machine->require_subcommand(1);
  auto o = std::make_shared<MachineCheckCommand>();
  add_machine_add(*machine, run);
  add(*machine, "list", "Lists the machines of the plant folder.", run, o, run_machine_list);
  add(*machine, "show",
      "Shows one machine: nameplate, bearings with their defect frequencies, points.\n"
      "Example: bearingdsp machine show testdata/machines.toml#planer-feed",
      run, o, run_machine_show)
      ->add_option("machine", o->file, "FILE#NAME, or in a plant folder the name")
      ->type_name("NAME")
      ->required();
  add(*machine, "check",
      "Shows what was read from a machine file, and every error in it.\n"
      "Example: bearingdsp machine check testdata/machines.toml",
      run, o, run_machine_check)
      ->add_option("file", o->file,
                   "machine file, see docs/machine-files.md (default: that of the plant folder)")
      ->type_name("FILE");
}

}  // namespace cli
