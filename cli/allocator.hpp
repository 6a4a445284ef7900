#pragma once

namespace cli {

/// Lets the process keep the memory that it frees. The work buffers of one diagnosis come and go
/// dozens of times; by default glibc gives large ones back to the kernel each time, and a fifth of
/// the run went to mapping and zeroing them again. Elsewhere than glibc this does nothing.
void keep_freed_memory() noexcept;

}  // namespace cli
