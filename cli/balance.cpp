#include <memory>
#include <optional>
#include <string>

#include "bearingdsp/balancing/tolerance.hpp"
#include "bearingdsp/report/balance.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "machine_option.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct PlanCommand {
  std::optional<double> mass_kg, rpm, radius_mm, grade, to_a_mm, to_b_mm;
  bool overhung{false};
  int planes{1};
  MachineOptions at;
  PageOptions page;
  bool json{false};
  Printing printing;
};
Result<BalancePlanInput> plan_input(const PlanCommand& o) {
  BalancePlanInput in;
  in.planes = o.planes;
  if (o.mass_kg) in.rotor = Kilograms{*o.mass_kg};
  if (o.rpm) in.speed = Rpm{*o.rpm};
  if (o.radius_mm) in.radius = Millimetres{*o.radius_mm};
  if (o.to_a_mm.has_value() != o.to_b_mm.has_value())
    return Error{Errc::bad_argument, o.to_a_mm ? "--to-b" : "--to-a", "is missing",
                 "give the distances to both bearings"};
  if (o.to_a_mm) in.support = {Millimetres{*o.to_a_mm}, Millimetres{*o.to_b_mm}, o.overhung};
  if (o.grade) {
    in.grade = BalanceGrade{*o.grade};
    in.grade_source = "given";
  }
  if (!o.at.given()) return in;
  const auto machine = choose_machine_aloud(o.at.machine);
  if (!machine) return machine.error();
  if (!in.speed)
    in.speed = machine->speed_range ? machine->speed_range->highest : machine->rated_speed;
  if (in.grade) return in;
  const auto grade = grade_for(*machine);
  if (!grade) return grade.error();
  in.grade = grade->grade;
  in.grade_source = std::string{grade->rotor} + "; " + std::string{grade->source};
  return in;
}

Exit run_plan(const PlanCommand& o) {
  const auto input = plan_input(o);
  if (!input) return fail(input.error());
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  const auto plan = plan_balance(*input);
  if (!plan) return fail(plan.error());
  const Report report = balance_plan_report(*plan);
  if (const auto done = page->write(report); !done) return fail(done.error());
  if (o.json)
    print(balance_plan_json(*plan) + "\n");
  else
    show(report, o.printing);
  return Exit::no_fault;
}

void add_plan(CLI::App& balance, Run& run) {
  auto o = std::make_shared<PlanCommand>();
  CLI::App* c = balance.add_subcommand(
      "plan",
      "Before the first run: permissible unbalance, size of the trial weight, what to check.\n"
      "Example: bearingdsp balance plan --mass 120 --rpm 1480 --grade 6.3 --radius 140 --planes 2");
  c->add_option("--mass", o->mass_kg, "mass of the rotor, kg")->type_name("KG");
  c->add_option("--rpm", o->rpm, "highest speed in service")->type_name("RPM");
  c->add_option("--grade", o->grade, "balance quality grade G (default: that of the machine)")
      ->type_name("G");
  c->add_option("--radius", o->radius_mm, "radius of the weights, mm")->type_name("MM");
  c->add_option("--planes", o->planes, "planes that take weights, 1 (default) or 2")
      ->type_name("1|2")
      ->check(whole_between(1, 2));
  c->add_option("--to-a", o->to_a_mm, "centre of mass to bearing A, mm")->type_name("MM");
  c->add_option("--to-b", o->to_b_mm, "centre of mass to bearing B, mm")->type_name("MM");
  c->add_flag("--overhung", o->overhung, "the centre of mass is outside the bearings");
  add_machine_option(*c, o->at);
  add_report_option(*c, o->page);
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_plan);
}

}  // namespace

void add_balance(CLI::App& app, Run& run) {
  CLI::App* balance =
      app.add_subcommand("balance", "Balances a rotor in one or two planes, on site");
  balance->require_subcommand(1);
  add_plan(*balance, run);
  add_balance_solve(*balance, run);
  add_balance_split(*balance, run);
}

}  // namespace cli
