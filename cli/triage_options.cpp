#include "triage_options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "asking.hpp"
#include "bearingdsp/replacement/machine_duty.hpp"
#include "checks.hpp"
#include "machine_option.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// The answers of one question and where the words for them are kept.
struct Said {
  const char* question;
  std::vector<std::string> TriageCommand::*many;
  std::string TriageCommand::*one;
};
constexpr std::array<Said, 8> said{{
    {"heard", &TriageCommand::heard, nullptr},
    {"power-off", nullptr, &TriageCommand::power_off},
    {"with load", nullptr, &TriageCommand::with_load},
    {"grease shot", nullptr, &TriageCommand::grease_shot},
    {"felt", &TriageCommand::felt, nullptr},
    {"smelt", &TriageCommand::smelt, nullptr},
    {"seen", &TriageCommand::seen, nullptr},
    {"known", &TriageCommand::facts, nullptr},
}};

std::vector<std::string> words_of(const TriageCommand& o, const Said& s) {
  if (s.many != nullptr) return o.*s.many;
  const std::string& word = o.*s.one;
  return word.empty() ? std::vector<std::string>{} : std::vector<std::string>{word};
}

void add_once(TriageAnswer answer, std::vector<TriageAnswer>& answers) {
  if (std::none_of(answers.begin(), answers.end(),
                   [&](const TriageAnswer& a) { return a.name == answer.name; }))
    answers.push_back(std::move(answer));
}

/// "growl, click": each by itself.
std::vector<std::string> listed(const std::string& text) {
  std::vector<std::string> words;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(',', at), text.size());
    const std::size_t first = text.find_first_not_of(' ', at);
    std::size_t last = end;
    while (last > at && text[last - 1] == ' ') --last;
    if (first < last) words.push_back(text.substr(first, last - first));
    at = end + 1;
  }
  return words;
}

std::string wrong_words(const TriageQuestion& q, const std::string& text) {
  const auto words = listed(text);
  if (q.kind == AnswerKind::single && words.size() > 1) return "give one answer";
  for (const std::string& word : words)
    if (const auto answer = triage_answer(q.name, word); !answer) return answer.error().message();
  return {};
}

/// The question with the cautions of its step, before anyone goes there.
void show_question(const TriageQuestion& q) {
  print_question_line("");
  print_question_line(q.ask);
  for (const Caution& c : q.cautions) print_question_line("  CAUTION: " + c.text);
}

void show_answers(const TriageQuestion& q) {
  constexpr std::size_t width = 78;
  std::string line = " ";
  for (const TriageAnswer& a : q.answers) {
    if (line.size() + a.name.size() > width) {
      print_question_line(line);
      line = " ";
    }
    line += " " + a.name + (&a == &q.answers.back() ? "" : ",");
  }
  print_question_line(line);
}

bool ask_words(TriageCommand& o, const Said& s) {
  if (!words_of(o, s).empty()) return true;
  const TriageQuestion& q = triage_question(s.question);
  show_question(q);
  show_answers(q);
  const auto answer = ask(q.kind == AnswerKind::single ? "One of them (empty: not known)"
                                                       : "With commas (empty: not known)",
                          "", [&](const std::string& text) { return wrong_words(q, text); });
  if (!answer) return false;
  if (s.many != nullptr)
    o.*s.many = listed(*answer);
  else
    o.*s.one = *answer;
  return true;
}

std::string wrong_celsius(const std::string& text) {
  double value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, code] = std::from_chars(text.data(), end, value);
  return code == std::errc{} && stop == end ? ""
                                            : "'" + text + "' is not a number; write degC like 62";
}

bool ask_celsius(std::optional<double>& to, const std::string& where) {
  if (to) return true;
  const auto answer = ask("  " + where + ", degC (empty: not measured)", "", wrong_celsius);
  if (!answer) return false;
  double value = 0;
  if (!answer->empty() &&
      std::from_chars(answer->data(), answer->data() + answer->size(), value).ec == std::errc{})
    to = value;
  return true;
}

bool ask_readings(TriageCommand& o) {
  show_question(triage_question("temperature"));
  if (!ask_celsius(o.drive_end_c, "bearing cap, drive end") ||
      !ask_celsius(o.non_drive_end_c, "bearing cap, non-drive end") ||
      !ask_celsius(o.frame_c, "frame") || !ask_celsius(o.ambient_c, "ambient"))
    return false;
  if (!o.currents.empty()) return true;
  show_question(triage_question("current"));
  const auto answer =
      ask("  three numbers with commas (empty: not measured)", "", [](const std::string& text) {
        const auto parts = numbers(text, "currents", 3, 3);
        return parts ? std::string{} : parts.error().message();
      });
  if (answer) o.currents = *answer;
  return answer.has_value();
}

std::optional<Celsius> celsius(const std::optional<double>& value) {
  return value ? std::optional{Celsius{*value}} : std::nullopt;
}

