#include "balance_options.hpp"

#include <filesystem>

#include "checks.hpp"
#include "options.hpp"

namespace cli {
using namespace bearingdsp;

void add_position_options(CLI::App& command, PositionOptions& o) {
  command
      .add_option("--positions", o.count,
                  "blades or bolt holes at even distances that take weights")
      ->type_name("COUNT")
      ->check(whole_between(3, 360));
  command.add_option("--first", o.first_deg, "angle of position 1 from the mark, degrees (0)")
      ->type_name("DEG");
  command.add_option("--blocked", o.blocked, "numbers of positions that take no weight")
      ->type_name("N,N,...")
      ->delimiter(',');
  command.add_option("--step", o.step_g, "weights come in multiples of this, g (0: any mass)")
      ->type_name("G");
}

Result<std::optional<Positions>> positions_of(const PositionOptions& o) {
  if (!o.count && !o.blocked.empty())
    return Error{Errc::bad_argument, "--blocked", "is given without positions",
                 "give --positions COUNT"};
  if (!o.count) return std::optional<Positions>{};
  return std::optional{Positions{*o.count, Degrees{o.first_deg}, o.blocked}};
}

void add_angle_option(CLI::App& command, std::string& angles) {
  command
      .add_option("--angles", angles,
                  "direction in which weights and phases count from the mark: against the rotation "
                  "(default) or with it")
      ->type_name("against|with")
      ->check(CLI::IsMember({"against", "with"}));
}

AngleSense sense_of(const std::string& angles) {
  return angles == "with" ? AngleSense::with_rotation : AngleSense::against_rotation;
}

namespace {

std::string beside(const std::string& job_file, const std::string& recording) {
  return (std::filesystem::path{job_file}.parent_path() / recording).string();
}

}  // namespace

std::vector<std::string> recordings_of(const BalanceJob& job, const std::string& job_file) {
  std::vector<std::string> all;
  for (const BalanceJobRun& run : job.runs)
    for (const RunAtSpeed& at : run.at)
      if (!at.recording.empty()) all.push_back(beside(job_file, at.recording));
  return all;
}

Result<void> read_recordings(BalanceJob& job, const std::string& job_file) {
  for (BalanceJobRun& run : job.runs)
    for (RunAtSpeed& at : run.at) {
      if (at.recording.empty()) continue;
      const auto capture = read_recording(beside(job_file, at.recording), job.reading);
      if (!capture) return capture.error();
      if (auto done = take_recording(job, at, *capture); !done) return done.error();
    }
  return {};
}

}  // namespace cli
