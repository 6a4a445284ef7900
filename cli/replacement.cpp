#include <memory>
#include <optional>
#include <string>

#include "bearingdsp/replacement/job_card.hpp"
#include "bearingdsp/replacement/plan.hpp"
#include "bearingdsp/report/replacement.hpp"
#include "bearingdsp/report/text.hpp"
#include "commands.hpp"
#include "output_file.hpp"
#include "replacement_options.hpp"
#include "sheet_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

Exit write_card(const ReplacementPlan& plan, OutputFile& file, const std::string& path,
                CardForm form) {
  const JobCard card = job_card(plan);
  if (auto ok =
          file.write(is_page(path) ? job_card_html(card, form) : job_card_markdown(card, form));
      !ok)
    return fail(ok.error());
  if (auto ok = file.commit(); !ok) return fail(ok.error());
  print_note("job card written to " + path);
  return Exit::no_fault;
}

Exit run_replacement(const ReplacementCommand& o) {
  if (o.long_card && o.card.empty())
    return fail({Errc::bad_argument, "--long", "only valid with a job card",
                 "add --job-card FILE, or - to print it"});
  const CardForm form = o.long_card ? CardForm::long_form : CardForm::one_sheet;
  const auto plan = planned(o);
  if (!plan) return fail(plan.error());
  auto file = sheet_file(o.outputs, o.card);
  if (!file) return fail(file.error());
  if (o.card == "-") {
    print(job_card_markdown(job_card(*plan), form));
    return Exit::no_fault;
  }
  if (o.json) {
    print(replacement_json(*plan) + "\n");
  } else {
    show(replacement_report(*plan), o.printing);
  }
  return *file ? write_card(*plan, **file, o.card, form) : Exit::no_fault;
}

}  // namespace

void add_replacement(CLI::App& app, Run& run) {
  auto o = std::make_shared<ReplacementCommand>();
  CLI::App* command = app.add_subcommand(
      "replacement",
      "Is this bearing right for the motor, and how do you mount it without damage?\n"
      "Example: bearingdsp replacement \"6205-2Z C3\" --rpm 1480 --shaft-height 90 --job-card "
      "card.md\n"
      "         bearingdsp replacement --machine machines.toml#fan --end DE --job-card card.html");
  command
      ->add_option("number", o->number,
                   "designation of the new bearing (default with --machine: the one in the file)")
      ->type_name("NUMBER");
  add_motor_options(*command, *o);
  add_output_option(*command, o->outputs, "--job-card", o->card,
                    "write the steps of the replacement on one sheet: .md, .html, or - to print "
                    "them")
      ->type_name("FILE");
  command->add_flag("--long", o->long_card, "with --job-card: every step in full, several sheets");
  command->add_flag("--json", o->json, "print JSON");
  add_printing_options(*command, o->printing);
  set_run(*command, run, o, run_replacement);
}

}  // namespace cli
