#include "diagnose_recording.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "bearingdsp/verdict/long_recording.hpp"
#include "options.hpp"
#include "show.hpp"

namespace cli {
using namespace bearingdsp;

namespace {

/// What only the recording tells: which channel the tacho is. A speed that is taken from the file
/// is said. `quietly`: without a word, because it was said before.
Result<void> complete(PointSetup& setup, const Capture& capture, bool tacho_typed,
                      bool quietly = false) {
  DiagnoseOptions& d = setup.diagnosis;
  // One that is missing becomes a finding of the diagnosis.
  if (!d.tacho_channel.empty()) {
    const auto& chosen = setup.reading.select;
    const bool read_last = !chosen.empty() && chosen.back() == d.tacho_channel;
    auto name = channel_named(capture, d.tacho_channel, read_last);
    if (!name && tacho_typed) return name.error();
    if (name) d.tacho_channel = std::move(*name);
  }
  const bool given = d.speed.has_value();
  d = with_noted_speed(std::move(d), capture);
  if (!given && d.speed && !quietly)
    print_note(fmt::format("{}: speed {:.5g} rpm, as stated in the file", capture.source,
                           d.speed->value()));
  return {};
}

Result<Diagnosis> diagnose_capture(const Capture& capture, const DiagnosePlan& plan,
                                   FftPlans& plans, bool quietly) {
  PointSetup setup = plan.setup;
  if (const auto done = complete(setup, capture, plan.tacho_typed, quietly); !done)
    return done.error();
  if (plan.machine) return diagnose_at(capture, plans, *plan.machine, plan.point, setup);
  return diagnose(capture, plans, setup.diagnosis);
}

/// A recording that is too long to be held, in pieces.
Result<Diagnosis> diagnose_pieces(PieceReader& pieces, const DiagnosePlan& plan, FftPlans& plans) {
  bool first = true;
  LongOptions options;
  options.shaft = lowest_shaft(plan.setup.diagnosis);
  options.model = plan.setup.diagnosis.model.judgement;
  options.velocity_from = plan.setup.diagnosis.velocity_from;
  auto done = diagnose_long(
      pieces, plans,
      [&](const Capture& piece) {
        return diagnose_capture(piece, plan, plans, !std::exchange(first, false));
      },
      options);
  if (!done) return with_options(done.error());
  if (plan.machine) judge_vibration_again(done->diagnosis, *plan.machine);
  return std::move(done->diagnosis);
}

/// Says at once where a unit without the value of full scale leaves the recording uncalibrated; the
/// report has it among the details.
void note_uncalibrated(const std::string& file, const ReadOptions& reading, const Diagnosis& d) {
  if (reading.units.empty() && reading.sensitivity_mv_per_g.empty()) return;
  const auto f = std::find_if(d.findings.begin(), d.findings.end(), [](const Finding& finding) {
    return finding.kind == FindingKind::uncalibrated;
  });
  if (f != d.findings.end()) print_note(fmt::format("{}: {}; {}", file, f->what, f->advice));
}

Result<Diagnosis> read_and_diagnose(const std::string& file, const DiagnosePlan& plan,
                                    FftPlans& plans) {
  if (plan.channels_from.empty())
    if (const auto pieces = open_if_long(file, plan.setup.reading))
      return diagnose_pieces(*pieces, plan, plans);
  auto capture = read_recording(file, plan.setup.reading, plan.channels_from);
  if (!capture) return capture.error();
  capture->findings.insert(capture->findings.end(), plan.recorded.begin(), plan.recorded.end());
  return diagnose_capture(*capture, plan, plans, false);
}

}  // namespace

Result<Diagnosis> diagnose_file(const std::string& file, const DiagnosePlan& plan,
                                FftPlans& plans) {
  if (!plan.taken.empty()) print_note(file + ": " + plan.taken);
  auto d = read_and_diagnose(file, plan, plans);
  if (d) note_uncalibrated(file, plan.setup.reading, *d);
  return d;
}

}  // namespace cli
