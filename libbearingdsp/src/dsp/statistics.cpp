#include "bearingdsp/dsp/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numeric>
#include <optional>
#include <utility>

#include "dsp/detail.hpp"

namespace bearingdsp {
namespace {

using detail::real;
using detail::require;
using detail::sum_of;

void require_some(std::span<const double> x) {
  require(!x.empty(), "statistics: the array is empty");
}

std::vector<double> ordered_copy(std::span<const double> x) {
  require_some(x);
  require(std::none_of(x.begin(), x.end(), [](double v) { return std::isnan(v); }),
          "order statistics: the array contains NaN");
  return {x.begin(), x.end()};
}

/// The values of ranks `rank` and `rank` + 1 (the last one again where there is none), which are put
/// in their places.
std::pair<double, double> two_ranks(std::vector<double>& v, std::size_t rank) {
  const auto it = v.begin() + static_cast<std::ptrdiff_t>(rank);
  std::nth_element(v.begin(), it, v.end());
  const double a = *it;
  return {a, it + 1 == v.end() ? a : *std::min_element(it + 1, v.end())};
}

/// The same of a long array: every n-th value tells between which two the ranks lie, and only what
/// lies between is put in order. None where a sample is no good guess.
std::optional<std::pair<double, double>> two_ranks_between(const std::vector<double>& v,
                                                           std::size_t rank) {
  constexpr std::size_t sampled = 4096;
  constexpr std::size_t beside = 160;  // five standard deviations of the median of a sample
  if (v.size() < 8 * sampled) return std::nullopt;
  const std::size_t stride = v.size() / sampled;
  std::vector<double> sample(sampled);
  for (std::size_t i = 0; i < sampled; ++i) sample[i] = v[i * stride];
  std::sort(sample.begin(), sample.end());
  const std::size_t middle = std::min(rank / stride, sampled - 1);
  if (middle < beside || middle + beside >= sampled) return std::nullopt;
  const double low = sample[middle - beside];
  const double high = sample[middle + beside];
  std::size_t below = 0;
  std::size_t count = 0;
  for (const double x : v) {
    below += x < low ? 1U : 0U;
    count += x >= low && x <= high ? 1U : 0U;
  }
  if (rank < below || rank + 1 >= below + count) return std::nullopt;
  std::vector<double> between;
  between.reserve(count);
  for (const double x : v)
    if (x >= low && x <= high) between.push_back(x);
  return two_ranks(between, rank - below);
}

/// Linear interpolation between order statistics at position p in [0, n - 1].
double at_rank(std::vector<double>& v, double p) {
  const auto low = static_cast<std::size_t>(p);
  const auto between = two_ranks_between(v, low);
  const auto [a, b] = between ? *between : two_ranks(v, low);
  const double fraction = p - real(low);
  return fraction == 0 ? a : a + fraction * (b - a);
}

std::vector<double> mirrored(std::span<const double> x, std::size_t half, std::size_t total) {
  std::vector<double> e(total, x.back());
  for (std::size_t i = 0; i < half; ++i) {
    e[i] = x[half - i];
    e[half + x.size() + i] = x[x.size() - 2 - i];
  }
  std::copy(x.begin(), x.end(), e.begin() + static_cast<std::ptrdiff_t>(half));
  return e;
}

/// One block of a running median: its values in a sorted doubly linked list from which values are
/// unlinked and relinked in O(1), and a cursor with `small` values before it.
class SortedBlock {
 public:
  explicit SortedBlock(std::size_t k) : k_{k}, rank_(k), next_(k + 1), prev_(k + 1) {}

  void load(const double* values, std::size_t cursor_rank) {
    values_ = values;
    std::iota(rank_.begin(), rank_.end(), std::uint32_t{0});
    std::sort(rank_.begin(), rank_.end(), [&](std::uint32_t a, std::uint32_t b) {
      return values[a] < values[b] || (values[a] == values[b] && a < b);
    });
    std::size_t p = k_;
    for (const std::size_t q : rank_) {
      next_[p] = static_cast<std::uint32_t>(q);
      prev_[q] = static_cast<std::uint32_t>(p);
      p = q;
    }
    next_[p] = static_cast<std::uint32_t>(k_);
    prev_[k_] = static_cast<std::uint32_t>(p);
    cursor_ = rank_[cursor_rank];
    small_ = cursor_rank;
  }
  void unlink_all() {
    for (std::size_t i = k_; i-- > 0;) unlink(i);
    cursor_ = k_;
    small_ = 0;
  }
  void remove(std::size_t i) {
    unlink(i);
    if (before_cursor(i)) {
      --small_;
      return;
    }
    if (cursor_ == i) cursor_ = next_[i];
    if (small_ > 0) {
      cursor_ = prev_[cursor_];
      --small_;
    }
  }
  void restore(std::size_t i) {
    next_[prev_[i]] = static_cast<std::uint32_t>(i);
    prev_[next_[i]] = static_cast<std::uint32_t>(i);
    if (before_cursor(i)) cursor_ = prev_[cursor_];
  }
  void advance() {
    cursor_ = next_[cursor_];
    ++small_;
  }
  [[nodiscard]] bool at_end() const { return cursor_ == k_; }
  [[nodiscard]] double front() const {
    return at_end() ? std::numeric_limits<double>::infinity() : values_[cursor_];
  }
  [[nodiscard]] std::size_t small() const { return small_; }

