#include "bearingdsp/comparison/acceptance.hpp"

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "acceptance_options.hpp"
#include "acceptance_store.hpp"
#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/report/acceptance.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "compare_options.hpp"
#include "history_options.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// One recording after another, so that no two are held.
Result<std::vector<NoLoadRecording>> measure(const AcceptanceCommand& o, const AcceptancePlan& k) {
  const DiagnoseOptions& how = k.setup.diagnosis;
  FftPlans plans;
  std::vector<NoLoadRecording> out;
  for (const KnownRecording& file : k.recordings) {
    const ReadOptions reading = merged(reading_options(file.point), o.reading);
    const auto pieces = o.channels_from.empty() ? open_if_long(file.file, reading) : nullptr;
    if (pieces) {
      auto r = measure_no_load(*pieces, how, k.at, {}, plans);
      if (!r) return with_options(r.error());
      out.push_back(std::move(*r));
      continue;
    }
    const auto capture = read_recording(file.file, reading, o.channels_from);
    if (!capture) return capture.error();
    auto r = measure_no_load(*capture, how, k.at, {}, plans);
    if (!r) return r.error();
    out.push_back(std::move(*r));
  }
  return out;
}

Exit run_acceptance(const AcceptanceCommand& o) {
  const auto files = recordings_in(o.files);
  if (!files) return fail(files.error());
  if (files->size() > 1 && !o.channels_from.empty())
    return fail(one_recording_only("--channels-from"));
  auto k = acceptance_plan(o, *files);
  if (!k) return fail(k.error());
  if (!o.store.empty() && k->key.machine.empty())
    return fail({Errc::bad_argument, "--store", "needs the machine and the measuring point",
                 "add --machine FILE#NAME and --point NAME"});
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  if (page->wanted())
    k->setup.diagnosis.keep_curves = CurvesKept::all;
  else if (o.printing.verbose)
    k->setup.diagnosis.keep_curves = CurvesKept::envelope;
  auto keeping = AcceptanceStore::open(o.store, k->key);
  if (!keeping) return fail(keeping.error());
  const auto measured = measure(o, *k);
  if (!measured) return fail(measured.error());
  const auto run = accept_recordings(*measured, keeping->reference(), k->limits);
  if (!run) return fail(run.error());
  if (const auto kept = keeping->keep(*run, *measured, *files, o.time); !kept)
    return fail(kept.error());
  Report report = acceptance_report(run->result, k->title, run->recordings);
  if (const auto done = page->write(report); !done) return fail(done.error());
  // What is printed is the same without a page.
  if (!o.printing.verbose) report.plots.clear();
  if (o.json)
    print(acceptance_json(run->result, k->title) + "\n");
  else
    show(report, o.printing);
  return exit_of(follow_up(run->result));
}

}  // namespace

void add_acceptance(CLI::App& app, Run& run) {
  auto o = std::make_shared<AcceptanceCommand>();
  CLI::App* c =
      app.add_subcommand("acceptance",
                         "No-load run after the work: may the motor go back into service?\n"
                         "Example: bearingdsp acceptance noload.csv --bearing 6205 --rpm 1498 "
                         "--unit g --shaft-height 90 --mounting rigid");
  c->add_option("files", o->files, "recordings at one end of the motor, or folders of them")
      ->type_name("FILE")
      ->required();
  add_machine_option(*c, o->at);
  add_point_options(*c, o->at);
  add_store_option(*c, o->store, "store it in this history, as the new baseline if it passes");
  c->add_option("--time", o->time, "recording time, for the history")->type_name("UTC");
  c->add_option("-n,--rpm", o->rpm, "shaft speed at no load")
      ->type_name("RPM")
      ->check(between(1.0, 1e6));
  add_limit_options(*c, *o);
  add_workshop_options(*c, o->workshop);
  add_bearing_options(*c, o->bearing);
  add_reading_options(*c, o->reading);
  add_channels_from_option(*c, o->channels_from);
  add_report_option(*c, o->page);
  add_picture_option(*c, o->page);
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing, Details::some);
  set_run(*c, run, o, run_acceptance);
}

}  // namespace cli
