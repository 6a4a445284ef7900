#include "record_options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "bearingdsp/capture/length.hpp"
#include "bearingdsp/core/letters.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/verdict/long_recording.hpp"
#include "checks.hpp"
#include "plant.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// A name as a part of the name of a file: find_names() finds it in there again.
std::string file_word(const std::string& name) {
  std::string out;
  for (const char c : name) out += in_word(c) || c == '.' ? c : '-';
  return out;
}

/// "recordings/fan_2026-03-02_07-45-10_DE-horizontal.wav"
std::string usual_name(const DiagnosePlan& plan, const std::optional<Plant>& plant) {
  std::string time = format_time(system_time()).substr(0, 19);
  for (char& c : time) c = c == ':' ? '-' : c == 'T' ? '_' : c;
  std::string name = (plan.machine ? file_word(plan.machine->name) : "recording") + "_" + time;
  if (plan.machine) name += "_" + file_word(plan.point.name);
  std::string folder = plant ? plant->recordings : "";
  if (!folder.empty() && folder.back() != '/') folder += '/';
  return folder + name + ".wav";
}

DiagnoseCommand diagnosis_of(const RecordCommand& o, const RecordPlace& place) {
  DiagnoseCommand d;
  // Without a name the file is of the place alone.
  d.files = {o.out.empty() ? "recording.wav" : o.out};
  d.at.machine = place.machine;
  d.at.end = o.at.end;
  if (!place.point.empty()) d.points = {place.point};
  d.bearing = o.bearing;
  d.reading.units = o.units;
  d.reading.full_scale = o.full_scale;
  if (o.sensitivity) d.reading.sensitivities = {*o.sensitivity};
  d.rpm = o.rpm;
  d.page = o.page;
  d.json = o.json;
  d.printing = o.printing;
  return d;
}

/// As many channels as the facts of the sensor number; else one.
Result<int> channels_for(const RecordCommand& o, const ReadOptions& reading) {
  if (o.channels) return *o.channels;
  int most = 1;
  for (const std::string& name : reading.select) {
    const auto digits = name.find_last_not_of("0123456789") + 1;
    int number = 0;
    const char* const end = name.data() + name.size();
    if (std::from_chars(name.data() + digits, end, number).ec != std::errc{} || number < 1)
      return Error{Errc::bad_argument, "channel '" + name + "'", "is not a number of an input",
                   "write 1, 2 ... in plant.toml, or give --channels"};
    most = std::max(most, number);
  }
  return most;
}

Result<void> check_sensor(const std::string& sensor, const std::optional<Plant>& plant) {
  if (sensor.empty() || (plant && find_sensor(plant->sensors, sensor) != nullptr)) return {};
  return Error{Errc::not_found, "--sensor", "the plant has no sensor '" + sensor + "'",
               "add it with: bearingdsp sensor add"};
}

/// What lies beside the recording, apart from what it tells itself.
RecordingNotes notes_of(const RecordCommand& o, const DiagnosePlan& plan, const std::string& sensor,
                        const std::optional<Plant>& plant) {
  RecordingNotes n;
  if (plan.machine && plant) {
    n.machine = plan.machine->name;
    n.point = plan.point.name;
  }
  n.sensor = sensor;
  if (o.rpm) n.speed = Rpm{*o.rpm};
  n.load_percent = o.load_percent;
  n.gain = o.gain;
  n.note = o.note;
  return n;
}

std::vector<DefectOrders> orders_of(const DiagnoseOptions& d) {
  std::vector<DefectOrders> all;
  for (const BearingCandidate& c : d.bearings) all.push_back(c.orders);
  return all;
}

Result<Machine> only_machine(const Plant& plant) {
  const auto machines = plant_machines(plant);
  if (!machines) return machines.error();
  if (machines->size() == 1) return machines->front();
  return Error{Errc::bad_argument, plant.path, fmt::format("has {} machines", machines->size()),
               machines->empty() ? "add one with: bearingdsp machine add; or give --out FILE"
                                 : "choose one with --machine NAME, or all with --repeat"};
}

Result<std::vector<RecordPlace>> stops(const RecordCommand& o) {
  const auto plant = required_plant();
  if (!plant) return plant.error();
  const auto route = plant_route(*plant);
  if (!route) return route.error();
  std::vector<RecordPlace> places;
  std::string wanted = o.at.machine;
  if (!wanted.empty()) {
    const auto machine = choose_machine(wanted);
    if (!machine) return machine.error();
    wanted = machine->name;
  }
  for (const RoutePoint& p : route->points)
    if (wanted.empty() || route->machine_of(p).name == wanted)
      places.push_back({route->machine_of(p).name, route->point_of(p).name});
  if (places.empty())
    return Error{Errc::not_found, route->path, "no stop of the route is at '" + wanted + "'",
                 "add it with: bearingdsp route add"};
  return places;
}

}  // namespace

