// A plan of a simulation is refused in one line, or is one that written as JSON and read again is
// the same, and that simulate() refuses or can make.
#include <string>
#include <string_view>

#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/simulate/truth.hpp"
#include "invariants.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace bearingdsp;
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  auto plan = plan_from_json(text, "a.json");
  if (!plan) {
    fuzz::require_error_line(plan.error());
    return 0;
  }
  const std::string written = to_json(*plan);
  const auto again = plan_from_json(written, "b.json");
  fuzz::require(again.has_value() && to_json(*again) == written);
  // A second of a slow recorder: what is asked of time, not what is asked of the plan.
  if (plan->duration.value() > 0.05) plan->duration = Seconds{0.05};
  if (plan->rate.value() > 4000) plan->rate = Hz{4000};
  const auto made = simulate(*plan);
  if (!made) fuzz::require_error_line(made.error());
  return 0;
}
