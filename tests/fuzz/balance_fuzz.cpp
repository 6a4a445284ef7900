// A balancing job, as a file or as runs of a command line, is refused in one line, or solved with
// finite weights, or the answer says why it is not; what is shown of it is text.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/balancing/job.hpp"
#include "bearingdsp/report/balance.hpp"
#include "bearingdsp/report/html.hpp"
#include "bearingdsp/report/model.hpp"
#include "bearingdsp/report/text.hpp"
#include "input.hpp"
#include "invariants.hpp"

namespace {

using namespace bearingdsp;

void solve_and_show(const BalanceJob& job) {
  const auto result = solve(job);
  if (!result) return fuzz::require_error_line(result.error());
  const BalanceAnswer& answer = result->answer;
  fuzz::require(answer.usable() == !answer.planes.empty());
  for (const PlaneCorrection& p : answer.planes)
    fuzz::require(std::isfinite(p.weight.mass.value()) && p.weight.mass.value() >= 0 &&
                  p.weight.angle.value() >= 0 && p.weight.angle.value() < 360);
  for (std::size_t row = 0; row < answer.rows.size(); ++row)
    fuzz::require(!row_name(job, row).empty());
  const Report report = balance_report(*result);
  fuzz::require(!to_text(report).empty() && !to_html(report).empty());
  fuzz::require(!balance_json(*result).empty());
}

void without_phase(const std::vector<std::string>& lines) {
  FourRuns runs;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto run = parse_amplitude(lines[i]);
    if (!run) return fuzz::require_error_line(run.error());
    if (i == 0)
      runs.found = run->amplitude;
    else
      runs.runs.push_back(*run);
  }
  runs.trial = Grams{20};
  const auto answer = balance_without_phase(runs);
  if (!answer) return fuzz::require_error_line(answer.error());
  fuzz::require(!to_text(four_run_report(runs, *answer)).empty());
  fuzz::require(!four_run_json(runs, *answer).empty());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  const auto job = parse_balance_job(text, "fan.toml");
  if (!job) fuzz::require_error_line(job.error());
  if (job) solve_and_show(*job);
  const auto lines = fuzz::lines_of(text);
  const auto typed = job_of_runs(lines);
  if (!typed) fuzz::require_error_line(typed.error());
  if (typed) solve_and_show(*typed);
  without_phase(lines);
  return 0;
}