Result<std::vector<RecordPlace>> places_to_record(const RecordCommand& o) {
  if (o.repeat) return stops(o);
  if (!o.at.machine.empty() || !o.out.empty())
    return std::vector<RecordPlace>{{o.at.machine, o.at.point}};
  const auto plant = plant_here();
  if (!plant) return plant.error();
  if (!*plant) return std::vector<RecordPlace>{{}};
  const auto machine = only_machine(**plant);
  if (!machine) return machine.error();
  return std::vector<RecordPlace>{{machine->name, o.at.point}};
}

Result<PlannedTake> plan_take(const RecordCommand& o, const RecordPlace& place) {
  const auto plant = plant_here();
  if (!plant) return plant.error();
  if (auto done = check_sensor(o.sensor, *plant); !done) return done.error();
  PlannedTake planned;
  Take& t = planned.take;
  planned.diagnose = diagnosis_of(o, place);
  const auto plans = diagnose_plans(planned.diagnose);
  if (!plans) return plans.error();
  const DiagnosePlan& plan = plans->plans.front();
  t.path = o.out.empty() ? usual_name(plan, *plant) : o.out;
  const auto channels = channels_for(o, plan.setup.reading);
  if (!channels) return channels.error();
  const std::string sensor = o.sensor.empty() ? plan.sensor : o.sensor;
  const Sensor* facts = *plant ? find_sensor((*plant)->sensors, sensor) : nullptr;
  const auto devices = input_devices();
  if (!devices) return devices.error();
  const auto device =
      choose_input(*devices, o.input.empty() && facts != nullptr ? facts->input : o.input);
  if (!device) return device.error();
  t.input_name = (*devices)[*device].name;
  t.input = {*device, *channels, o.rate_hz, 0};
  if (!o.rate_hz && plan.setup.reading.rate) t.input.rate_hz = plan.setup.reading.rate->value();
  const DiagnoseOptions& d = plan.setup.diagnosis;
  t.seconds = o.seconds.value_or(length_to_record(lowest_shaft(d), orders_of(d)).value());
  t.input.seconds = t.seconds;
  t.listen_seconds = o.listen_seconds;
  t.notes = notes_of(o, plan, sensor, *plant);
  if (plan.machine) planned.place = plan.machine->name + ", " + plan.point.name;
  return planned;
}

void add_record_options(CLI::App& c, RecordCommand& o) {
  add_output_option(c, o.page.outputs, "-o,--out", o.out,
                    "file to record to, .wav or .flac (named after machine, time and point)");
  add_report_option(c, o.page);
  c.add_flag("--list", o.list, "list the inputs of this computer, and end");
  c.add_flag("--repeat", o.repeat,
             "one recording for each stop of the route, asking before each: Enter records, s "
             "skips, q ends");
  c.add_flag("--only-record", o.only_record, "do not diagnose what was recorded");
  const std::string input = "The input";
  c.add_option("--input", o.input, "input by name, part of it, or number of --list")
      ->type_name("NAME")
      ->group(input);
  c.add_option("--rate", o.rate_hz, "samples per second (that of the sensor, else of the input)")
      ->type_name("HZ")
      ->transform(sampling_rate())
      ->group(input);
  c.add_option("--channels", o.channels, "number of channels (1, or as the sensor says)")
      ->type_name("N")
      ->check(whole_between(1, 64))
      ->group(input);
  c.add_option("--seconds", o.seconds, "length (what the speed and the bearing need)")
      ->type_name("S")
      ->check(between(0.1, 3600))
      ->group(input);
  c.add_option("--listen", o.listen_seconds,
               "listen first, and warn of clipping, silence and hum (1; on a terminal until Enter)")
      ->type_name("S")
      ->check(between(0, 60))
      ->group(input);
  c.add_option("--sensor", o.sensor, "sensor of the plant folder")->type_name("NAME")->group(input);
  c.add_option("--gain", o.gain, "setting of the input, to be noted")
      ->type_name("TEXT")
      ->group(input);
  c.add_option("--note", o.note, "free text, to be noted")->type_name("TEXT")->group(input);
  add_machine_option(c, o.at);
  add_point_options(c, o.at);
  add_bearing_options(c, o.bearing);
  const std::string facts = "The recording";
  c.add_option("-n,--rpm", o.rpm, "shaft speed while recording")
      ->type_name("RPM")
      ->check(between(1.0, 1e6))
      ->group(facts);
  c.add_option("--load", o.load_percent, "load while recording, of the rated one")
      ->type_name("PERCENT")
      ->check(between(0, 500))
      ->group(facts);
  c.add_option("-u,--unit", o.units, "unit of full scale: g, m/s2, mm/s, V ...")
      ->type_name("UNIT")
      ->group(facts);
  c.add_option("--full-scale", o.full_scale, "value of full scale, in --unit")
      ->type_name("VALUE")
      ->group(facts);
  c.add_option("--sensitivity", o.sensitivity,
               "sensitivity of the accelerometer; full scale is then in volts")
      ->type_name("MV/G")
      ->group(facts);
  c.add_flag("--json", o.json, "print the diagnosis, or the list, as JSON");
  add_printing_options(c, o.printing, Details::some);
}

}  // namespace cli
