#pragma once
/// Work timed beside a yardstick, in turns, in one run: what the measurements of cost share.
#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <ctime>
#include <functional>
#include <optional>
#include <string_view>
#include <vector>

namespace bench {

/// Processor time of this thread, which other work on the machine does not add to (though it takes
/// from the caches and the memory's bandwidth); the work measured has one thread and warm files.
inline double seconds(const std::function<void()>& work) {
  const auto now = [] {
    timespec t{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
  };
  const double from = now();
  work();
  return now() - from;
}

/// Median and quartiles.
struct Spread {
  double low{};
  double middle{};
  double high{};
};

inline Spread spread(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const auto at = [&](double q) {
    return values[static_cast<std::size_t>(q * static_cast<double>(values.size() - 1))];
  };
  return {at(0.25), at(0.5), at(0.75)};
}

struct Ratio {
  Spread of_yardstick;
  double seconds{};  ///< median of ours
};

/// The yardstick runs before and after each repetition of ours, so that a machine that slows down
/// favours neither, and once before it counts, so that it is as quick as it can be.
inline Ratio ratio(int repetitions, const std::function<void()>& yardstick,
                   const std::function<void()>& ours) {
  std::vector<double> ratios;
  std::vector<double> times;
  yardstick();
  ours();
  for (int i = 0; i < repetitions; ++i) {
    const auto warm = [&] {
      yardstick();
      return seconds(yardstick);
    };
    const double before = warm();
    const double work = seconds(ours);
    ratios.push_back(work / (0.5 * (before + warm())));
    times.push_back(work);
  }
  return {spread(std::move(ratios)), spread(std::move(times)).middle};
}

inline void row(std::string_view name, int repetitions, const std::function<void()>& yardstick,
                const std::function<void()>& ours) {
  const Spread r = ratio(repetitions, yardstick, ours).of_yardstick;
  fmt::print("{:<64} {:>8.2f} {:>8.2f} .. {:.2f}\n", name, r.middle, r.low, r.high);
}

/// The one argument of these programs; nothing if it is not a number above 0.
inline std::optional<int> repetitions(int argc, char** argv, int otherwise) {
  if (argc < 2) return otherwise;
  int n = 0;
  const std::string_view text{argv[1]};
  const auto parsed = std::from_chars(text.data(), text.data() + text.size(), n);
  if (parsed.ec != std::errc{} || parsed.ptr != text.data() + text.size() || n < 1) return {};
  return n;
}

}  // namespace bench
