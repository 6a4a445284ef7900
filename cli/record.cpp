#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "asking.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "commands.hpp"
#include "record_options.hpp"
#include "show.hpp"
#include "terminal.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

Exit list_inputs(const RecordCommand& o) {
  const auto devices = input_devices();
  if (!devices) return fail(devices.error());
  auto list = nlohmann::json::array();
  if (!o.json && devices->empty()) print("no sound input: connect the sensor or sound card\n");
  for (std::size_t i = 0; i < devices->size(); ++i) {
    const InputDevice& d = (*devices)[i];
    if (o.json)
      list.push_back({{"number", i + 1},
                      {"name", d.name},
                      {"through", d.through},
                      {"channels", d.channels},
                      {"rate_hz", d.rate_hz},
                      {"usual", d.usual}});
    else
      print_line(fmt::format("{:>3}  {}  ({}, up to {}, {:g} samples/s{})", i + 1, d.name,
                             d.through, counted(d.channels, "channel"), d.rate_hz,
                             d.usual ? ", used where no other is named" : ""));
  }
  if (o.json) print(list.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n");
  return Exit::no_fault;
}

/// What is done at a stop.
enum class Answer : std::uint8_t { record, skip, end };

Answer ask_at(const RecordPlace& place, std::size_t number, std::size_t all) {
  const auto answer =
      ask(fmt::format("{} of {}: {}, {}: put the sensor there, then Enter (s: skip, q: end)",
                      number, all, place.machine, place.point),
          "", [](const std::string& text) {
            return text == "s" || text == "q" ? "" : "Enter records, s skips, q ends";
          });
  if (!can_ask()) print_question("\n");  // nobody else ended the line
  if (!answer || *answer == "q") return Answer::end;
  return *answer == "s" ? Answer::skip : Answer::record;
}

/// Records and diagnoses; nothing where the next recordings would fail too.
std::optional<Exit> record_at(const RecordCommand& o, const RecordPlace& place) {
  const auto planned = plan_take(o, place);
  if (!planned) {
    fail(planned.error());
    return std::nullopt;
  }
  OutputFiles outputs{o.page.outputs};
  const auto taken = take_recording(planned->take, outputs);
  if (!taken || taken->stopped()) {
    fail(taken ? taken->complete.error() : taken.error());
    return std::nullopt;
  }
  print_note("stored " + taken->path + (planned->place.empty() ? "" : ": " + planned->place));
  if (o.only_record) return Exit::no_fault;
  DiagnoseCommand diagnose = planned->diagnose;
  diagnose.files = {taken->path};
  return run_diagnose(diagnose);
}

/// Before anything is recorded: what could not be written then would cost the recording.
Result<void> check_outputs(const RecordCommand& o) {
  if (o.repeat && !o.out.empty())
    return Error{Errc::bad_argument, "--out", "names one file, but --repeat records several",
                 "leave it out: each file is named after its machine, point and time"};
  if (o.page.wanted() && (o.repeat || o.only_record))
    return Error{Errc::bad_argument, "--report",
                 o.repeat ? "is of one recording, but --repeat makes several"
                          : "shows the diagnosis, which --only-record leaves out",
                 "record first, then: bearingdsp diagnose FILE --report PAGE"};
  if (!o.out.empty() && !o.out.ends_with(".wav") && !o.out.ends_with(".flac"))
    return Error{Errc::bad_argument, o.out, "is neither a WAV nor a FLAC file by its name",
                 "end it with .wav or .flac"};
  if (o.page.wanted())
    if (const auto page = PageFile::create(o.page); !page) return page.error();
  return {};
}

Exit run_record(const RecordCommand& o) {
  if (o.list) return list_inputs(o);
  if (const auto fine = check_outputs(o); !fine) return fail(fine.error());
  const auto places = places_to_record(o);
  if (!places) return fail(places.error());
  Exit exit = Exit::no_fault;
  for (std::size_t i = 0; i < places->size(); ++i) {
    const RecordPlace& place = (*places)[i];
    if (o.repeat) {
      const Answer answer = ask_at(place, i + 1, places->size());
      if (answer == Answer::end) break;
      if (answer == Answer::skip) continue;
    }
    const auto done = record_at(o, place);
    if (!done) return Exit::failed;
    exit = worse(exit, *done);
  }
  return exit;
}

}  // namespace

void add_record(CLI::App& app, Run& run) {
  auto o = std::make_shared<RecordCommand>();
  CLI::App* c =
      app.add_subcommand("record",
                         "Records from a USB sensor or sound card, and diagnoses.\n"
                         "Examples: bearingdsp record --machine fan --point \"DE horizontal\"\n"
                         "          bearingdsp record --out fan.wav --bearing 6205 --rpm 1480");
  add_record_options(*c, *o);
  set_run(*c, run, o, run_record);
}

}  // namespace cli
