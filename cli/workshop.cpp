#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/replacement/check_sheets.hpp"
#include "bearingdsp/report/workshop.hpp"
#include "commands.hpp"
#include "machine_option.hpp"
#include "output_file.hpp"
#include "reading_options.hpp"
#include "sheet_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct ChecksCommand {
  MachineOptions at;
  std::string bearing, sheet;
  WorkshopOptions typed;
  SheetOptions sheets;
  OutputRules outputs;
  bool belt{false}, vfd{false}, magnet_rotor{false}, explosion_protected{false}, json{false};
  Printing printing;
};

/// The motor: what is known, which sheets it needs, and its name.
struct ChecksMotor {
  WorkshopFacts facts;
  SheetOptions sheets;
  std::string title;
};

Result<ChecksMotor> motor_of(const ChecksCommand& o) {
  ChecksMotor motor;
  std::string bearing = o.bearing;
  if (o.at.given()) {
    const auto machine = choose_machine_aloud(o.at.machine);
    if (!machine) return machine.error();
    const auto end = chosen_end(*machine, o.at.end);
    if (!end) return end.error();
    motor.facts = workshop_facts(*machine, *end);
    motor.sheets = sheet_options(*machine, *end);
    motor.title = machine->name + ", " + std::string{words(*end)};
    if (bearing.empty() && machine->bearing(*end)) bearing = machine->bearing(*end)->designation;
  }
  motor.facts = with_rotor_play(motor.facts, bearing);
  motor.facts.variable_speed = motor.facts.variable_speed || o.vfd;
  motor.sheets.dangers.variable_speed = motor.sheets.dangers.variable_speed || o.vfd;
  motor.sheets.dangers.magnet_rotor = motor.sheets.dangers.magnet_rotor || o.magnet_rotor;
  motor.sheets.dangers.explosion_protected =
      motor.sheets.dangers.explosion_protected || o.explosion_protected;
  motor.sheets.belt = motor.sheets.belt || o.belt;
  motor.sheets.coupling = !motor.sheets.belt;
  return motor;
}

Result<void> write_sheets(OutputFile& file, const std::string& path, const ChecksMotor& motor,
                          const std::vector<CheckSheet>& sheets) {
  const std::string text = is_page(path) ? check_sheets_html(sheets, motor.title)
                                         : check_sheets_markdown(sheets, motor.title);
  if (auto ok = file.write(text); !ok) return ok;
  return file.commit();
}

Exit run_checks(const ChecksCommand& o) {
  const auto motor = motor_of(o);
  if (!motor) return fail(motor.error());
  const auto input = take_readings(o.typed, motor->facts);
  if (!input) return fail(input.error());
  const auto judged = judge_readings(input->readings, input->facts);
  if (!judged) return fail(judged.error());
  const auto sheets = check_sheets(input->facts, motor->sheets);
  auto file = sheet_file(o.outputs, o.sheet);
  if (!file) return fail(file.error());
  if (o.sheet == "-") {
    print(check_sheets_markdown(sheets, motor->title));
    return Exit::no_fault;
  }
  if (o.json)
    print(checks_json(sheets, *judged, motor->title) + "\n");
  else
    show(judged->empty() ? check_sheets_report(sheets, motor->title)
                         : checks_report(*judged, motor->title),
         o.printing);
  if (*file) {
    if (const auto ok = write_sheets(**file, o.sheet, *motor, sheets); !ok) return fail(ok.error());
    print_note("check sheets written to " + o.sheet);
  }
  Exit exit = Exit::no_fault;
  for (const JudgedCheck& c : *judged)
    exit = worse(exit, c.outcome == CheckOutcome::bad       ? Exit::fault
                       : c.outcome == CheckOutcome::clarify ? Exit::cannot_tell
                                                            : Exit::no_fault);
  return exit;
}

}  // namespace

void add_checks(CLI::App& app, Run& run) {
  auto o = std::make_shared<ChecksCommand>();
  CLI::App* c = app.add_subcommand(
      "checks",
      "What is measured with hand tools: how, what it may be, and is it good?\n"
      "Without readings: every check with its steps, cautions, limits and sources.\n"
      "Example: bearingdsp checks --machine machines.toml#fan --end DE --sheet checks.html\n"
      "         bearingdsp checks --insulation 12 --winding-temperature 20 --soft-foot 0.08");
  add_machine_option(*c, o->at);
  const std::string group = "The machine";
  c->add_option("--end", o->at.end, "end of that machine")->type_name("DE|NDE")->group(group);
  c->add_option("--bearing", o->bearing, "designation of the bearing, for play and spring")
      ->type_name("NUMBER")
      ->group(group);
  c->add_flag("--belt", o->belt, "the motor has a belt drive")->group(group);
  c->add_flag("--vfd", o->vfd, "the motor has a variable-frequency drive")->group(group);
  c->add_flag("--magnet-rotor", o->magnet_rotor, "the rotor has permanent magnets")->group(group);
  c->add_flag("--explosion-protected", o->explosion_protected,
              "the motor is certified for a hazardous area")
      ->group(group);
  add_workshop_options(*c, o->typed);
  add_output_option(*c, o->outputs, "--sheet", o->sheet,
                    "write the sheets, to be filled in: .md, .html, or - to print them")
      ->type_name("FILE");
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_checks);
}

}  // namespace cli
