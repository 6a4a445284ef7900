#include "bearingdsp/triage/triage.hpp"

#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "asking.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/report/triage.hpp"
#include "commands.hpp"
#include "diagnose_recording.hpp"
#include "show.hpp"
#include "triage_options.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// The questions with their words; as a page to take along to the machine.
Exit print_questions(const TriageCommand& o, PageFile& page) {
  const Report report = triage_questions_report();
  if (const auto written = page.write(report); !written) return fail(written.error());
  if (o.json)
    print(triage_questions_json() + "\n");
  else
    show(report, o.printing);
  return Exit::no_fault;
}

/// Nothing where no recording was named.
Result<std::optional<Diagnosis>> diagnosis_of(const TriageCommand& o) {
  if (o.recording.empty()) return std::optional<Diagnosis>{};
  DiagnoseCommand d = o.diagnosis;
  d.files = {o.recording};
  const auto plans = diagnose_plans(d);
  if (!plans) return plans.error();
  FftPlans fft;
  auto diagnosis = diagnose_file(o.recording, plans->plans.front(), fft);
  if (!diagnosis) return diagnosis.error();
  return std::optional{std::move(*diagnosis)};
}

Exit run_triage(TriageCommand o) {
  auto page = PageFile::create(o.page, {o.recording});
  if (!page) return fail(page.error());
  if (nothing_said(o)) {
    if (o.json || !can_ask()) return print_questions(o, *page);
    if (!ask_triage(o))
      return fail({Errc::bad_argument, "triage", "was ended before the last question",
                   "give the options, or answer the questions"});
  }
  const auto inquiry = inquiry_of(o);
  if (!inquiry) return fail(inquiry.error());
  const auto diagnosis = diagnosis_of(o);
  if (!diagnosis) return fail(diagnosis.error());
  const auto done = triage(*inquiry, *diagnosis ? &**diagnosis : nullptr);
  if (!done) return fail(done.error());
  const Report report = triage_report(*done);
  if (const auto written = page->write(report); !written) return fail(written.error());
  if (o.json)
    print(triage_json(*done) + "\n");
  else
    show(report, o.printing);
  return exit_of(done->assessment.urgency);
}

}  // namespace

void add_triage(CLI::App& app, Run& run) {
  auto o = std::make_shared<TriageCommand>();
  CLI::App* c = app.add_subcommand(
      "triage",
      "A motor is noisy or hot: what is probably wrong, how urgent, what to record next.\n"
      "Needs no accelerometer. On a terminal without options it asks step by step.\n"
      "Example: bearingdsp triage --heard growl --power-off fades --grease-shot \"comes back\"");
  add_triage_options(*c, *o);
  set_run(*c, run, o, run_triage);
}

}  // namespace cli
