#include <memory>
#include <string>

#include "balance_options.hpp"
#include "bearingdsp/report/balance.hpp"
#include "commands.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct SplitCommand {
  std::string weight;
  PositionOptions positions;
  PageOptions page;
  bool json{false};
  Printing printing;
};

Exit run_split(const SplitCommand& o) {
  const auto wanted = parse_polar(o.weight);
  if (!wanted) return fail(wanted.error());
  const auto positions = positions_of(o.positions);
  if (!positions) return fail(positions.error());
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  const BalanceWeight weight = weight_of(*wanted);
  const auto split = split_weight(weight, **positions, Grams{o.positions.step_g});
  if (!split) return fail(split.error());
  const Report report = weight_split_report(weight, **positions, *split);
  if (const auto done = page->write(report); !done) return fail(done.error());
  if (o.json)
    print(weight_split_json(weight, *split) + "\n");
  else
    show(report, o.printing);
  return Exit::no_fault;
}

}  // namespace

void add_balance_split(CLI::App& balance, Run& run) {
  auto o = std::make_shared<SplitCommand>();
  CLI::App* c =
      balance.add_subcommand("split",
                             "Splits a weight onto the two blades or bolt holes beside its angle.\n"
                             "Example: bearingdsp balance split 19.5@43.5 --positions 8");
  c->add_option("weight", o->weight, "mass in g and angle in degrees")
      ->type_name("G@DEG")
      ->required();
  add_position_options(*c, o->positions);
  c->get_option("--positions")->required();
  add_report_option(*c, o->page);
  add_picture_option(*c, o->page);
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_split);
}

}  // namespace cli
