#pragma once
/// Which sample rate is right where several are said.
#include "reader.hpp"

namespace bearingdsp::capture_detail {

/// No recorder of vibration samples faster than some megahertz; far above it, arithmetic on the
/// number of samples would leave the range of whole numbers. False for what is not a number.
[[nodiscard]] bool possible_rate(double rate) noexcept;

/// Sets the rate of the capture, and says in a finding where its sources contradict each other. The
/// rate given comes first, then the time column, then the header. Two sources of the file that
/// differ by more than 1 % are a blocking finding unless a third agrees with the one that is used.
/// Errors: corrupt_file (no possible rate), missing_metadata (none)
Result<void> settle_rate(Capture& capture, const Finish& finish, const ReadOptions& options);

/// Puts the samples onto the even axis of the time column, unless the rate given says otherwise.
void settle_axis(Capture& capture, const Finish& finish);

}  // namespace bearingdsp::capture_detail
