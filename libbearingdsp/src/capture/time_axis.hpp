#pragma once
/// From time stamps to a rate, and what is odd about them.
#include <cstddef>
#include <functional>
#include <span>
#include <string>

#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/result.hpp"
#include "even_axis.hpp"

namespace bearingdsp::capture_detail {

struct TimeAxis {
  double rate{};         ///< Hz; 0 where the stamps say none
  double uncertainty{};  ///< of the rate by the rounding of the stamps, as a fraction
  EvenAxis even;         ///< empty where the stamps are even
  Findings findings;
};

/// t [n]: time stamps times scale are seconds. place(i) names where stamp i stands ("data.csv:17").
/// known_rate: a rate was given, so stamps that go back are a finding instead of an error.
/// Errors: too_short (fewer than two), corrupt_file (stamps go back or stand still).
/// Missing samples on an even grid of stamps, and stamps that leave an even axis by more than a
/// tenth of a step, are put right by `even`.
Result<TimeAxis> analyse_time(std::span<double> t, double scale, bool known_rate,
                              const std::function<std::string(std::size_t)>& place);

/// The decimal grid 10^-k that all stamps lie on (their printed resolution), or 0 if there is none.
double printed_resolution(std::span<const double> t) noexcept;

}  // namespace bearingdsp::capture_detail
