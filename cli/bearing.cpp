#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/bearing/facts.hpp"
#include "bearingdsp/report/bearing.hpp"
#include "bearingdsp/report/text.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct BearingCommand {
  std::string number;
  std::optional<double> bore, outside, width, rpm;
  bool inch{false};
  bool json{false};
  Printing printing;
};

Exit by_number(const BearingCommand& o) {
  const auto readings = read_designation(o.number);
  if (!readings) return fail(readings.error());
  const std::optional<Rpm> speed = o.rpm ? std::optional<Rpm>{Rpm{*o.rpm}} : std::nullopt;
  if (o.json) {
    std::vector<BearingFacts> facts;
    for (const Designation& d : *readings) facts.push_back(facts_of(d));
    print(bearing_json(o.number, facts, speed) + "\n");
  } else if (readings->size() == 1) {
    show(bearing_report(facts_of(readings->front()), speed), o.printing);
  } else {
    show(candidates_report(o.number, *readings), o.printing);
  }
  return Exit::no_fault;
}

Exit by_size(const BearingCommand& o) {
  MeasuredSize measured{o.bore, o.outside, o.width};
  if (o.inch) measured = from_inches(measured);
  const auto search = find_by_size(measured);
  if (!search) return fail(search.error());
  if (o.json)
    print(size_search_json(measured, *search) + "\n");
  else
    show(size_search_report(measured, *search), o.printing);
  return Exit::no_fault;
}

Exit run_bearing(const BearingCommand& o) {
  const bool sizes = o.bore || o.outside || o.width;
  if (!o.number.empty() && sizes)
    return fail({Errc::bad_argument, "bearing", "both a designation and sizes are given",
                 "give the designation on the ring, or the measured sizes"});
  if (o.number.empty() && !sizes)
    return fail({Errc::bad_argument, "bearing", "neither a designation nor sizes are given",
                 "give the designation on the ring, or --bore, --outside and --width"});
  return sizes ? by_size(o) : by_number(o);
}

}  // namespace

void add_bearing(CLI::App& app, Run& run) {
  auto o = std::make_shared<BearingCommand>();
  CLI::App* command = app.add_subcommand(
      "bearing",
      "What a bearing designation means: size, clearance, seals, defect frequencies.\n"
      "Write ? for a character that you cannot read, or give the sizes measured with a caliper.\n"
      "Example: bearingdsp bearing \"62?5-2Z C3\"");
  command->add_option("number", o->number, "designation as stamped on the ring")
      ->type_name("NUMBER");
  const std::string group = "Or measured (two or three of these)";
  command->add_option("--bore", o->bore, "inside diameter")->type_name("MM")->group(group);
  command->add_option("--outside", o->outside, "outside diameter")->type_name("MM")->group(group);
  command->add_option("--width", o->width, "width of the ring")->type_name("MM")->group(group);
  command->add_flag("--inch", o->inch, "the sizes are in inches")->group(group);
  command->add_option("-n,--rpm", o->rpm, "shaft speed: defect frequencies in Hz")
      ->type_name("RPM")
      ->check(between(0.01, 1e6));
  command->add_flag("--json", o->json, "print JSON");
  add_printing_options(*command, o->printing);
  set_run(*command, run, o, run_bearing);
}

}  // namespace cli
