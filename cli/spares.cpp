#include <memory>
#include <string>

#include "bearingdsp/replacement/spares.hpp"
#include "bearingdsp/report/workshop.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct SparesCommand {
  std::string machines;
  SpareOptions options;
  bool json{false};
  Printing printing;
};

Exit run_spares(const SparesCommand& o) {
  const auto machines = chosen_machines(o.machines);
  if (!machines) return fail(machines.error());
  const SpareList list = spare_list(*machines, o.options);
  const std::string source = o.machines.empty() ? "plant" : o.machines;
  if (o.json)
    print(spares_json(list, source) + "\n");
  else
    show(spares_report(list, source), o.printing);
  return Exit::no_fault;
}

}  // namespace

void add_spares(CLI::App& app, Run& run) {
  auto o = std::make_shared<SparesCommand>();
  CLI::App* c = app.add_subcommand(
      "spares",
      "Which bearings and seals to keep for these machines, how many, and how long they keep.\n"
      "Example: bearingdsp spares --machines machines.toml --lead-weeks 6");
  c->add_option("--machines", o->machines, "machine file (default: that of the plant folder)")
      ->type_name("FILE");
  c->add_option("--lead-weeks", o->options.lead_weeks, "weeks from order to shelf (4)")
      ->type_name("WEEKS")
      ->check(between(0.1, 520));
  c->add_option("--life-years", o->options.life_years,
                "years between two replacements of one bearing (5)")
      ->type_name("YEARS")
      ->check(between(0.05, 100));
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_spares);
}

}  // namespace cli
