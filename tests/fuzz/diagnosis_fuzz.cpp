// Samples at any rate and with any speed are diagnosed or refused in one line: the first eight
// bytes are the rate, the next eight the speed, the next the unit; the rest are samples, repeated.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "invariants.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace bearingdsp;
  constexpr std::size_t head = 17;
  if (size <= head) return 0;
  double rate = 0;
  double rpm = 0;
  std::memcpy(&rate, data, sizeof rate);
  std::memcpy(&rpm, data + 8, sizeof rpm);
  Capture capture;
  capture.source = "memory";
  capture.rate = Hz{rate};
  Channel channel{"x", static_cast<SampleUnit>(data[16] % 5), {}, {}};
  constexpr std::size_t samples = 2048;
  for (std::size_t i = 0; i < samples; ++i)
    channel.samples.push_back(static_cast<std::int8_t>(data[head + i % (size - head)]));
  capture.channels.push_back(std::move(channel));

  DiagnoseOptions options;
  if (rpm > 0) options.speed = Rpm{rpm};
  if ((data[16] & 64U) != 0) options.bearings = {*defect_orders({9, 7.94, 39.04, Degrees{0}})};
  FftPlans plans;
  const auto d = diagnose(capture, plans, options);
  if (!d) {
    fuzz::require_error_line(d.error());
    return 0;
  }
  fuzz::require(d->probability_of_damage >= 0 && d->probability_of_damage <= 1);
  fuzz::require(!d->headline.empty());
  return 0;
}
