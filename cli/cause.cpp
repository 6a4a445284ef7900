#include "bearingdsp/replacement/cause.hpp"

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "bearingdsp/machine/text_file.hpp"
#include "bearingdsp/replacement/machine_duty.hpp"
#include "bearingdsp/report/cause.hpp"
#include "bearingdsp/report/text.hpp"
#include "commands.hpp"
#include "machine_option.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct CauseCommand {
  std::vector<std::string> seen, facts;
  std::string diagnosis;
  PageOptions page;
  MachineOptions at;
  bool json{false};
  Printing printing;
};

Result<std::vector<std::string>> diagnosed(const std::string& path) {
  if (path.empty()) return std::vector<std::string>{};
  const auto text = read_text_file(path);
  if (!text) return text.error();
  return signs_of_diagnosis(*text, path);
}

/// What was typed and what the machine file knows, each once.
Result<std::vector<std::string>> facts_known(const CauseCommand& o) {
  if (!o.at.given()) return o.facts;
  const auto machine = choose_machine_aloud(o.at.machine);
  if (!machine) return machine.error();
  const auto end = chosen_end(*machine, o.at.end);
  if (!end) return end.error();
  std::vector<std::string> facts = o.facts;
  for (std::string& fact : facts_of(*machine, *end))
    if (std::find(facts.begin(), facts.end(), fact) == facts.end())
      facts.push_back(std::move(fact));
  return facts;
}

Exit run_cause(const CauseCommand& o) {
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  if (o.seen.empty() && o.facts.empty() && o.diagnosis.empty() && !o.at.given()) {
    if (const auto done = page->write_sheet(damage_pictures_html()); !done)
      return fail(done.error());
    if (o.json)
      print(damage_modes_json() + "\n");
    else if (!page->wanted())
      show(damage_modes_report(), o.printing);
    return Exit::no_fault;
  }
  const auto signs = diagnosed(o.diagnosis);
  if (!signs) return fail(signs.error());
  const auto facts = facts_known(o);
  if (!facts) return fail(facts.error());
  const auto inquiry = find_causes(o.seen, *facts, *signs);
  if (!inquiry) return fail(inquiry.error());
  if (const auto done = page->write_sheet(damage_pictures_html(inquiry->seen)); !done)
    return fail(done.error());
  if (o.json)
    print(cause_json(*inquiry) + "\n");
  else
    show(cause_report(*inquiry), o.printing);
  return Exit::no_fault;
}

}  // namespace

void add_cause(CLI::App& app, Run& run) {
  auto o = std::make_shared<CauseCommand>();
  CLI::App* command = app.add_subcommand(
      "cause",
      "Why did the old bearing fail, and what must change so that the next one lasts?\n"
      "Without options: what to look for, and the words that --seen and --fact take.\n"
      "Example: bearingdsp cause --seen fluting --fact \"variable-frequency drive\"");
  command
      ->add_option(
          "--seen", o->seen,
          "what is seen on the bearing: damage in terms of ISO 15243 or common terms, the state of "
          "cage, seal and grease, the running track")
      ->type_name("MODE");
  command->add_option("--fact", o->facts, "known fact about the machine")->type_name("FACT");
  command->add_option("--diagnosis", o->diagnosis, "output of 'diagnose --json'")
      ->type_name("FILE");
  add_output_option(*command, o->page.outputs, "--show", o->page.report,
                    "write a page of drawings to hold beside the bearing: .html, or .pdf (with "
                    "Chromium)")
      ->type_name("FILE");
  add_machine_option(*command, o->at);
  command->add_option("--end", o->at.end, "end of that machine")->type_name("DE|NDE");
  command->add_flag("--json", o->json, "print JSON");
  add_printing_options(*command, o->printing);
  set_run(*command, run, o, run_cause);
}

}  // namespace cli
