#include "dsp/long_fft.hpp"

#include <algorithm>
#include <array>

#include "dsp/detail.hpp"

namespace bearingdsp::detail {
namespace {

using Complex = std::complex<double>;

constexpr std::size_t shortest = std::size_t{1} << 16U;
constexpr std::size_t max_uneven = 16;
/// Transforms that are filled at once: neighbours in memory, 256 bytes.
constexpr std::size_t together = 16;
/// Rows do not begin a power of two apart, which would crowd them into a few places of the cache.
constexpr std::size_t gap = 4;

/// The largest divisor up to the square root.
std::size_t lesser_half(std::size_t n) {
  std::size_t best = 1;
  for (std::size_t d = 2; d * d <= n; ++d)
    if (n % d == 0) best = d;
  return best;
}

/// A product without the standard operator's look for infinities.
Complex times(Complex a, Complex b) {
  return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

/// Lines k and n/2 - k of the real samples, out of the same two of the complex ones. w = exp(-2 pi
/// i k / n).
void part(Complex here, Complex mirror, Complex w, Complex& line, Complex& mirror_line) {
  const Complex other = std::conj(mirror);
  const Complex even = 0.5 * (here + other);
  const Complex half = 0.5 * (here - other);
  const Complex odd = times({half.imag(), -half.real()}, w);
  line = even + odd;
  mirror_line = std::conj(even - odd);
}

}  // namespace

bool LongRealFft::suits(std::size_t n) {
  if (n < shortest || n % 2 != 0) return false;
  const std::size_t lesser = lesser_half(n / 2);
  return n / 2 <= max_uneven * lesser * lesser;
}

LongRealFft::LongRealFft(std::size_t n)
    : n_{n}, n1_{lesser_half(n / 2)}, n2_{n / 2 / n1_}, first_{n1_}, second_{n2_} {
  while ((std::size_t{1} << (2 * fine_bits_)) < n) ++fine_bits_;
  const auto turn = [&](std::size_t t) { return std::polar(1.0, -2 * pi * real(t) / real(n)); };
  for (std::size_t t = 0; t < std::size_t{1} << fine_bits_; ++t) fine_.push_back(turn(t));
  for (std::size_t t = 0; t <= n; t += fine_.size()) coarse_.push_back(turn(t));
}

Complex LongRealFft::root(std::size_t t) const {
  return times(coarse_[t >> fine_bits_], fine_[t & (fine_.size() - 1)]);
}

void LongRealFft::forward(std::span<const double> x, std::span<Complex> out) const {
  require(x.size() == n_ && out.size() == n_ / 2 + 1, "LongRealFft: lengths differ");
  std::vector<Complex> rows((2 * together + 1) * (n2_ + gap));
  columns(x, out, rows);
  one_row(0, out, rows);
  if (n1_ % 2 == 0) one_row(n1_ / 2, out, rows);
  const std::size_t end = (n1_ + 1) / 2;
  for (std::size_t k = 1; k < end; k += together)
    two_sides(k, std::min(together, end - k), out, rows);
}

// With z[j] = x[2j] + i x[2j+1] and j = n2 j1 + j2: for each j2 the transform over j1, turned by
// exp(-2 pi i j2 k1 / (n1 n2)), as row j2 of out.
void LongRealFft::columns(std::span<const double> x, std::span<Complex> out,
                          std::vector<Complex>& rows) const {
  const std::size_t length = n1_ + gap;
  const std::span<Complex> done{rows.data() + together * length, n1_};
  for (std::size_t from = 0; from < n2_; from += together) {
    const std::size_t count = std::min(together, n2_ - from);
    for (std::size_t j = 0; j < n1_; ++j) {
      const double* const z = x.data() + 2 * (j * n2_ + from);
      for (std::size_t i = 0; i < count; ++i) rows[i * length + j] = {z[2 * i], z[2 * i + 1]};
    }
    for (std::size_t i = 0; i < count; ++i) {
      first_.forward(std::span{rows}.subspan(i * length, n1_), done);
      const std::size_t step = 2 * (from + i);
      std::array<Complex, together> near;
      for (std::size_t k = 0; k < together; ++k) near[k] = root(step * k % n_);
      Complex* const row = out.data() + (from + i) * n1_;
      for (std::size_t k = 0; k < n1_; k += together) {
        const Complex far = root(step * k % n_);
        const std::size_t end = std::min(together, n1_ - k);
        for (std::size_t q = 0; q < end; ++q) row[k + q] = times(done[k + q], times(far, near[q]));
      }
    }
  }
}

// Column k1 of out transformed over j2 holds lines k1 + n1 k2 of z; its mirror is column n1 - k1.
// Here the two that are their own mirrors.
void LongRealFft::one_row(std::size_t k, std::span<Complex> out, std::vector<Complex>& rows) const {
  const std::span<Complex> z{rows.data(), n2_};
  const std::span<Complex> column{rows.data() + n2_ + gap, n2_};
  for (std::size_t j = 0; j < n2_; ++j) column[j] = out[j * n1_ + k];
  second_.forward(column, z);
  if (k == 0) {
    out[0] = z[0].real() + z[0].imag();
    out[n_ / 2] = z[0].real() - z[0].imag();
  }
  const std::size_t first = k == 0 ? 1 : 0;
  const std::size_t sum = k == 0 ? n2_ : n2_ - 1;
  for (std::size_t a = first; 2 * a <= sum; ++a) {
    const std::size_t b = sum - a;
    part(z[a], z[b], root(k + a * n1_), out[k + a * n1_], out[k + b * n1_]);
  }
}

// Columns from .. from + count - 1 and their mirrors, written where they were read.
void LongRealFft::two_sides(std::size_t from, std::size_t count, std::span<Complex> out,
                            std::vector<Complex>& rows) const {
  const std::size_t mirror = n1_ - from - count + 1;
  const std::size_t length = n2_ + gap;
  const auto row = [&](std::size_t i) { return std::span{rows}.subspan(i * length, n2_); };
  // One row further than where they end: each transform leaves its place to the next.
  for (std::size_t j = 0; j < n2_; ++j) {
    const Complex* const a = out.data() + j * n1_ + from;
    const Complex* const b = out.data() + j * n1_ + mirror;
    for (std::size_t i = 0; i < count; ++i) rows[(1 + i) * length + j] = a[i];
    for (std::size_t i = 0; i < count; ++i) rows[(1 + count + i) * length + j] = b[i];
  }
  for (std::size_t i = 0; i < 2 * count; ++i) second_.forward(row(1 + i), row(i));
  std::array<Complex, together> near;
  for (std::size_t i = 0; i < count; ++i) near[i] = root(from + i);
  for (std::size_t k = 0; k < n2_; ++k) {
    const std::size_t other = n2_ - 1 - k;
    const Complex far = root(k * n1_);
    Complex* const a = out.data() + k * n1_ + from;
    Complex* const b = out.data() + other * n1_ + mirror;
    for (std::size_t i = 0; i < count; ++i)
      part(rows[i * length + k], rows[(2 * count - 1 - i) * length + other], times(near[i], far),
           a[i], b[count - 1 - i]);
  }
}

}  // namespace bearingdsp::detail
