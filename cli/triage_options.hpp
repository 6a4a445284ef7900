#pragma once
/// What `triage` is given: typed, or asked for on a terminal.
#include <CLI/CLI.hpp>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/triage/triage.hpp"
#include "diagnose_options.hpp"
#include "page_file.hpp"
#include "show.hpp"

namespace cli {

struct TriageCommand {
  std::vector<std::string> heard, felt, smelt, seen, facts;
  std::string power_off, with_load, grease_shot;
  std::optional<double> drive_end_c, non_drive_end_c, frame_c, ambient_c;
  std::string currents;
  std::string recording;
  DiagnoseCommand diagnosis;  ///< of the recording: bearing, machine, speed, how to read it
  PageOptions page;
  bool json{false};
  Printing printing;
};

void add_triage_options(CLI::App& command, TriageCommand& options);
/// Whether nothing was said of the motor itself.
[[nodiscard]] bool nothing_said(const TriageCommand& options);
/// Asks every question on the terminal, each caution before its step; false at the end of the
/// input.
[[nodiscard]] bool ask_triage(TriageCommand& options);
/// The answers, with the facts of the machine file and those that follow from the numbers.
/// Errors: those of triage_answer(), answers_of_readings() and the machine file
[[nodiscard]] bearingdsp::Result<bearingdsp::TriageInquiry> inquiry_of(
    const TriageCommand& options);

}  // namespace cli
