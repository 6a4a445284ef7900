#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "balance_options.hpp"
#include "bearingdsp/balancing/four_run.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "bearingdsp/report/balance.hpp"
#include "commands.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct SolveCommand {
  std::string file, angles;
  std::vector<std::string> runs;
  std::optional<double> repeats_percent;
  PositionOptions positions;
  PageOptions page;
  bool json{false};
  Printing printing;
};
struct FourRunCommand {
  double found{0}, trial_g{0}, repeats_percent{100 * FourRunOptions{}.repeatability};
  std::vector<std::string> runs;
  std::string angles;
  PageOptions page;
  bool json{false};
  Printing printing;
};

/// From --run alone, with what else was typed.
Result<BalanceJob> typed_job(const SolveCommand& o) {
  auto job = job_of_runs(o.runs);
  if (!job) return job.error();
  const auto positions = positions_of(o.positions);
  if (!positions) return positions.error();
  job->sense = sense_of(o.angles);
  job->step = Grams{o.positions.step_g};
  for (BalancePlane& plane : job->planes) plane.positions = *positions;
  return job;
}

Result<BalanceJob> job_of(const SolveCommand& o) {
  if (o.file.empty()) return typed_job(o);
  if (!o.runs.empty() || !o.angles.empty() || o.positions.count)
    return Error{Errc::bad_argument, "--run, --angles or --positions", "beside a job file",
                 "write it into the file, or give the options alone"};
  const auto text = read_text_file(o.file);
  if (!text) return text.error();
  return parse_balance_job(*text, o.file);
}

Exit run_solve(const SolveCommand& o) {
  auto job = job_of(o);
  if (!job) return fail(job.error());
  if (o.repeats_percent) job->options.repeatability = *o.repeats_percent / 100;
  auto page = PageFile::create(o.page, recordings_of(*job, o.file));
  if (!page) return fail(page.error());
  if (const auto done = read_recordings(*job, o.file); !done) return fail(done.error());
  const auto result = solve(*job);
  if (!result) return fail(result.error());
  const Report report = balance_report(*result);
  if (const auto done = page->write(report); !done) return fail(done.error());
  if (o.json)
    print(balance_json(*result) + "\n");
  else
    show(report, o.printing);
  return result->answer.usable() ? Exit::no_fault : Exit::cannot_tell;
}

Exit run_four(const FourRunCommand& o) {
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  FourRuns runs;
  runs.found = o.found;
  runs.trial = Grams{o.trial_g};
  for (const std::string& text : o.runs) {
    const auto run = parse_amplitude(text);
    if (!run) return fail(run.error());
    runs.runs.push_back(*run);
  }
  const auto answer = balance_without_phase(runs, {.repeatability = o.repeats_percent / 100});
  if (!answer) return fail(answer.error());
  const Report report = four_run_report(runs, *answer, sense_of(o.angles));
  if (const auto done = page->write(report); !done) return fail(done.error());
  if (o.json)
    print(four_run_json(runs, *answer) + "\n");
  else
    show(report, o.printing);
  return answer->usable() ? Exit::no_fault : Exit::cannot_tell;
}

void add_outputs(CLI::App& c, PageOptions& page, bool& json, Printing& printing, Details details) {
  add_report_option(c, page);
  add_picture_option(c, page);
  c.add_flag("--json", json, "print JSON");
  add_printing_options(c, printing, details);
}

}  // namespace

void add_balance_solve(CLI::App& balance, Run& run) {
  auto o = std::make_shared<SolveCommand>();
  CLI::App* c = balance.add_subcommand(
      "solve",
      "Which weight goes where, from runs with trial weights and phase (one or two planes).\n"
      "Example: bearingdsp balance solve --run 6.0@40 --run 4.5@110:20@0 --positions 8\n"
      "         bearingdsp balance solve fan.toml --report fan.html");
  c->add_option("job", o->file, "job file with runs or recordings, see docs/balance.md")
      ->type_name("FILE");
  c->add_option("--run", o->runs,
                "a run: vibration@phase of each sensor; behind a colon the weights of each plane "
                "(g@deg). The first is as found")
      ->type_name("V@DEG[:G@DEG]")
      ->take_all();
  add_angle_option(*c, o->angles);
  add_position_options(*c, o->positions);
  add_repeatability_option(*c, o->repeats_percent);
  add_outputs(*c, o->page, o->json, o->printing, Details::some);
  set_run(*c, run, o, run_solve);

  auto f = std::make_shared<FourRunCommand>();
  CLI::App* four = balance.add_subcommand(
      "four-run",
      "One plane without phase: amplitudes with one trial weight at three or more angles.\n"
      "Example: bearingdsp balance four-run --found 6.00 --trial 15 --run 3.34@0 --run 7.16@120 "
      "--run 8.52@240");
  four->add_option("--found", f->found, "amplitude as found")->type_name("V")->required();
  four->add_option("--trial", f->trial_g, "mass of the trial weight, g")
      ->type_name("G")
      ->required();
  four->add_option("--run", f->runs, "amplitude with the trial weight, and the weight's angle")
      ->type_name("V@DEG")
      ->take_all()
      ->required();
  add_angle_option(*four, f->angles);
  add_repeatability_option(*four, f->repeats_percent);
  add_outputs(*four, f->page, f->json, f->printing, Details::none);
  set_run(*four, run, f, run_four);
}

}  // namespace cli
