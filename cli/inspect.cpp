#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/capture/scan.hpp"
#include "bearingdsp/report/recording_levels.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "commands.hpp"
#include "known_recording.hpp"
#include "options.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct InspectOptions {
  std::vector<std::string> files, channels_from;
  ReadingOptions reading;
  bool json{false};
  Printing printing;
};

/// As inspect_one, of a recording that is too long to be held.
Exit inspect_long(const std::string& file, PieceReader& pieces, const InspectOptions& o,
                  FftPlans& plans) {
  JsonOptions json;
  json.pretty = o.files.size() == 1;
  TextOptions text = text_options(o.printing);
  const auto scanned = scan(pieces, plans);
  const auto listed = list_contents(file);
  const Contents contents = listed ? *listed : Contents{file, "", {}, {}, {}, {}, {}};
  if (!scanned) {
    print(o.json ? contents_json(contents, nullptr, {}, json) + "\n"
                 : to_text(contents_report(contents, nullptr, {}), text));
    print_error(with_options(scanned.error()));
    return Exit::failed;
  }
  const RecordingLevels levels = recording_levels(*scanned);
  const Findings findings = scanned->all_findings();
  print(o.json ? contents_json(contents, levels, findings, json) + "\n"
               : to_text(contents_report(contents, levels, findings), text));
  return Exit::no_fault;
}

/// Prints what one file holds; a file whose signals have to be chosen first is listed, and failed.
Exit inspect_one(const std::string& file, const InspectOptions& o, FftPlans& plans) {
  JsonOptions json;
  json.pretty = o.files.size() == 1;
  std::error_code code;
  if (std::filesystem::is_fifo(file, code)) {
    const Error once{Errc::io, file,
                     "is a pipe, which can be read only once, and inspect reads twice",
                     "save it to a file first"};
    print_error(once);
    if (o.json) print(error_json(file, once, json) + "\n");
    return Exit::failed;
  }
  const auto known =
      known_recording(file, {}, typed_facts(o.reading, false, true), Wanted::reading);
  if (!known) return fail(known.error());
  say_taken({*known});
  const ReadOptions reading = merged(reading_options(known->point), o.reading);
  if (o.channels_from.empty())
    if (const auto pieces = open_if_long(file, reading))
      return inspect_long(file, *pieces, o, plans);
  const auto capture = read_recording(file, reading, o.channels_from);
  auto contents = list_contents(file);
  if (!contents && !capture) {
    print_error(capture.error());
    if (o.json) print(error_json(file, capture.error(), json) + "\n");
    return Exit::failed;
  }
  // Listing knows nothing of the options that made it readable.
  if (!contents) contents = Contents{capture->source, capture->format, {}, {}, {}, {}, {}};
  Findings findings;
  if (capture) {
    findings = capture->findings;
    QualityNeeds needs;
    if (const auto speed = known->speed ? known->speed : capture->noted_speed)
      needs.shaft = shaft_rate(*speed);
    for (Finding& f : assess_quality(*capture, needs, plans)) findings.push_back(std::move(f));
  }
  const Capture* read = capture ? &*capture : nullptr;
  if (o.json) {
    print(contents_json(*contents, read, findings, json) + "\n");
  } else {
    TextOptions text = text_options(o.printing);
    print(to_text(contents_report(*contents, read, findings), text));
  }
  if (capture) return Exit::no_fault;
  print_error(capture.error());
  return Exit::failed;
}

Exit run_inspect(const InspectOptions& o) {
  if (o.files.size() > 1 && !o.channels_from.empty())
    return fail(one_recording_only("--channels-from"));
  FftPlans plans;
  Exit exit = Exit::no_fault;
  bool first = true;
  for (const std::string& file : o.files) {
    if (!std::exchange(first, false) && !o.json && !o.printing.quiet) print("\n");
    exit = worse(exit, inspect_one(file, o, plans));
  }
  return exit;
}

}  // namespace

void add_inspect(CLI::App& app, Run& run) {
  auto o = std::make_shared<InspectOptions>();
  CLI::App* command =
      app.add_subcommand("inspect",
                         "Shows what a recording contains, and whether it can be trusted.\n"
                         "Example: bearingdsp inspect fan.csv --unit g");
  command->add_option("files", o->files, "WAV, CSV, MAT or other recordings")
      ->type_name("FILE")
      ->required();
  add_reading_options(*command, o->reading);
  add_channels_from_option(*command, o->channels_from);
  command->add_flag("--json", o->json, "print JSON (a line a file for several files)");
  add_printing_options(*command, o->printing, Details::some);
  set_run(*command, run, o, run_inspect);
}

}  // namespace cli
