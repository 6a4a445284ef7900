#include "bearingdsp/dsp/fft.hpp"

#include <fftw3.h>

#include <algorithm>
#include <memory>
#include <mutex>
#include <new>
#include <stdexcept>
#include <vector>

namespace bearingdsp {
namespace {

// FFTW executes from any thread but plans and destroys from one only.
std::mutex& planner() {
  static std::mutex m;
  return m;
}

// ESTIMATE keeps results repeatable. Not FFTW_UNALIGNED: planning takes up to 40 times as long with
// it and execution twice; what starts off a vector's boundary is copied instead.
constexpr unsigned flags = FFTW_ESTIMATE;

template <class T>
bool aligned(std::span<T> x) {
  return fftw_alignment_of(
             reinterpret_cast<double*>(const_cast<std::remove_const_t<T>*>(x.data()))) == 0;
}

/// Runs on x, or on an aligned copy of it.
template <class T, class Run>
void read_aligned(std::span<const T> x, const Run& run) {
  if (aligned(x)) return run(x.data());
  const std::vector<T> copy(x.begin(), x.end());
  run(copy.data());
}

/// Runs into y, or into an aligned array that is copied there.
template <class T, class Run>
void write_aligned(std::span<T> y, const Run& run) {
  if (aligned(y)) return run(y.data());
  std::vector<T> copy(y.size());
  run(copy.data());
  std::copy(copy.begin(), copy.end(), y.begin());
}

fftw_complex* raw(const std::complex<double>* p) {
  // FFTW's complex is layout-compatible with std::complex; its API takes no const input.
  return reinterpret_cast<fftw_complex*>(const_cast<std::complex<double>*>(p));
}

bool smooth(std::size_t n) {
  for (const std::size_t p : {2U, 3U, 5U, 7U})
    while (n % p == 0) n /= p;
  return n == 1;
}

void require(bool ok, const char* what) {
  if (!ok) throw std::invalid_argument{what};
}

/// One plan, made on first use: a command that never goes back does not pay for planning it.
class LazyPlan {
 public:
  LazyPlan() = default;
  LazyPlan(const LazyPlan&) = delete;
  LazyPlan& operator=(const LazyPlan&) = delete;
  ~LazyPlan() {
    const std::scoped_lock lock{planner()};
    fftw_destroy_plan(plan_);
  }
  /// make(a, b) plans between two arrays of 2n doubles that ESTIMATE does not touch.
  template <class Make>
  fftw_plan get(std::size_t n, const Make& make) {
    std::call_once(once_, [&] {
      const auto a = std::make_unique_for_overwrite<double[]>(2 * n + 2);
      const auto b = std::make_unique_for_overwrite<double[]>(2 * n + 2);
      const std::scoped_lock lock{planner()};
      plan_ = make(static_cast<int>(n), a.get(), b.get());
      if (plan_ == nullptr) throw std::bad_alloc{};
    });
    return plan_;
  }

