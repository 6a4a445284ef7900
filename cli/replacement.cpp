#include <memory>
#include <optional>
#include <string>

#include "bearingdsp/replacement/job_card.hpp"
#include "bearingdsp/replacement/plan.hpp"
#include "bearingdsp/report/replacement.hpp"
#include "bearingdsp/report/text.hpp"
#include "commands.hpp"
#include "output_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct ReplacementCommand {
  std::string number, card;
  MotorDuty duty;
  std::optional<double> rpm, bearing_c;
  bool force{false}, json{false};
  When colour{When::automatic};
};

bool is_html(const std::string& path) { return path.ends_with(".html") || path.ends_with(".htm"); }

Result<Designation> one_designation(const std::string& number) {
  auto readings = read_designation(number);
  if (!readings) return readings.error();
  if (readings->size() == 1) return readings->front();
  return Error{Errc::bad_argument, "designation '" + number + "'",
               "fits " + std::to_string(readings->size()) + " bearings",
               "see 'bearingdsp bearing', then give the one"};
}

Exit write_card(const ReplacementPlan& plan, OutputFile& file, const std::string& path) {
  const JobCard card = job_card(plan);
  if (auto ok = file.write(is_html(path) ? job_card_html(card) : job_card_markdown(card)); !ok)
    return fail(ok.error());
  if (auto ok = file.commit(); !ok) return fail(ok.error());
  print_note("job card written to " + path);
  return Exit::no_fault;
}

Exit run_replacement(const ReplacementCommand& o) {
  const auto designation = one_designation(o.number);
  if (!designation) return fail(designation.error());
  MotorDuty duty = o.duty;
  if (o.rpm) duty.speed = Rpm{*o.rpm};
  duty.bearing_c_known = o.bearing_c.has_value();
  if (o.bearing_c) duty.bearing_c = *o.bearing_c;
  const auto plan = plan_replacement(*designation, duty);
  if (!plan) return fail(plan.error());
  std::optional<OutputFile> file;
  if (!o.card.empty() && o.card != "-") {
    auto created = OutputFile::create(o.card, o.force);
    if (!created) return fail(created.error());
    file = std::move(*created);
  }
  if (o.card == "-") {
    print(job_card_markdown(job_card(*plan)));
    return Exit::no_fault;
  }
  if (o.json) {
    print(replacement_json(*plan) + "\n");
  } else {
    show(replacement_report(*plan), o.colour);
  }
  return file ? write_card(*plan, *file, o.card) : Exit::no_fault;
}

void add_motor_options(CLI::App& c, ReplacementCommand& o) {
  const std::string motor = "The motor";
  MotorDuty& m = o.duty;
  c.add_option("--name", m.machine, "of the machine, for the headings")->group(motor);
  c.add_option("--position", m.position, "DE or NDE")->group(motor);
  c.add_option("--rpm", o.rpm, "speed of the shaft")->type_name("RPM")->group(motor);
  c.add_option("--shaft-height", m.shaft_height_mm, "centre of the shaft above the feet")
      ->type_name("MM")
      ->group(motor);
  c.add_option("--power", m.power_kw, "rated power")->type_name("KW")->group(motor);
  c.add_flag("--vertical", m.vertical_shaft, "the shaft stands upright")->group(motor);
  c.add_flag("--belt", m.belt_drive, "it drives by a belt")->group(motor);
  c.add_flag("--vfd", m.variable_speed, "fed by a variable-frequency drive")->group(motor);
  c.add_flag("--grounded", m.shaft_grounded, "the shaft is grounded")->group(motor);
  c.add_flag("--wet", m.wet, "the place is wet")->group(motor);
  c.add_flag("--dusty", m.dusty, "the place is dusty")->group(motor);
  c.add_flag("--rigid", m.rigid_mount, "bolted to a rigid base for the no-load run")->group(motor);
  const std::string bearing = "What the bearing bears";
  c.add_option("--temperature", o.bearing_c, "of the bearing in service (70 if not given)")
      ->type_name("C")
      ->group(bearing);
  c.add_option("--radial", m.radial_n, "radial load: gives the life")
      ->type_name("N")
      ->group(bearing);
  c.add_option("--axial", m.axial_n, "axial load")->type_name("N")->group(bearing);
  c.add_option("--load", m.load, "light, moderate, heavy or very-heavy (for the grease)")
      ->type_name("WORD")
      ->group(bearing)
      ->transform(CLI::CheckedTransformer(
          std::map<std::string, LoadLevel>{{"light", LoadLevel::light},
                                           {"moderate", LoadLevel::moderate},
                                           {"heavy", LoadLevel::heavy},
                                           {"very-heavy", LoadLevel::very_heavy}}));
  c.add_option("--shaft", m.shaft_mm, "diameter of the seat as measured")
      ->type_name("MM")
      ->group(bearing);
  c.add_option("--workshop", m.workshop_c, "temperature of the workshop (20 if not given)")
      ->type_name("C")
      ->group(bearing);
}

}  // namespace

void add_replacement(CLI::App& app, Run& run) {
  auto o = std::make_shared<ReplacementCommand>();
  CLI::App* command = app.add_subcommand(
      "replacement",
      "Is this bearing right for the motor, and how is it mounted without harm?\n"
      "Example: bearingdsp replacement \"6205-2Z C3\" --rpm 1480 --shaft-height 90 --job-card "
      "card.md");
  command->add_option("number", o->number, "the bearing's number")->type_name("NUMBER")->required();
  add_motor_options(*command, *o);
  command
      ->add_option("--job-card", o->card,
                   "write the steps of the swap: Markdown, HTML if it ends in .html, - to print")
      ->type_name("FILE");
  command->add_flag("--force", o->force, "overwrite the card if it is there");
  command->add_flag("--json", o->json, "print JSON");
  add_colour_option(*command, o->colour);
  command->callback([o, &run] { run = [o] { return run_replacement(*o); }; });
}

}  // namespace cli
