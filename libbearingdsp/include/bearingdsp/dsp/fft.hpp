#pragma once
/// Discrete Fourier transforms (FFTW behind them). Plans are the caller's: make one FftPlans and
/// pass it.
#include <complex>
#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <span>
#include <vector>

namespace bearingdsp {

/// Real transform of one length. Immutable after construction; execution is thread-safe.
class RealFft {
 public:
  /// n >= 1 samples; throws std::invalid_argument for 0. Planning takes the process-wide planner
  /// lock.
  explicit RealFft(std::size_t n);
  ~RealFft();
  RealFft(const RealFft&) = delete;
  RealFft& operator=(const RealFft&) = delete;

  [[nodiscard]] std::size_t size() const noexcept { return n_; }
  [[nodiscard]] std::size_t bins() const noexcept { return n_ / 2 + 1; }
  /// X[k] = sum_j x[j] exp(-2 pi i j k / n), no scaling.
  /// Shape: x [n] -> out [n/2 + 1].
  /// Errors: std::invalid_argument if a length differs.
  void forward(std::span<const double> x, std::span<std::complex<double>> out) const;
  /// x[j] = sum_k X[k] exp(+2 pi i j k / n) over the full Hermitian spectrum, no scaling (forward
  /// then inverse gives n x).
  /// Shape: spectrum [n/2 + 1] (destroyed) -> out [n].
  void inverse(std::span<std::complex<double>> spectrum, std::span<double> out) const;

 private:
  struct Plans;
  std::size_t n_;
  std::unique_ptr<Plans> plans_;
};

/// Complex transform of one length, out of place, in double or single precision. Immutable after
/// construction; execution is thread-safe. Single precision takes half the time and memory; its
/// error, about 1e-7 of the rms of the input, lies far below the noise of any sensor.
template <class Real>
class BasicComplexFft {
 public:
  /// n: points, 1 .. 2^30; throws std::invalid_argument outside.
  explicit BasicComplexFft(std::size_t n);
  ~BasicComplexFft();
  BasicComplexFft(const BasicComplexFft&) = delete;
  BasicComplexFft& operator=(const BasicComplexFft&) = delete;

  [[nodiscard]] std::size_t size() const noexcept { return n_; }
  /// exp(-) kernel, unscaled. x [n] -> out [n], different arrays; else std::invalid_argument.
  void forward(std::span<const std::complex<Real>> x, std::span<std::complex<Real>> out) const;
  /// exp(+) kernel, unscaled. x [n] -> out [n], different arrays; else std::invalid_argument.
  void inverse(std::span<const std::complex<Real>> x, std::span<std::complex<Real>> out) const;

 private:
  struct Plans;
  std::size_t n_;
  std::unique_ptr<Plans> plans_;
};

extern template class BasicComplexFft<double>;
extern template class BasicComplexFft<float>;
using ComplexFft = BasicComplexFft<double>;
using SingleComplexFft = BasicComplexFft<float>;

/// Cache of plans by length, safe to share between threads. Only planning takes a lock. The plans
/// used least recently are dropped when all of a kind hold more than some four million points, and
/// of plans from 2^19 points the latest alone is kept; a dropped plan lives on with whoever holds
/// it.
class FftPlans {
 public:
  std::shared_ptr<const RealFft> real(std::size_t n);
  std::shared_ptr<const ComplexFft> complex(std::size_t n);
  std::shared_ptr<const SingleComplexFft> single_complex(std::size_t n);

 private:
  template <class Fft>
  struct Kept {
    std::shared_ptr<const Fft> plan;
    std::uint64_t used;  ///< value of uses_ when it was last asked for
  };
  template <class Fft>
  using ByLength = std::map<std::size_t, Kept<Fft>>;

  template <class Fft>
  std::shared_ptr<const Fft> plan(ByLength<Fft>& plans, std::size_t n);
  template <class Fft>
  static void evict(ByLength<Fft>& plans, std::size_t n);

  std::mutex mutex_;
  std::uint64_t uses_{0};
  ByLength<RealFft> real_;
  ByLength<ComplexFft> complex_;
  ByLength<SingleComplexFft> single_complex_;
};

/// Smallest length >= n whose only prime factors are 2, 3, 5 and 7 (n >= 1).
[[nodiscard]] std::size_t good_fft_size(std::size_t n);
/// Largest length <= n whose only prime factors are 2, 3, 5 and 7 (n >= 1).
[[nodiscard]] std::size_t good_fft_size_below(std::size_t n);

}  // namespace bearingdsp
