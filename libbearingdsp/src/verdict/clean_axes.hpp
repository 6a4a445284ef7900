#pragma once
/// The chosen channels without what is none of the machine's steady vibration: a recorder's wrong
/// samples, and isolated shocks from outside.
#include <cstddef>
#include <deque>
#include <span>
#include <string>
#include <vector>

#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/glitch.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// Views of samples, with the samples that are not another's. Views stay valid while it lives.
struct CleanAxes {
  std::deque<std::vector<double>> samples;
  std::vector<SignalView> views;
  std::vector<std::vector<Glitch>> glitches;  ///< of repaired_channels(): what was replaced
};

/// The channels with single wrong samples replaced, in the order of `chosen`. Levels and everything
/// else are computed from these; assess_quality() says what was found.
CleanAxes repaired_channels(const Capture& capture, std::span<const std::size_t> chosen);

/// Axes with isolated shocks brought down to the level of the rest, for everything that looks for
/// what repeats; a finding for each axis that had some.
/// Shape: names: of the axes
CleanAxes without_isolated_shocks(std::span<const SignalView> axes,
                                  std::span<const std::string> names, Findings& findings);

/// The channels that were diagnosed, as recorded.
std::vector<SignalView> diagnosed_axes(const Capture& capture, const Diagnosis& diagnosis);

}  // namespace bearingdsp
