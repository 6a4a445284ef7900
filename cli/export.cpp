#include <fmt/format.h>

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "bearingdsp/history/features.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/report/history.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "diagnose_options.hpp"
#include "export_rows.hpp"
#include "history_options.hpp"
#include "output_file.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct ExportCommand {
  DiagnoseCommand recordings;  ///< files, and what is known of them
  std::string store{"history.db"}, out;
  std::optional<ExportFormat> format;
  OutputRules outputs;
};

/// By its option, else by the ending of the file.
ExportFormat format_of(const ExportCommand& o) {
  if (o.format) return *o.format;
  if (o.out.ends_with(".h5") || o.out.ends_with(".hdf5")) return ExportFormat::hdf5;
  return o.out.ends_with(".jsonl") || o.out.ends_with(".ndjson") ? ExportFormat::json_lines
                                                                 : ExportFormat::csv;
}

/// Recordings that cannot be read are named, the others are exported.
Result<Exit> export_recordings(const ExportCommand& o, ExportRows& rows) {
  const auto plans = diagnose_plans(o.recordings);
  if (!plans) return plans.error();
  FftPlans fft;
  Progress progress{"analysing"};
  Exit exit = Exit::no_fault;
  for (std::size_t i = 0; i < plans->files.size(); ++i) {
    progress.show(i, plans->files.size());
    const DiagnosePlan& plan = plans->plans[plans->files[i].plan];
    const std::string& file = plans->files[i].file;
    if (!plan.taken.empty()) print_note(file + ": " + plan.taken);
    std::optional<KnownPoint> at;
    PointKey key;
    if (plan.machine) {
      at = KnownPoint{*plan.machine, plan.point, plan.setup.other_end};
      key = {plan.machine->name, plan.point.name};
    }
    auto reading = recording_features(file, plan.setup, at, fft);
    if (!reading) {
      exit = fail(with_options(reading.error()));
      continue;
    }
    reading->bearing.number = plan.bearing;
    if (const auto done = rows.add(key, *reading); !done) return done.error();
  }
  return exit;
}

Result<Exit> export_history(const ExportCommand& o, ExportRows& rows) {
  const auto plant = plant_here();
  if (plant && *plant && (*plant)->store == o.store) print_note(store_taken(**plant));
  auto history = History::open(o.store, Access::read_only);
  if (!history) return history.error();
  Result<void> written;
  const auto done = history->each([&](const PointKey& at, const Reading& reading) {
    written = rows.add(at, reading);
    return written.has_value();
  });
  if (!done) return done.error();
  if (!written) return written.error();
  return Exit::no_fault;
}

Exit run_export_command(const ExportCommand& o) {
  std::optional<OutputFile> file;
  if (!o.out.empty() && o.out != "-") {
    auto created = OutputFiles{o.outputs}.open(o.out);
    if (!created) return fail(created.error());
    file = std::move(*created);
  }
  ExportRows rows{format_of(o), file};
  if (const auto begun = rows.begin(); !begun) return fail(begun.error());
  const auto done =
      o.recordings.files.empty() ? export_history(o, rows) : export_recordings(o, rows);
  if (!done) return fail(done.error());
  if (const auto ended = rows.end(); !ended) return fail(ended.error());
  if (file)
    if (const auto kept = file->commit(); !kept) return fail(kept.error());
  return *done;
}

}  // namespace

void add_export(CLI::App& app, Run& run) {
  auto o = std::make_shared<ExportCommand>();
  CLI::App* c = app.add_subcommand(
      "export",
      "Features of every recording as a table: levels, strengths of the components, defect orders, "
      "probabilities; units are in the names of the columns.\n"
      "Examples: bearingdsp export --out features.csv\n"
      "          bearingdsp export *.wav --bearing 6205 --rpm 1480 --out features.jsonl");
  add_source_options(*c, o->recordings);
  add_store_option(*c, o->store, store_meaning, StoreNote::by_command);
  add_output_option(*c, o->outputs, "--out", o->out,
                    "file to write, or - for stdout (the default): .csv, .jsonl or .h5")
      ->type_name("FILE");
  c->add_option("--format", o->format, "csv, jsonl or hdf5, whatever the name ends in")
      ->type_name("WORD")
      ->transform(one_word_of({{"csv", static_cast<int>(ExportFormat::csv)},
                               {"jsonl", static_cast<int>(ExportFormat::json_lines)},
                               {"hdf5", static_cast<int>(ExportFormat::hdf5)}}));
  set_run(*c, run, o, run_export_command);
}

}  // namespace cli