 private:
  void unlink(std::size_t i) {
    next_[prev_[i]] = next_[i];
    prev_[next_[i]] = prev_[i];
  }
  [[nodiscard]] bool before_cursor(std::size_t i) const {
    return at_end() || values_[i] < values_[cursor_] ||
           (values_[i] == values_[cursor_] && i < cursor_);
  }

  std::size_t k_;
  const double* values_{nullptr};
  std::vector<std::uint32_t> rank_, next_, prev_;
  std::size_t cursor_{0}, small_{0};
};

/// Below this the deviations are the rounding of the mean, not a signal.
bool above_rounding(double variance, double mean) {
  const double rounding = 4 * std::numeric_limits<double>::epsilon() * std::abs(mean);
  return !(variance <= rounding * rounding);
}

}  // namespace

Moments moments(std::span<const double> x) {
  require_some(x);
  const double n = real(x.size());
  double m = sum_of(x, [](double v) { return v; }) / n;
  m += sum_of(x, [m](double v) { return v - m; }) / n;
  double s2[4] = {};
  double s3[4] = {};
  double s4[4] = {};
  const auto add = [&](double v, std::size_t j) {
    const double d = v - m;
    const double d2 = d * d;
    s2[j] += d2;
    s3[j] += d2 * d;
    s4[j] += d2 * d2;
  };
  const std::size_t whole = x.size() / 4 * 4;
  for (std::size_t i = 0; i < whole; i += 4)
    for (std::size_t j = 0; j < 4; ++j) add(x[i + j], j);
  for (std::size_t i = whole; i < x.size(); ++i) add(x[i], i - whole);
  const auto total = [n](const double* s) { return ((s[0] + s[1]) + (s[2] + s[3])) / n; };
  Moments r;
  r.mean = m;
  r.variance = total(s2);
  if (!above_rounding(r.variance, m)) {
    r.variance = 0;
    return r;
  }
  const double sd = std::sqrt(r.variance);
  r.skewness = total(s3) / r.variance / sd;
  r.kurtosis = total(s4) / r.variance / r.variance;
  return r;
}

double mean(std::span<const double> x) {
  require_some(x);
  const double m = sum_of(x, [](double v) { return v; }) / real(x.size());
  return m + sum_of(x, [m](double v) { return v - m; }) / real(x.size());
}

double rms(std::span<const double> x) {
  require_some(x);
  return std::sqrt(sum_of(x, [](double v) { return v * v; }) / real(x.size()));
}

double peak(std::span<const double> x) {
  require_some(x);
  double p = 0;
  for (const double v : x) p = std::max(p, std::abs(v));
  return p;
}

double variance(std::span<const double> x) {
  require_some(x);
  const double m = mean(x);
  // The sums of moments(), in its order.
  double sums[4] = {};
  const std::size_t whole = x.size() / 4 * 4;
  for (std::size_t i = 0; i < whole; i += 4)
    for (std::size_t j = 0; j < 4; ++j) sums[j] += (x[i + j] - m) * (x[i + j] - m);
  for (std::size_t i = whole; i < x.size(); ++i) sums[i - whole] += (x[i] - m) * (x[i] - m);
  const double v = ((sums[0] + sums[1]) + (sums[2] + sums[3])) / real(x.size());
  return above_rounding(v, m) ? v : 0;
}
double skewness(std::span<const double> x) { return moments(x).skewness; }
double kurtosis(std::span<const double> x) { return moments(x).kurtosis; }

double crest_factor(std::span<const double> x) {
  const double r = rms(x);
  return r > 0 ? peak(x) / r : 0;
}

double median(std::span<const double> x) { return quantile(x, 0.5); }

double quantile(std::span<const double> x, double q) {
  require(q >= 0 && q <= 1, "quantile: q must lie in 0 .. 1");
  auto v = ordered_copy(x);
  return at_rank(v, real(v.size() - 1) * q);
}

double median_absolute_deviation(std::span<const double> x) {
  auto v = ordered_copy(x);
  const double centre = at_rank(v, real(v.size() - 1) * 0.5);
  for (double& a : v) a = std::abs(a - centre);
  return at_rank(v, real(v.size() - 1) * 0.5);
}

namespace {

/// Median of seven by a fixed order of exchanges. Without a branch, so that a compiler runs it on
/// several windows at once: a tenth of the cost of SortedBlock.
template <class T>
constexpr T median_of_seven(T a, T b, T c, T d, T e, T f, T g) {
  const auto exchange = [](T& low, T& high) {
    const T least = high < low ? high : low;
    high = high < low ? low : high;
    low = least;
  };
  exchange(a, f);
  exchange(a, d);
  exchange(b, g);
  exchange(c, e);
  exchange(a, b);
  exchange(d, f);
  exchange(c, g);
  exchange(c, d);
  exchange(d, g);
  exchange(e, f);
  exchange(b, e);
  exchange(b, d);
  exchange(d, e);
  return d;
}

/// A network that selects rightly from all zeros and ones selects rightly from all numbers.
constexpr bool selects_the_median() {
  for (unsigned bits = 0; bits < 128; ++bits) {
    const auto at = [bits](unsigned i) { return static_cast<int>(bits >> i & 1U); };
    const int ones = at(0) + at(1) + at(2) + at(3) + at(4) + at(5) + at(6);
    if (median_of_seven(at(0), at(1), at(2), at(3), at(4), at(5), at(6)) != (ones > 3 ? 1 : 0))
      return false;
  }
  return true;
}
static_assert(selects_the_median());

std::vector<double> running_median_of_seven(std::span<const double> x) {
  const auto e = mirrored(x, 3, x.size() + 6);
  const double* w = e.data();
  std::vector<double> y(x.size());
  for (std::size_t i = 0; i < y.size(); ++i, ++w)
    y[i] = median_of_seven(w[0], w[1], w[2], w[3], w[4], w[5], w[6]);
  return y;
}

}  // namespace

std::vector<double> running_median(std::span<const double> x, std::size_t half) {
  require_some(x);
  require(std::none_of(x.begin(), x.end(), [](double v) { return std::isnan(v); }),
          "running_median: NaN has no place in an order");
  require(x.size() < (std::size_t{1} << 31U), "running_median: more than 2^31 samples");
  half = std::min(half, x.size() - 1);
  if (half == 0) return {x.begin(), x.end()};
  if (half == 3) return running_median_of_seven(x);
  const std::size_t k = 2 * half + 1;
  const std::size_t blocks = (x.size() + 2 * half + k - 1) / k;
  const auto e = mirrored(x, half, blocks * k);
  std::vector<double> y;
  y.reserve(blocks * k);
  SortedBlock out{k};
  SortedBlock in{k};
  in.load(e.data(), half);
  y.push_back(in.front());
  for (std::size_t b = 1; b < blocks; ++b) {
    std::swap(out, in);
    in.load(e.data() + b * k, half);
    in.unlink_all();
    for (std::size_t i = 0; i < k; ++i) {
      out.remove(i);
      in.restore(i);
      if (out.small() + in.small() < half) {
        if (!out.at_end() && (in.at_end() || out.front() <= in.front()))
          out.advance();
        else
          in.advance();
      }
      y.push_back(std::min(out.front(), in.front()));
    }
  }
  y.resize(x.size());
  return y;
}

std::vector<double> running_mean(std::span<const double> x, std::size_t half) {
  require_some(x);
  half = std::min(half, x.size() - 1);
  const std::size_t k = 2 * half + 1;
  const auto e = mirrored(x, half, x.size() + 2 * half);
  std::vector<double> y(x.size());
  // Restart the sum every window length: a sliding difference would collect rounding forever and
  // leave the trace of a large value behind it.
  double before = 0;
  std::vector<double> tail(k + 1);
  for (std::size_t start = 0; start < x.size(); start += k) {
    tail[k] = 0;
    for (std::size_t i = k; i-- > 0;)
      tail[i] = tail[i + 1] + (start + i < e.size() ? e[start + i] : 0.0);
    before = 0;
    for (std::size_t i = 0; i < k && start + i < x.size(); ++i) {
      y[start + i] = (tail[i] + before) / real(k);
      if (start + k + i < e.size()) before += e[start + k + i];
    }
  }
  return y;
}

Line fit_line(std::span<const double> x) {
  require_some(x);
  const double n = real(x.size());
  const double m = mean(x);
  if (x.size() == 1) return {m, 0};
  const double centre = (n - 1) / 2;
  double sum = 0;
  for (std::size_t i = 0; i < x.size(); ++i) sum += (real(i) - centre) * (x[i] - m);
  const double slope = sum * 12 / (n * (n * n - 1));
  return {m - slope * centre, slope};
}

std::vector<double> remove_mean(std::span<const double> x) {
  const double m = mean(x);
  std::vector<double> y(x.begin(), x.end());
  for (double& v : y) v -= m;
  return y;
}

std::vector<double> remove_line(std::span<const double> x) {
  const Line line = fit_line(x);
  std::vector<double> y(x.begin(), x.end());
  for (std::size_t i = 0; i < y.size(); ++i) y[i] -= line.offset + line.slope * real(i);
  return y;
}

}  // namespace bearingdsp
