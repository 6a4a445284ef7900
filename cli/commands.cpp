#include "commands.hpp"

#include "exit_codes.hpp"

namespace cli {

void add_commands(CLI::App& app, Run& run) {
  add_triage(app, run);
  add_diagnose(app, run);
  add_frequencies(app, run);
  add_bearing(app, run);
  add_inspect(app, run);
  add_record(app, run);
  add_compare(app, run);
  add_acceptance(app, run);
  add_replacement(app, run);
  add_cause(app, run);
  add_balance(app, run);
  add_checks(app, run);
  add_grease(app, run);
  add_spares(app, run);
  add_init(app, run);
  add_machine(app, run);
  add_route(app, run);
  add_trend(app, run);
  add_summary(app, run);
  add_calendar(app, run);
  add_export(app, run);
  add_history(app, run);
  add_sensor(app, run);
  add_simulate(app, run);
  add_validate(app, run);
  add_manual(app, run);
  add_help(app, run);
  add_exit_codes(app);
}

}  // namespace cli
