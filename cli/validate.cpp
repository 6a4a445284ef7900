#include <fmt/format.h>

#include <fstream>
#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/dataset/validate.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/report/validation.hpp"
#include "commands.hpp"
#include "output_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct ValidateCommand {
  std::string manifest, out, against;
  std::size_t jobs{0};
  bool blind_speed{false};
  When colour{When::automatic};
};

Result<std::vector<Outcome>> read_results(const std::string& path) {
  std::ifstream in{path, std::ios::binary};
  if (!in) return Error{Errc::io, path, "cannot be opened", "check the name"};
  const std::string text{std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
  return parse_results(text, path);
}

Exit run_validate(const ValidateCommand& o) {
  const auto manifest = read_manifest(o.manifest);
  if (!manifest) return fail(manifest.error());
  // Files are opened before the work starts.
  Result<std::vector<Outcome>> before = std::vector<Outcome>{};
  if (!o.against.empty()) before = read_results(o.against);
  if (!before) return fail(before.error());
  std::optional<OutputFile> table;
  if (!o.out.empty()) {
    auto file = OutputFile::create(o.out, true);
    if (!file) return fail(file.error());
    table = std::move(*file);
  }
  for (const std::string& note : manifest->notes) print_note(note);

  std::vector<Outcome> outcomes;
  {
    Progress progress{"diagnosing"};
    ValidateOptions options;
    options.jobs = o.jobs;
    options.blind_speed = o.blind_speed;
    options.progress = [&](std::size_t done, std::size_t all) { progress.show(done, all); };
    outcomes = validate(*manifest, options);
  }
  if (table) {
    if (const auto done = table->write(results_csv(outcomes)); !done) return fail(done.error());
    if (const auto done = table->commit(); !done) return fail(done.error());
  }
  Exit exit = Exit::no_fault;
  for (const Outcome& outcome : outcomes)
    if (grade(outcome) == Grade::failed) {
      print_note(outcome.reason);
      exit = Exit::failed;
    }
  TextOptions text = text_options(o.colour);
  print(to_text(validation_report(outcomes), text));
  if (!o.against.empty())
    print("\n" + to_text(comparison_report(compare(*before, outcomes)), text));
  return exit;
}

}  // namespace

void add_validate(CLI::App& app, Run& run) {
  auto o = std::make_shared<ValidateCommand>();
  CLI::App* c =
      app.add_subcommand("validate",
                         "Diagnoses every record of a labelled set and says how often that was "
                         "right.\n"
                         "Example: bearingdsp validate datasets/manifest.csv --out results.csv");
  c->add_option("manifest", o->manifest, "CSV with a row a record; bearings.csv beside it")
      ->type_name("MANIFEST")
      ->required();
  c->add_option("--out", o->out, "write a row a record")->type_name("FILE.csv");
  c->add_option("--against", o->against, "show what changed since this table")
      ->type_name("FILE.csv");
  c->add_option("--jobs", o->jobs, "records at a time (all cores)")
      ->type_name("N")
      ->check(CLI::Range(1, 1024));
  c->add_flag("--blind-speed", o->blind_speed, "withhold the speed");
  add_colour_option(*c, o->colour);
  c->callback([o, &run] { run = [o] { return run_validate(*o); }; });
}

}  // namespace cli
