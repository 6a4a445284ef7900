#include "machine_add.hpp"

#include <fmt/format.h>

#include <memory>
#include <string>

#include "asking.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/machine/toml_text.hpp"
#include "bearingdsp/report/machine.hpp"
#include "new_machine.hpp"
#include "output_file.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

Exit run_machine_add(NewMachine o) {
  const auto plant = required_plant();
  if (!plant) return fail(plant.error());
  const bool asked = o.name.empty() || o.bearing.empty();
  if (o.name.empty() && can_ask()) o.name = ask("Name of the machine", "").value_or("");
  if (o.name.empty())
    return fail({Errc::bad_argument, "name", "is missing",
                 "write: bearingdsp machine add NAME --bearing 6205 --rpm 1480"});
  if (asked && can_ask() && !ask_machine(o))
    return fail({Errc::bad_argument, "machine add", "was ended; nothing was written",
                 "give the options, or answer the questions"});
  if (o.points.empty()) o.points = {"DE horizontal"};
  auto file = EditedFile::open(plant->machines);
  if (!file) return fail(file.error());
  const std::string text = with_table(file->text(), machine_table(o));
  const auto machines = parse_machines(text, plant->machines);
  if (!machines) return fail(machines.error());
  if (auto done = file->save(text); !done) return fail(done.error());
  print_note(fmt::format("added to {}", plant->machines));
  show(machine_report(with_plant(machines->back(), *plant)), o.printing);
  return Exit::no_fault;
}

}  // namespace

void add_machine_add(CLI::App& machine, Run& run) {
  auto o = std::make_shared<NewMachine>();
  CLI::App* c = machine.add_subcommand(
      "add",
      "Adds a machine to the plant folder. On a terminal it asks for what is missing.\n"
      "Example: bearingdsp machine add fan --bearing 6208 --rpm 1478");
  add_new_machine_options(*c, *o);
  set_run(*c, run, o, run_machine_add);
}

}  // namespace cli
