#include <fmt/format.h>

#include <memory>
#include <string>
#include <utility>

#include "bearing_options.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/text.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "options.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct FrequenciesOptions {
  BearingOptions bearing;
  std::optional<double> rpm;
  bool json{false};
  Printing printing;
};

Exit run_frequencies(const FrequenciesOptions& o) {
  const auto chosen = choose_bearing(o.bearing);
  if (!chosen) {
    print_error(chosen.error());
    return Exit::failed;
  }
  if (chosen->candidates.empty()) {
    print_error({Errc::bad_argument, "frequencies", "no bearing given",
                 "give --bearing, --geometry, --elements or --sizes"});
    return Exit::failed;
  }
  const std::optional<Rpm> speed = o.rpm ? std::optional<Rpm>{Rpm{*o.rpm}} : std::nullopt;
  if (o.json) {
    print(frequencies_json(chosen->title, chosen->variants(), speed) + "\n");
    return Exit::no_fault;
  }
  TextOptions text = text_options(o.printing);
  bool first = true;
  const bool several = chosen->candidates.size() > 1;
  for (const BearingCandidate& c : chosen->candidates) {
    if (!std::exchange(first, false) && !text.brief) print("\n");
    print(to_text(frequencies_report(chosen->title, c.orders, speed), text));
    if (several && !text.brief)
      print(fmt::format("Probability {:.0f} % ({}).\n", 100 * c.weight, c.basis));
  }
  if (several)
    print(
        fmt::format("\n{} may have {} rolling elements. Count the elements and give --elements.\n",
                    chosen->title, element_counts(chosen->candidates)));
  return Exit::no_fault;
}

}  // namespace

void add_frequencies(CLI::App& app, Run& run) {
  auto o = std::make_shared<FrequenciesOptions>();
  CLI::App* command =
      app.add_subcommand("frequencies",
                         "Defect frequencies of a bearing, in orders and at a speed.\n"
                         "Example: bearingdsp frequencies --bearing 6205 --rpm 1480");
  add_bearing_options(*command, o->bearing);
  command->add_option("-n,--rpm", o->rpm, "shaft speed")
      ->type_name("RPM")
      ->check(between(0.01, 1e6));
  command->add_flag("--json", o->json, "print JSON");
  add_printing_options(*command, o->printing);
  set_run(*command, run, o, run_frequencies);
}

}  // namespace cli
