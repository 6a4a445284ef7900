#pragma once
/// Single samples that no vibration makes: bit errors, lost words, sparks in a cable.
///
/// A blow at a machine makes structures ring for many samples; a recorder's error is over after one
/// or two. One of them can outweigh a whole recording's bearing impacts.
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/core/quantity.hpp"

namespace bearingdsp {

/// Samples first <= i < first + count; count is 1 or 2.
struct Glitch {
  std::size_t first{0};
  std::size_t count{1};
};

/// Samples that are far from the local median, beyond what the recording's own spread explains, and
/// far beyond their neighbours within eight samples. Impulses that repeat at even intervals (as of
/// a power supply), or stand at more than one sample in two hundred, are part of the signal and not
/// reported.
/// Shape:  x [n] -> glitches in order; none for fewer than 64 samples
/// Errors: none; a sample that is not finite is no glitch
/// Source: median filter as detector of outliers [tukey1977] chapter 7; limits: glitch.cpp
[[nodiscard]] std::vector<Glitch> find_glitches(std::span<const double> x, Hz rate);

/// The samples with straight lines across the glitches.
/// Shape:  x [n] -> [n].
/// Errors: std::invalid_argument if a glitch lies outside x
[[nodiscard]] std::vector<double> without_glitches(std::span<const double> x,
                                                   std::span<const Glitch> glitches);

}  // namespace bearingdsp