Result<HandReadings> readings_of(const TriageCommand& o) {
  HandReadings r{celsius(o.drive_end_c),
                 celsius(o.non_drive_end_c),
                 celsius(o.frame_c),
                 celsius(o.ambient_c),
                 {}};
  if (o.currents.empty()) return r;
  auto amperes = numbers(o.currents, "--current", 3, 3);
  if (!amperes) return amperes.error();
  r.currents_a = std::move(*amperes);
  return r;
}

/// What the machine file knows, in the words of triage; facts that are none of them say nothing.
Result<void> add_machine_facts(const TriageCommand& o, TriageInquiry& inquiry) {
  if (!o.diagnosis.at.given()) return {};
  const auto machine = choose_machine_aloud(o.diagnosis.at.machine);
  if (!machine) return machine.error();
  for (const std::string& fact : facts_of(*machine, inquiry.end.value_or(MachineEnd::drive_end)))
    if (auto answer = triage_answer("known", fact)) add_once(std::move(*answer), inquiry.answers);
  return {};
}

constexpr const char* noticed = "What is noticed (several words: repeat the option)";
constexpr const char* measured_group = "Measured by hand";

}  // namespace

bool nothing_said(const TriageCommand& o) {
  return std::all_of(said.begin(), said.end(),
                     [&](const Said& s) { return words_of(o, s).empty(); }) &&
         !o.drive_end_c && !o.non_drive_end_c && !o.frame_c && !o.ambient_c && o.currents.empty() &&
         o.recording.empty() && !o.diagnosis.at.given();
}

bool ask_triage(TriageCommand& o) {
  return std::all_of(said.begin(), said.end(), [&](const Said& s) { return ask_words(o, s); }) &&
         ask_readings(o);
}

Result<TriageInquiry> inquiry_of(const TriageCommand& o) {
  TriageInquiry inquiry;
  for (const Said& s : said)
    for (const std::string& word : words_of(o, s)) {
      auto answer = triage_answer(s.question, word);
      if (!answer) return answer.error();
      add_once(std::move(*answer), inquiry.answers);
    }
  const auto readings = readings_of(o);
  if (!readings) return readings.error();
  auto derived = answers_of_readings(*readings);
  if (!derived) return derived.error();
  for (TriageAnswer& a : *derived) add_once(std::move(a), inquiry.answers);
  inquiry.end = hotter_end(*readings);
  if (!o.diagnosis.at.end.empty()) {
    const auto end = parse_end(o.diagnosis.at.end);
    if (!end) return end.error();
    inquiry.end = *end;
  }
  if (const auto done = add_machine_facts(o, inquiry); !done) return done.error();
  return inquiry;
}

void add_triage_options(CLI::App& c, TriageCommand& o) {
  const auto words = [&](const char* name, std::vector<std::string>& to, const char* text,
                         const char* type) {
    c.add_option(name, to, text)
        ->type_name(type)
        ->expected(1)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
        ->group(noticed);
  };
  words("--heard", o.heard, "sound: whine, growl, click, chirp, rumble, hum ...", "SOUND");
  words("--felt", o.felt, "touch: vibration, gritty, stiff, shaft play ...", "FEEL");
  words("--smelt", o.smelt, "smell: burnt grease, burnt varnish ...", "SMELL");
  words("--seen", o.seen, "sight: smoke, grease leaks out, red-brown powder ...", "SIGHT");
  words("--fact", o.facts, "what is known: belt drive, greased recently ...", "KNOWN");
  c.add_option("--power-off", o.power_off,
               "the noise at power-off: 'stops at once', 'fades with the speed' ...")
      ->type_name("WORD")
      ->group(noticed);
  c.add_option("--with-load", o.with_load, "the noise when the load rises: louder, quieter, same")
      ->type_name("WORD")
      ->group(noticed);
  c.add_option("--grease-shot", o.grease_shot,
               "the noise after a shot of grease: 'quiet for good', 'comes back', louder, same")
      ->type_name("WORD")
      ->group(noticed);
  const auto heat = [&](const char* name, std::optional<double>& to, const char* text) {
    c.add_option(name, to, text)
        ->type_name("DEGC")
        ->check(between(-60.0, 400.0))
        ->group(measured_group);
  };
  heat("--temperature-de", o.drive_end_c, "bearing cap at the drive end, after an hour");
  heat("--temperature-nde", o.non_drive_end_c, "bearing cap at the non-drive end");
  heat("--temperature-frame", o.frame_c, "frame");
  heat("--temperature-ambient", o.ambient_c, "air around the motor");
  c.add_option("--current", o.currents, "currents of the three phases")
      ->type_name("A,B,C")
      ->group(measured_group);
  c.add_option("--recording", o.recording, "a recording that counts too, as for 'diagnose'")
      ->type_name("FILE");
  add_recorded_options(c, o.diagnosis);
  const std::string output = "Output";
  c.add_flag("--json", o.json, "print JSON")->group(output);
  add_report_option(c, o.page, output);
  add_printing_options(c, o.printing, Details::none, output);
}

}  // namespace cli
