#pragma once
/// Samples from a thread that may not wait to one that may: one writes, one reads, nothing is
/// locked or allocated after the start.
#include <algorithm>
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace cli {

class SampleRing {
 public:
  explicit SampleRing(std::size_t samples) : samples_(std::max<std::size_t>(samples, 1)) {}

  /// By the writing thread. Gives how many of them there was room for.
  std::size_t push(std::span<const std::int32_t> in) noexcept {
    const std::uint64_t written = written_.load(std::memory_order_relaxed);
    const std::uint64_t used = written - read_.load(std::memory_order_acquire);
    const std::size_t n = std::min(in.size(), samples_.size() - static_cast<std::size_t>(used));
    for (std::size_t i = 0; i < n; ++i) samples_[(written + i) % samples_.size()] = in[i];
    written_.store(written + n, std::memory_order_release);
    return n;
  }
  /// By the writing thread.
  [[nodiscard]] std::size_t room() const noexcept {
    return samples_.size() - static_cast<std::size_t>(written_.load(std::memory_order_relaxed) -
                                                      read_.load(std::memory_order_acquire));
  }
  /// By the reading thread. Gives how many there were.
  std::size_t pop(std::span<std::int32_t> out) noexcept {
    const std::uint64_t read = read_.load(std::memory_order_relaxed);
    const std::uint64_t ready = written_.load(std::memory_order_acquire) - read;
    const auto n = static_cast<std::size_t>(std::min<std::uint64_t>(out.size(), ready));
    for (std::size_t i = 0; i < n; ++i) out[i] = samples_[(read + i) % samples_.size()];
    read_.store(read + n, std::memory_order_release);
    return n;
  }
  /// Samples read since the start.
  [[nodiscard]] std::uint64_t read() const noexcept {
    return read_.load(std::memory_order_relaxed);
  }
  /// Samples written since the start.
  [[nodiscard]] std::uint64_t written() const noexcept {
    return written_.load(std::memory_order_relaxed);
  }

 private:
  std::vector<std::int32_t> samples_;
  std::atomic<std::uint64_t> written_{0}, read_{0};
};

}  // namespace cli
