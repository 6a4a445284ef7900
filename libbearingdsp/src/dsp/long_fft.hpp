#pragma once
/// A long real transform by short ones. Internal to dsp/.
#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "bearingdsp/dsp/fft.hpp"

namespace bearingdsp::detail {

/// Forward real transform of n samples by complex ones of about sqrt(n/2) points, each run while it
/// lies in the cache. One plan for the whole length keeps tables as large as the recording, takes
/// as long to make as two to three transforms, and from 2^18 points on waits for memory.
/// Source: [bailey1990] (four steps); [cooley1970] (real samples as half as many complex ones).
class LongRealFft {
 public:
  /// Whether n is long enough to gain, and splits evenly enough: any length that good_fft_size()
  /// gives does if it is even.
  [[nodiscard]] static bool suits(std::size_t n);

  /// n: a length that suits.
  explicit LongRealFft(std::size_t n);
  /// As RealFft::forward(): x [n] -> out [n/2 + 1]. Neither need be aligned.
  void forward(std::span<const double> x, std::span<std::complex<double>> out) const;

 private:
  using Complex = std::complex<double>;

  /// exp(-2 pi i t / n), from two tables of about sqrt(n).
  [[nodiscard]] Complex root(std::size_t t) const;
  void columns(std::span<const double> x, std::span<Complex> out, std::vector<Complex>& rows) const;
  void one_row(std::size_t k, std::span<Complex> out, std::vector<Complex>& rows) const;
  void two_sides(std::size_t from, std::size_t count, std::span<Complex> out,
                 std::vector<Complex>& rows) const;

  std::size_t n_;
  std::size_t n1_;
  std::size_t n2_;
  ComplexFft first_;
  ComplexFft second_;
  unsigned fine_bits_{0};
  std::vector<Complex> fine_;
  std::vector<Complex> coarse_;
};

}  // namespace bearingdsp::detail
