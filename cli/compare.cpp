#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include "bearingdsp/report/before_after.hpp"
#include "commands.hpp"
#include "compare_options.hpp"
#include "page_file.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

Exit exit_of(FollowUp follow_up) noexcept {
  switch (follow_up) {
    case FollowUp::nothing:
      return Exit::no_fault;
    case FollowUp::something:
      return Exit::fault;
    case FollowUp::cannot_tell:
      return Exit::cannot_tell;
  }
  return Exit::cannot_tell;
}

Exit show_comparison(const BeforeAfter& r, const CompareCommand& o, bool pretty,
                     const std::string& source, PageFile& page) {
  Report report = before_after_report(r);
  if (!source.empty()) report.source = source;
  if (const auto done = page.write(report); !done) return fail(done.error());
  if (o.json) {
    print(before_after_json(r, {.pretty = pretty}) + "\n");
    return exit_of(follow_up(r));
  }
  TextOptions text = text_options(o.printing);
  print(to_text(report, text));
  return exit_of(follow_up(r));
}

namespace {

Result<CapturedSide> read_side(const std::vector<KnownRecording>& files, const SideOptions& side,
                               const CompareCommand& o, const CompareSetup& known) {
  CapturedSide out;
  out.diagnosis = known.point.diagnosis;
  std::optional<Rpm> speed;
  const std::size_t recordings = known.before.size() + known.after.size();
  for (const KnownRecording& file : files) {
    ReadOptions reading = merged(reading_options(file.point), o.reading);
    if (!side.unit.empty()) reading.units = {side.unit};
    if (!side.channel.empty()) reading.select = {side.channel};
    if (side.full_scale) reading.full_scale = side.full_scale;
    auto captures = read_captures(file.file, reading, recordings, side.channels_from);
    if (!captures) return captures.error();
    for (Capture& c : *captures) out.captures.push_back(std::move(c));
    if (file.speed) speed = file.speed;
  }
  if (const auto typed = side.rpm ? side.rpm : o.rpm) speed = Rpm{*typed};
  if (speed) {
    out.diagnosis.speed = speed;
    out.diagnosis.speed_low = out.diagnosis.speed_high = {};
  }
  out.facts = {side.load, side.sensor, side.fixing};
  out.at = known.at;
  return out;
}

/// The recordings of a side; one alone where it has channels in other files.
Result<std::vector<std::string>> side_files(const std::vector<std::string>& words,
                                            const SideOptions& side, const std::string& option) {
  auto files = recordings_in(words);
  if (files && files->size() > 1 && !side.channels_from.empty()) return one_recording_only(option);
  return files;
}

Exit compare_files(const CompareCommand& o) {
  std::vector<std::string> before = o.before.files;
  std::vector<std::string> after = o.after.files;
  if (o.given.size() == 2 && before.empty() && after.empty()) {
    before = {o.given.front()};
    after = {o.given.back()};
  } else if (!o.given.empty() || before.empty() || after.empty()) {
    return fail({Errc::bad_argument, "command line", "two sets of recordings are needed",
                 "give BEFORE AFTER, or --before FILE... --after FILE..."});
  }
  const auto old_files = side_files(before, o.before, "--before-channels-from");
  if (!old_files) return fail(old_files.error());
  const auto new_files = side_files(after, o.after, "--after-channels-from");
  if (!new_files) return fail(new_files.error());
  auto page = PageFile::create(o.page);
  if (!page) return fail(page.error());
  auto setup = compare_setup(o, *old_files, *new_files);
  if (!setup) return fail(setup.error());
  if (page->wanted()) setup->point.diagnosis.keep_curves = CurvesKept::all;
  const auto b = read_side(setup->before, o.before, o, *setup);
  if (!b) return fail(b.error());
  const auto a = read_side(setup->after, o.after, o, *setup);
  if (!a) return fail(a.error());
  FftPlans plans;
  const auto result =
      compare_captures(*b, *a, setup->point.diagnosis.bearings, plans, setup->options);
  if (!result) return fail(result.error());
  return show_comparison(*result, o, true, "", *page);
}

/// In a plant folder a machine is enough: its history is that of the plant.
Exit run_compare(CompareCommand o) {
  if (std::error_code code;
      o.store.empty() && o.given.size() == 1 && !std::filesystem::exists(o.given.front(), code)) {
    const auto plant = plant_here();
    if (!plant) return fail(plant.error());
    if (*plant) {
      o.store = (*plant)->store;
      print_note(store_taken(**plant));
    }
  }
  return o.store.empty() ? compare_files(o) : compare_history(o);
}

}  // namespace

void add_compare(CLI::App& app, Run& run) {
  auto o = std::make_shared<CompareCommand>();
  CLI::App* c = app.add_subcommand(
      "compare",
      "Did the work fix the fault? Compares recordings of one point before and after the work.\n"
      "Example: bearingdsp compare old.csv new.csv --bearing 6205 --rpm 1480 --unit g\n"
      "         bearingdsp compare planer-feed --store history.db");
  add_compare_options(*c, *o);
  set_run(*c, run, o, run_compare);
}

}  // namespace cli