 private:
  std::once_flag once_;
  fftw_plan plan_{nullptr};
};

fftw_complex* as_complex(double* p) { return reinterpret_cast<fftw_complex*>(p); }

}  // namespace

struct RealFft::Plans {
  LazyPlan forward;
  LazyPlan inverse;
};

RealFft::RealFft(std::size_t n) : n_{n}, plans_{std::make_unique<Plans>()} {
  require(n > 0 && n <= static_cast<std::size_t>(1) << 30U, "RealFft: length must be 1 .. 2^30");
}

RealFft::~RealFft() = default;

void RealFft::forward(std::span<const double> x, std::span<std::complex<double>> out) const {
  require(x.size() == n_ && out.size() == bins(),
          "RealFft::forward: length differs from the plan's");
  const fftw_plan plan = plans_->forward.get(n_, [](int n, double* a, double* b) {
    return fftw_plan_dft_r2c_1d(n, a, as_complex(b), flags | FFTW_PRESERVE_INPUT);
  });
  read_aligned(x, [&](const double* in) {
    write_aligned(out, [&](std::complex<double>* to) {
      fftw_execute_dft_r2c(plan, const_cast<double*>(in), raw(to));
    });
  });
}

void RealFft::inverse(std::span<std::complex<double>> spectrum, std::span<double> out) const {
  require(out.size() == n_ && spectrum.size() == bins(),
          "RealFft::inverse: length differs from the plan's");
  const fftw_plan plan = plans_->inverse.get(n_, [](int n, double* a, double* b) {
    return fftw_plan_dft_c2r_1d(n, as_complex(a), b, flags | FFTW_DESTROY_INPUT);
  });
  read_aligned(std::span<const std::complex<double>>{spectrum},
               [&](const std::complex<double>* in) {
                 write_aligned(out, [&](double* to) { fftw_execute_dft_c2r(plan, raw(in), to); });
               });
}

struct ComplexFft::Plans {
  LazyPlan forward;
  LazyPlan inverse;
};

ComplexFft::ComplexFft(std::size_t n) : n_{n}, plans_{std::make_unique<Plans>()} {
  require(n > 0 && n <= static_cast<std::size_t>(1) << 30U, "ComplexFft: length must be 1 .. 2^30");
}

ComplexFft::~ComplexFft() = default;

namespace {

void execute(fftw_plan plan, std::span<const std::complex<double>> x,
             std::span<std::complex<double>> out) {
  read_aligned(x, [&](const std::complex<double>* in) {
    write_aligned(out, [&](std::complex<double>* to) { fftw_execute_dft(plan, raw(in), raw(to)); });
  });
}

}  // namespace

void ComplexFft::forward(std::span<const std::complex<double>> x,
                         std::span<std::complex<double>> out) const {
  require(x.size() == n_ && out.size() == n_ && x.data() != out.data(),
          "ComplexFft::forward: lengths must equal the plan's and the arrays must differ");
  const fftw_plan plan = plans_->forward.get(n_, [](int n, double* a, double* b) {
    return fftw_plan_dft_1d(n, as_complex(a), as_complex(b), FFTW_FORWARD,
                            flags | FFTW_PRESERVE_INPUT);
  });
  execute(plan, x, out);
}

void ComplexFft::inverse(std::span<const std::complex<double>> x,
                         std::span<std::complex<double>> out) const {
  require(x.size() == n_ && out.size() == n_ && x.data() != out.data(),
          "ComplexFft::inverse: lengths must equal the plan's and the arrays must differ");
  const fftw_plan plan = plans_->inverse.get(n_, [](int n, double* a, double* b) {
    return fftw_plan_dft_1d(n, as_complex(a), as_complex(b), FFTW_BACKWARD,
                            flags | FFTW_PRESERVE_INPUT);
  });
  execute(plan, x, out);
}

std::shared_ptr<const RealFft> FftPlans::real(std::size_t n) {
  {
    const std::scoped_lock lock{mutex_};
    if (const auto it = real_.find(n); it != real_.end()) return it->second;
  }
  auto made = std::make_shared<const RealFft>(n);
  const std::scoped_lock lock{mutex_};
  return real_.try_emplace(n, std::move(made)).first->second;
}

std::shared_ptr<const ComplexFft> FftPlans::complex(std::size_t n) {
  {
    const std::scoped_lock lock{mutex_};
    if (const auto it = complex_.find(n); it != complex_.end()) return it->second;
  }
  auto made = std::make_shared<const ComplexFft>(n);
  const std::scoped_lock lock{mutex_};
  return complex_.try_emplace(n, std::move(made)).first->second;
}

std::size_t good_fft_size(std::size_t n) {
  require(n > 0, "good_fft_size: n must be at least 1");
  while (!smooth(n)) ++n;
  return n;
}

std::size_t good_fft_size_below(std::size_t n) {
  require(n > 0, "good_fft_size_below: n must be at least 1");
  while (!smooth(n)) --n;
  return n;
}

}  // namespace bearingdsp
