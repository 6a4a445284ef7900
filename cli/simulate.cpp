#include <filesystem>
#include <memory>
#include <string>

#include "bearing_options.hpp"
#include "bearingdsp/machine/text_file.hpp"
#include "bearingdsp/simulate/save.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/simulate/truth.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "options.hpp"
#include "output_file.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct SimulateOptions {
  std::string plan, out, shaft;
  BearingOptions bearing;
  std::optional<double> rate, duration, rpm, noise, hum;
  std::optional<std::uint64_t> seed;
  std::vector<std::string> defects;
  OutputRules outputs;
};

Result<SimulationPlan> make_plan(const SimulateOptions& o) {
  SimulationPlan plan;
  if (!o.plan.empty()) {
    const auto text = read_text_file(o.plan);
    if (!text) return text.error();
    auto read = plan_from_json(*text, o.plan);
    if (!read) return read.error();
    plan = *read;
  }
  const auto bearing = choose_bearing(o.bearing);
  if (!bearing) return bearing.error();
  if (bearing->candidates.size() > 1)
    return Error{
        Errc::bad_argument, "--bearing",
        bearing->title + " is made with " + element_counts(bearing->candidates) + " elements",
        "choose one with --elements"};
  if (!bearing->candidates.empty()) plan.orders = bearing->candidates.front().orders;
  if (o.rate) plan.rate = Hz{*o.rate};
  if (o.duration) plan.duration = Seconds{*o.duration};
  if (o.rpm) plan.speed = Rpm{*o.rpm};
  if (o.noise) plan.noise = *o.noise;
  if (o.hum) plan.mains_hum = *o.hum;
  if (o.seed) plan.seed = *o.seed;
  if (!o.shaft.empty()) {
    auto harmonics = numbers(o.shaft, "--shaft", 1, 20);
    if (!harmonics) return harmonics.error();
    plan.shaft_harmonics = *harmonics;
  }
  for (const std::string& text : o.defects) {
    const auto defect = parse_defect(text);
    if (!defect) return defect.error();
    plan.defects.push_back(*defect);
  }
  return plan;
}

Result<void> simulate_to_files(const SimulateOptions& o) {
  const std::filesystem::path out{o.out};
  const auto plan = make_plan(o);
  if (!plan) return plan.error();
  auto truth_path = out;
  truth_path.replace_extension(".truth.json");
  if (auto known = check_ending(o.out); !known) return known;
  OutputFiles files{o.outputs};
  auto samples = files.open(o.out);
  if (!samples) return samples.error();
  auto truth = files.open(truth_path.string());
  if (!truth) return truth.error();
  const auto made = simulate(*plan);
  if (!made) return made.error();
  const auto written = save(*made, samples->file());
  if (!written) return written.error();
  if (const auto done = truth->write(to_json(made->truth) + "\n"); !done) return done.error();
  if (const auto done = samples->commit(); !done) return done.error();
  if (const auto done = truth->commit(); !done) return done.error();
  print_line(o.out);
  print_line(truth_path.string());
  return {};
}

}  // namespace

void add_simulate(CLI::App& app, Run& run) {
  auto o = std::make_shared<SimulateOptions>();
  CLI::App* command = app.add_subcommand(
      "simulate",
      "Simulates a recording with a known defect, and writes the true values beside it.\n"
      "Example: bearingdsp simulate --bearing 6205 --elements 9 --defect outer:10 --out made.wav");
  add_output_option(*command, o->outputs, "--out", o->out,
                    ".wav (read back with --unit m/s2), .csv or .txt")
      ->type_name("FILE")
      ->required();
  command->add_option("--plan", o->plan, "simulation plan in JSON; options override it")
      ->type_name("FILE");
  add_bearing_options(*command, o->bearing);
  command
      ->add_option("--defect", o->defects,
                   "outer, inner, element or cage; peak in m/s2; repeatable")
      ->type_name("PART:PEAK")
      ->allow_extra_args(false);
  command->add_option("-n,--rpm", o->rpm, "shaft speed")->type_name("RPM");
  command->add_option("--rate", o->rate, "samples per second: 25600 or 25.6k")
      ->type_name("HZ")
      ->transform(sampling_rate());
  command->add_option("--duration", o->duration, "duration of the recording")->type_name("S");
  command->add_option("--noise", o->noise, "noise level, rms")->type_name("M/S2");
  command->add_option("--shaft", o->shaft, "amplitudes of 1x, 2x ...")->type_name("M/S2,...");
  command->add_option("--hum", o->hum, "mains hum, amplitude")->type_name("M/S2");
  command->add_option("--seed", o->seed, "random seed: each seed gives a different recording")
      ->type_name("N");
  command->callback([o, &run] {
    run = [o] {
      const auto done = simulate_to_files(*o);
      if (!done) print_error(done.error());
      return done ? Exit::no_fault : Exit::failed;
    };
  });
}

}  // namespace cli
