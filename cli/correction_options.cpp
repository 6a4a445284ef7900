#include "correction_options.hpp"

#include <chrono>
#include <cstdint>

#include "checks.hpp"
#include "commands.hpp"
#include "history_options.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

bool empty(const Correction& c) {
  return !c.time && !c.shift && !c.confirm_date && !c.at && !c.load_percent && !c.kind && !c.note &&
         !c.temperature_celsius;
}

void add_why_option(CLI::App& c, CorrectionCommand& o) {
  c.add_option("--why", o.why, "reason, for the journal")->type_name("TEXT");
}

}  // namespace

Result<std::vector<EntryId>> ids_of(const CorrectionCommand& o) {
  std::vector<EntryId> ids;
  for (const std::string& number : o.numbers) {
    const auto id = parse_entry(number);
    if (!id) return id.error();
    ids.push_back(*id);
  }
  return ids;
}

Result<Correction> correction_of(const CorrectionCommand& o) {
  Correction c;
  if (!o.time.empty()) {
    const auto time = parse_time(o.time, "--time");
    if (!time) return time.error();
    c.time = *time;
  }
  if (o.shift_days)
    c.shift = std::chrono::milliseconds{static_cast<std::int64_t>(*o.shift_days * 86'400'000.0)};
  if (!o.kind.empty()) {
    c.kind = event_kind(o.kind);
    if (!c.kind) return no_kind(o.kind);
  }
  if (o.new_machine || o.new_point || o.whole_machine)
    c.at = PointKey{o.new_machine.value_or(""), o.new_point.value_or("")};
  c.confirm_date = o.confirm;
  c.new_point = o.make_point;
  c.load_percent = o.load;
  c.note = o.note;
  c.temperature_celsius = o.temperature;
  if (empty(c))
    return Error{Errc::bad_argument, "history edit", "no change is given",
                 "give --time, --point, --note ...; see 'bearingdsp history edit --help'"};
  return c;
}

void add_number_options(CLI::App& c, CorrectionCommand& o) {
  c.add_option("numbers", o.numbers, "r12 is a reading, e3 an event: see 'history entries'")
      ->type_name("NUMBER")
      ->required();
  add_why_option(c, o);
}

void add_edit_options(CLI::App& c, CorrectionCommand& o) {
  add_number_options(c, o);
  auto* time = c.add_option("--time", o.time, "date and time")->type_name("UTC");
  c.add_option("--shift", o.shift_days,
               "shift the time by this many days, for example after a wrong clock")
      ->type_name("DAYS")
      ->check(between(-40000.0, 40000.0))
      ->excludes(time);
  const std::string reading = "For a reading";
  c.add_flag("--confirm-date", o.confirm, "confirm that its date is correct")->group(reading);
  c.add_option("--machine", o.new_machine, "machine that it belongs to")
      ->type_name("NAME")
      ->group(reading);
  c.add_flag("--new-point", o.make_point, "create the point if the machine does not have it yet")
      ->group(reading);
  c.add_option("--load", o.load, "percent of the rated load")
      ->type_name("PERCENT")
      ->check(between(0.0, 500.0))
      ->group(reading);
  auto* point = c.add_option("--point", o.new_point, "measuring point that it belongs to");
  point->type_name("NAME");
  const std::string event = "For an event";
  c.add_flag("--whole-machine", o.whole_machine, "the event concerns all points")
      ->excludes(point)
      ->group(event);
  c.add_option("--kind", o.kind, "bearing-replaced, greased, repaired, alarm-acknowledged or note")
      ->type_name("KIND")
      ->group(event);
  c.add_option("--note", o.note, "free text")->type_name("TEXT")->group(event);
  c.add_option("--temperature", o.temperature, "temperature of the bearing housing")
      ->type_name("CELSIUS")
      ->check(between(-100.0, 1000.0))
      ->group(event);
}

void add_rename_options(CLI::App& c, CorrectionCommand& o) {
  c.add_option("machine", o.machine, "its name in the history")->type_name("MACHINE")->required();
  c.add_option("to", o.to, "new name of the machine or the point")->type_name("NAME")->required();
  c.add_option("--point", o.point, "rename this measuring point instead of the machine")
      ->type_name("NAME");
  c.add_flag("--join", o.join, "merge the two histories if that name exists already");
  add_why_option(c, o);
}

void add_entries_options(CLI::App& c, CorrectionCommand& o) {
  c.add_option("machine", o.machine, "as in the machine file")->type_name("MACHINE")->required();
  c.add_option("--point", o.point, "only this measuring point")->type_name("NAME");
  c.add_flag("--json", o.json, "print JSON lines");
  add_printing_options(c, o.printing);
}

void add_changes_options(CLI::App& c, CorrectionCommand& o) {
  c.add_flag("--json", o.json, "print JSON lines");
  add_printing_options(c, o.printing);
}

}  // namespace cli
