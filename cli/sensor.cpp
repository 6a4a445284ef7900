#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/capture/calibrator.hpp"
#include "bearingdsp/report/calibration.hpp"
#include "checks.hpp"
#include "commands.hpp"
#include "machine_add.hpp"
#include "options.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct CalibrateCommand {
  std::string file;
  double level{10};
  double hz{159.15};
  std::string level_unit{"m/s2"};
  ReadingOptions reading;
  bool json{false};
  Printing printing;
};

/// The channel of the calibrator: the only one, or the one that was chosen; in pieces where it is
/// too long to be held.
Result<std::vector<Capture>> read_calibration(const CalibrateCommand& o) {
  auto captures = read_captures(o.file, read_options(o.reading), 1);
  if (!captures) return captures;
  if (captures->front().channels.size() > 1)
    return Error{Errc::bad_argument, o.file, "has several channels",
                 "choose the channel of the calibrator with --channel"};
  return captures;
}

Exit run_calibrate(const CalibrateCommand& o) {
  const auto captures = read_calibration(o);
  if (!captures) return fail(captures.error());
  const auto tone = find_calibration_tone(*captures, 0, Hz{o.hz});
  if (!tone) return fail(tone.error());
  const Channel& channel = captures->front().channels.front();
  CalibrationResult result;
  result.source = o.file;
  result.tone = *tone;
  result.level = AccelerationRms{o.level_unit == "g" ? from_g(o.level) : o.level};
  result.unit = channel.unit;
  result.fractions = channel.unit == SampleUnit::uncalibrated && channel.full_scale.has_value();
  result.scale = scale_of(*tone, result.level);
  if (channel.unit == SampleUnit::velocity || channel.unit == SampleUnit::displacement)
    return fail({Errc::bad_argument, o.file, "is not acceleration or volts",
                 "give a recording without a unit, in volts or in m/s2"});
  if (o.json)
    print(calibration_json(result) + "\n");
  else
    show(calibration_report(result), o.printing);
  return Exit::no_fault;
}

void add_calibrate(CLI::App& sensor, Run& run) {
  auto o = std::make_shared<CalibrateCommand>();
  CLI::App* c = sensor.add_subcommand(
      "calibrate",
      "Finds full scale or sensitivity from a recording of a vibration calibrator.\n"
      "Example: bearingdsp sensor calibrate cal.wav --level 10 --frequency 159.15");
  c->add_option("file", o->file, "recording of the calibrator, 1 s or longer")
      ->type_name("FILE")
      ->required();
  c->add_option("--level", o->level, "level of the calibrator, rms (10)")
      ->type_name("VALUE")
      ->check(between(1e-3, 1e4));
  c->add_option("--level-unit", o->level_unit, "unit of the level: m/s2 or g (m/s2)")
      ->type_name("UNIT")
      ->check(CLI::IsMember({"m/s2", "g"}));
  c->add_option("--frequency", o->hz, "frequency of the calibrator (159.15)")
      ->type_name("HZ")
      ->check(between(1.0, 1e5));
  add_reading_options(*c, o->reading);
  c->add_flag("--json", o->json, "print JSON");
  add_printing_options(*c, o->printing);
  set_run(*c, run, o, run_calibrate);
}

}  // namespace

void add_sensor(CLI::App& app, Run& run) {
  CLI::App* sensor = app.add_subcommand("sensor", "Sensors and their calibration");
  sensor->require_subcommand(1);
  add_sensor_add(*sensor, run);
  add_calibrate(*sensor, run);
}

}  // namespace cli
