#include <fmt/format.h>

#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/dataset/validate.hpp"
#include "bearingdsp/machine/model_file.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/report/validation.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "options.hpp"
#include "output_file.hpp"
#include "show.hpp"
#include "validate_results.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct ValidateCommand {
  std::string manifest, against, split, model;
  ResultNames names;
  OutputRules outputs;
  std::size_t jobs{0};
  bool json{false};
  bool blind_speed{false};
  bool without_times{false};
  Printing printing;
};

Exit run_validate(const ValidateCommand& o) {
  const auto model = o.model.empty() ? Result{ModelParameters{}} : read_model(o.model);
  if (!model) return fail(model.error());
  auto manifest = read_manifest(o.manifest);
  // Also what --split leaves out.
  const auto read = manifest ? manifest->files_read() : std::vector<std::string>{};
  if (manifest && !o.split.empty()) manifest = of_split(*manifest, o.split);
  if (!manifest) return fail(manifest.error());
  // Files are opened before the work starts.
  Result<std::vector<Outcome>> before = std::vector<Outcome>{};
  if (!o.against.empty()) before = results_in(o.against);
  if (!before) return fail(before.error());
  auto files = ResultFiles::create(o.names, o.outputs, read);
  if (!files) return fail(files.error());
  for (const std::string& note : manifest->notes) print_note(note);

  std::vector<Outcome> outcomes;
  std::vector<RecordFeatures> features;
  {
    Progress progress{"diagnosing"};
    ValidateOptions options;
    options.jobs = o.jobs;
    options.blind_speed = o.blind_speed;
    options.model = *model;
    options.progress = [&](std::size_t done, std::size_t all) { progress.show(done, all); };
    if (files->has_features()) {
      for (const LabelledRecord& r : manifest->records) features.push_back(features_of_failed(r));
      options.diagnosed = [&](std::size_t i, const Diagnosis& d) {
        features[i] = features_of(manifest->records[i], d);
      };
    }
    outcomes = validate(*manifest, options);
  }
  // Times are all that differs from run to run.
  if (o.without_times)
    for (Outcome& outcome : outcomes) outcome.seconds = std::numeric_limits<double>::quiet_NaN();
  Report report = validation_report(outcomes);
  if (const auto done = files->write(outcomes, features, report); !done) return fail(done.error());
  Exit exit = Exit::no_fault;
  for (const Outcome& outcome : outcomes)
    if (grade(outcome) == Grade::failed) {
      print_note(outcome.reason);
      exit = Exit::failed;
    }
  if (o.json) {
    print(validation_json(outcomes) + "\n");
    return exit;
  }
  const TextOptions text = text_options(o.printing);
  print(to_text(report, text));
  if (!o.against.empty() && !text.brief)
    print("\n" + to_text(comparison_report(compare(*before, outcomes)), text));
  return exit;
}

}  // namespace

void add_validate(CLI::App& app, Run& run) {
  auto o = std::make_shared<ValidateCommand>();
  CLI::App* c = app.add_subcommand(
      "validate",
      "Diagnoses every recording of a labelled set and reports how often the diagnosis was right.\n"
      "Example: bearingdsp validate datasets/manifest.csv --out results.csv");
  c->add_option("manifest", o->manifest, "CSV with one row per recording; bearings.csv beside it")
      ->type_name("MANIFEST")
      ->required();
  add_output_option(*c, o->outputs, "--out", o->names.out,
                    "write the results: .csv with one row per recording, or .json as --json prints")
      ->type_name("FILE");
  add_output_option(*c, o->outputs, "--report", o->names.page,
                    "also write a report with tables and curves: .html, or .pdf (with Chromium)")
      ->type_name("FILE");
  add_output_option(*c, o->outputs, "--features", o->names.features,
                    "also write what was measured, a row per recording and component: .csv, .h5")
      ->type_name("FILE");
  auto* against = c->add_option("--against", o->against, "show what changed since this table")
                      ->type_name("FILE.csv");
  c->add_option("--split", o->split, "only the recordings of this split")->type_name("NAME");
  c->add_option("--jobs", o->jobs, "recordings in parallel (default: all cores)")
      ->type_name("N")
      ->check(whole_between(1, 1024));
  add_model_option(*c, o->model);
  c->add_flag("--blind-speed", o->blind_speed, "do not use the known speed");
  c->add_flag("--without-times", o->without_times,
              "leave out the computing times, so that two runs write identical files");
  c->add_flag("--json", o->json, "print JSON: rates, curves and recordings")->excludes(against);
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_validate);
}

}  // namespace cli
