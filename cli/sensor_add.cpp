#include <fmt/format.h>

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "asking.hpp"
#include "bearingdsp/capture/file_unit.hpp"
#include "bearingdsp/machine/plant.hpp"
#include "bearingdsp/machine/toml_text.hpp"
#include "checks.hpp"
#include "machine_add.hpp"
#include "options.hpp"
#include "output_file.hpp"
#include "plant.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

struct SensorAddCommand {
  Sensor sensor;
  std::vector<std::string> channels;
  std::optional<double> rate_hz;
  bool usual{false};
};

std::string sensor_table(const SensorAddCommand& o) {
  TomlLines t{"[[sensor]]"};
  t.add("name", o.sensor.name);
  t.add("note", o.sensor.note);
  t.add("unit", o.sensor.unit);
  t.add("sensitivity_mv_per_g", o.sensor.sensitivity_mv_per_g);
  t.add("full_scale", o.sensor.full_scale);
  t.add("rate_hz", o.rate_hz);
  t.add("channel", o.channels);
  t.add("input", o.sensor.input);
  return t.text();
}

/// Asks for unit and full scale, where neither they nor a sensitivity were typed.
void ask_sensor(Sensor& s) {
  const auto unit = ask("Unit of the samples, for example g or m/s2 (empty: not known)", s.unit,
                        [](const std::string& text) {
                          const auto known = parse_file_unit(text);
                          return known ? std::string{} : known.error().message();
                        });
  if (!unit || unit->empty()) return;
  s.unit = *unit;
  const auto scale = ask("Measuring range, full scale of audio files in " + s.unit +
                             ", see the data sheet (empty: not known)",
                         "", wrong_number);
  if (scale && !scale->empty()) s.full_scale = numbers(*scale, "full scale", 1, 1)->front();
}

Exit run_sensor_add(SensorAddCommand o) {
  const auto plant = required_plant();
  if (!plant) return fail(plant.error());
  if (o.sensor.unit.empty() && !o.sensor.full_scale && !o.sensor.sensitivity_mv_per_g && can_ask())
    ask_sensor(o.sensor);
  auto file = EditedFile::open(plant->path);
  if (!file) return fail(file.error());
  std::string text = with_table(file->text(), sensor_table(o));
  if (o.usual) text = with_key(text, "default_sensor", o.sensor.name);
  const auto changed = parse_plant(text, plant->path);
  if (!changed) return fail(changed.error());
  if (auto done = file->save(text); !done) return fail(done.error());
  print_line(fmt::format(
      "added to {}: sensor {}{}", plant->path, o.sensor.name,
      changed->usual_sensor()->name == o.sensor.name ? ", used where nothing else is said" : ""));
  return Exit::no_fault;
}

}  // namespace

void add_sensor_add(CLI::App& sensor, Run& run) {
  auto o = std::make_shared<SensorAddCommand>();
  CLI::App* c =
      sensor.add_subcommand("add",
                            "Adds a sensor with its recorder to the plant folder.\n"
                            "Example: bearingdsp sensor add magnet --unit g --full-scale 10");
  c->add_option("name", o->sensor.name, "name of the sensor")->type_name("NAME")->required();
  c->add_option("-u,--unit", o->sensor.unit, "unit of the samples: g, m/s2, mm/s, V ...")
      ->type_name("UNIT");
  c->add_option("--full-scale", o->sensor.full_scale, "full-scale value of audio files, in --unit")
      ->type_name("VALUE");
  c->add_option("--sensitivity", o->sensor.sensitivity_mv_per_g,
                "sensitivity of the accelerometer; full scale is then in volts")
      ->type_name("MV/G");
  c->add_option("--rate", o->rate_hz, "samples per second, where the file does not state it")
      ->type_name("HZ")
      ->transform(sampling_rate());
  c->add_option("-c,--channel", o->channels, "channel to read; can be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
  c->add_option("--input", o->sensor.input,
                "input of this computer that it is connected to: bearingdsp record --list")
      ->type_name("NAME");
  c->add_option("--note", o->sensor.note, "free text")->type_name("TEXT");
  c->add_flag("--default", o->usual, "use it where nothing else is said");
  set_run(*c, run, o, run_sensor_add);
}

}  // namespace cli
