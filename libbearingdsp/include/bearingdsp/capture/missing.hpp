#pragma once
/// Samples that are missing or not numbers, wherever a recording comes from.
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// Fills samples that are not numbers (NaN, infinite, 1e30 and beyond) by straight lines between
/// their neighbours, as every reader of files does, with a finding for each channel.
/// Shape: samples keep their length.
/// Errors: corrupt_file where more than 1 % of a channel is missing, with the first place; the
/// capture is unchanged in that channel then.
/// Source: common practice, no source
[[nodiscard]] Result<void> fill_missing(Capture& capture);

}  // namespace bearingdsp
