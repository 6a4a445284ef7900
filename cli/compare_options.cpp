#include "compare_options.hpp"

#include <algorithm>
#include <filesystem>

#include "bearing_options.hpp"
#include "bearingdsp/capture/together.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "history_options.hpp"
#include "page_file.hpp"

namespace cli {
using namespace bearingdsp;
namespace fs = std::filesystem;

namespace {

void add_side(CLI::App& c, const std::string& side, SideOptions& o) {
  const std::string group = "Only for the recordings " + side;
  const std::string dashes = "--" + side;
  c.add_option(dashes, o.files, "recordings, or folders of recordings")
      ->type_name("FILE...")
      ->group(group);
  c.add_option(dashes + "-channels-from", o.channels_from,
               "another file with further channels of the same recording; can be repeated")
      ->type_name("FILE")
      ->allow_extra_args(false)
      ->group(group);
  c.add_option(dashes + "-rpm", o.rpm, "shaft speed")
      ->type_name("RPM")
      ->check(between(1.0, 1e6))
      ->group(group);
  c.add_option(dashes + "-load", o.load, "motor load, percent of the rated load")
      ->type_name("PERCENT")
      ->check(between(0.0, 1000.0))
      ->group(group);
  c.add_option(dashes + "-unit", o.unit, "unit of the samples")->type_name("UNIT")->group(group);
  c.add_option(dashes + "-channel", o.channel, "channel, column or variable to read")
      ->type_name("NAME")
      ->group(group);
  c.add_option(dashes + "-full-scale", o.full_scale, "full-scale value of an audio file")
      ->type_name("VALUE")
      ->group(group);
  c.add_option(dashes + "-sensor", o.sensor, "description of the sensor")
      ->type_name("TEXT")
      ->group(group);
  c.add_option(dashes + "-fixing", o.fixing, "sensor mounting: stud, magnet, held by hand ...")
      ->type_name("TEXT")
      ->group(group);
}

}  // namespace

Result<std::vector<std::string>> recordings_in(const std::vector<std::string>& words) {
  std::vector<std::string> files;
  for (const std::string& word : words) {
    std::error_code code;
    if (!fs::is_directory(word, code)) {
      files.push_back(word);
      continue;
    }
    std::vector<std::string> found;
    auto at = fs::directory_iterator{word, code};
    for (; !code && at != fs::directory_iterator{}; at.increment(code))
      if (looks_like_recording(at->path().string())) found.push_back(at->path().string());
    if (code)
      return Error{Errc::io, word, "cannot be read: " + code.message(), "check its permissions"};
    if (found.empty())
      return Error{Errc::not_found, word, "contains no recordings",
                   "give a folder with WAV, CSV, MAT ... files, or the files"};
    std::sort(found.begin(), found.end());
    files.insert(files.end(), found.begin(), found.end());
  }
  return files;
}

Result<CompareSetup> compare_setup(const CompareCommand& o, const std::vector<std::string>& before,
                                   const std::vector<std::string>& after) {
  CompareSetup out;
  std::vector<std::string> files = before;
  files.insert(files.end(), after.begin(), after.end());
  auto known = known_recordings(files, o.at,
                                typed_facts(o.reading, o.rpm.has_value(), o.line_hz.has_value()));
  if (!known) return known.error();
  say_taken(*known);
  PointSetup& setup = out.point;
  KnownRecording& first = known->front();
  // The speed of one recording is not that of the others.
  KnownRecording any = first;
  any.speed.reset();
  auto common = setup_of(any);
  if (!common) return common.error();
  setup = std::move(*common);
  if (first.machine) {
    out.options.limits = known_limits(*first.machine);
    out.at = KnownPoint{*first.machine, first.point, setup.other_end};
  }
  auto bearing = choose_bearing(o.bearing);
  if (!bearing) return bearing.error();
  if (!bearing->candidates.empty()) setup.diagnosis.bearings = bearing->candidates;
  setup.reading = merged(setup.reading, o.reading);
  if (o.line_hz) setup.diagnosis.line_frequency = Hz{*o.line_hz};
  const auto middle = known->begin() + static_cast<std::ptrdiff_t>(before.size());
  out.before.assign(known->begin(), middle);
  out.after.assign(middle, known->end());
  return out;
}

void add_compare_options(CLI::App& c, CompareCommand& o) {
  c.add_option(
       "recordings", o.given,
       "BEFORE and AFTER: a recording or a folder of recordings each; with --store, the machine")
      ->type_name("WHAT")
      ->expected(0, 2);
  const std::string history = "From the history instead";
  add_store_option(c, o.store, "compare the readings before and after an event in this history")
      ->group(history);
  c.add_option("--event", o.event, "day of the work (default: the latest bearing replacement)")
      ->type_name("DAY")
      ->group(history);
  add_machine_option(c, o.at);
  add_point_options(c, o.at);
  add_side(c, "before", o.before);
  add_side(c, "after", o.after);
  add_bearing_options(c, o.bearing);
  add_reading_options(c, o.reading);
  c.add_option("-n,--rpm", o.rpm, "shaft speed before and after: from the nameplate, or more exact")
      ->type_name("RPM")
      ->check(between(1.0, 1e6));
  c.add_option("--line-frequency", o.line_hz, "mains frequency, 50 or 60")
      ->type_name("HZ")
      ->check(between(10.0, 500.0));
  c.add_flag("--json", o.json, "print JSON");
  add_report_option(c, o.page);
  add_picture_option(c, o.page);
  add_printing_options(c, o.printing, Details::some);
}

}  // namespace cli
