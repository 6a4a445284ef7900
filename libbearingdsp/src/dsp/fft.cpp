#include "bearingdsp/dsp/fft.hpp"

#include <fftw3.h>

#include <algorithm>
#include <memory>
#include <mutex>
#include <new>
#include <stdexcept>
#include <vector>

#include "dsp/detail.hpp"
#include "dsp/long_fft.hpp"

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

/// FFTW's names for one precision.
template <class Real>
struct Fftw;

template <>
struct Fftw<double> {
  using Plan = fftw_plan;
  using Complex = fftw_complex;
  static int alignment(double* x) { return fftw_alignment_of(x); }
  static Plan plan(int n, Complex* a, Complex* b, int sign) {
    return fftw_plan_dft_1d(n, a, b, sign, flags | FFTW_PRESERVE_INPUT);
  }
  static void execute(Plan p, Complex* a, Complex* b) { fftw_execute_dft(p, a, b); }
  static void destroy(Plan p) { fftw_destroy_plan(p); }
};

template <>
struct Fftw<float> {
  using Plan = fftwf_plan;
  using Complex = fftwf_complex;
  static int alignment(float* x) { return fftwf_alignment_of(x); }
  static Plan plan(int n, Complex* a, Complex* b, int sign) {
    return fftwf_plan_dft_1d(n, a, b, sign, flags | FFTW_PRESERVE_INPUT);
  }
  static void execute(Plan p, Complex* a, Complex* b) { fftwf_execute_dft(p, a, b); }
  static void destroy(Plan p) { fftwf_destroy_plan(p); }
};

template <class T>
struct Scalar {
  using type = T;
};
template <class T>
struct Scalar<std::complex<T>> {
  using type = T;
};

template <class T>
bool aligned(std::span<T> x) {
  using Real = typename Scalar<std::remove_const_t<T>>::type;
  return Fftw<Real>::alignment(
             reinterpret_cast<Real*>(const_cast<std::remove_const_t<T>*>(x.data()))) == 0;
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

template <class Real>
typename Fftw<Real>::Complex* raw(const std::complex<Real>* p) {
  // FFTW's complex is layout-compatible with std::complex; its API takes no const input.
  return reinterpret_cast<typename Fftw<Real>::Complex*>(const_cast<std::complex<Real>*>(p));
}

const double* raw_reals(const std::complex<double>* p) {
  return reinterpret_cast<const double*>(p);
}

bool smooth(std::size_t n) {
  for (const std::size_t p : {2U, 3U, 5U, 7U})
    while (n % p == 0) n /= p;
  return n == 1;
}

using detail::require;

}  // namespace

/// One plan, made on first use: a command that never goes back does not pay for planning it.
template <class Real>
class LazyPlan {
  using Plan = typename Fftw<Real>::Plan;

 public:
  LazyPlan() = default;
  LazyPlan(const LazyPlan&) = delete;
  LazyPlan& operator=(const LazyPlan&) = delete;
  ~LazyPlan() {
    const std::scoped_lock lock{planner()};
    Fftw<Real>::destroy(plan_);
  }
  /// make() plans between the arrays that the plan runs on first; ESTIMATE does not touch them. Any
  /// other two as well aligned may follow.
  template <class Make>
  Plan get(const Make& make) {
    std::call_once(once_, [&] {
      const std::scoped_lock lock{planner()};
      plan_ = make();
      if (plan_ == nullptr) throw std::bad_alloc{};
    });
    return plan_;
  }

 private:
  std::once_flag once_;
  Plan plan_{nullptr};
};

struct RealFft::Plans {
  LazyPlan<double> forward;
  LazyPlan<double> inverse;
  std::unique_ptr<const detail::LongRealFft> split;
};

RealFft::RealFft(std::size_t n) : n_{n}, plans_{std::make_unique<Plans>()} {
  require(n > 0 && n <= static_cast<std::size_t>(1) << 30U, "RealFft: length must be 1 .. 2^30");
  if (detail::LongRealFft::suits(n)) plans_->split = std::make_unique<detail::LongRealFft>(n);
}

RealFft::~RealFft() = default;

void RealFft::forward(std::span<const double> x, std::span<std::complex<double>> out) const {
  require(x.size() == n_ && out.size() == bins() && x.data() != raw_reals(out.data()),
          "RealFft::forward: lengths must equal the plan's and the arrays must differ");
  if (plans_->split) return plans_->split->forward(x, out);
  const auto length = static_cast<int>(n_);
  read_aligned(x, [&](const double* in) {
    auto* const from = const_cast<double*>(in);
    write_aligned(out, [&](std::complex<double>* to) {
      const fftw_plan plan = plans_->forward.get([&] {
        return fftw_plan_dft_r2c_1d(length, from, raw<double>(to), flags | FFTW_PRESERVE_INPUT);
      });
      fftw_execute_dft_r2c(plan, from, raw<double>(to));
    });
  });
}

void RealFft::inverse(std::span<std::complex<double>> spectrum, std::span<double> out) const {
  require(out.size() == n_ && spectrum.size() == bins() && out.data() != raw_reals(spectrum.data()),
          "RealFft::inverse: lengths must equal the plan's and the arrays must differ");
  const auto length = static_cast<int>(n_);
  read_aligned(std::span<const std::complex<double>>{spectrum},
               [&](const std::complex<double>* in) {
                 write_aligned(out, [&](double* to) {
                   const fftw_plan plan = plans_->inverse.get([&] {
                     return fftw_plan_dft_c2r_1d(length, raw(in), to, flags | FFTW_DESTROY_INPUT);
                   });
                   fftw_execute_dft_c2r(plan, raw(in), to);
                 });
               });
}

template <class Real>
struct BasicComplexFft<Real>::Plans {
  LazyPlan<Real> forward;
  LazyPlan<Real> inverse;
};

template <class Real>
BasicComplexFft<Real>::BasicComplexFft(std::size_t n) : n_{n}, plans_{std::make_unique<Plans>()} {
  require(n > 0 && n <= static_cast<std::size_t>(1) << 30U, "ComplexFft: length must be 1 .. 2^30");
}

template <class Real>
BasicComplexFft<Real>::~BasicComplexFft() = default;

namespace {

template <class Real>
void transform(LazyPlan<Real>& lazy, int sign, std::span<const std::complex<Real>> x,
               std::span<std::complex<Real>> out) {
  const auto length = static_cast<int>(x.size());
  read_aligned(x, [&](const std::complex<Real>* in) {
    write_aligned(out, [&](std::complex<Real>* to) {
      const auto plan =
          lazy.get([&] { return Fftw<Real>::plan(length, raw(in), raw<Real>(to), sign); });
      Fftw<Real>::execute(plan, raw(in), raw<Real>(to));
    });
  });
}

}  // namespace

template <class Real>
void BasicComplexFft<Real>::forward(std::span<const std::complex<Real>> x,
                                    std::span<std::complex<Real>> out) const {
  require(x.size() == n_ && out.size() == n_ && x.data() != out.data(),
          "ComplexFft::forward: lengths must equal the plan's and the arrays must differ");
  transform(plans_->forward, FFTW_FORWARD, x, out);
}

template <class Real>
void BasicComplexFft<Real>::inverse(std::span<const std::complex<Real>> x,
                                    std::span<std::complex<Real>> out) const {
  require(x.size() == n_ && out.size() == n_ && x.data() != out.data(),
          "ComplexFft::inverse: lengths must equal the plan's and the arrays must differ");
  transform(plans_->inverse, FFTW_BACKWARD, x, out);
}

template class BasicComplexFft<double>;
template class BasicComplexFft<float>;

namespace {

/// A plan's tables take nearly the room of what it transforms, but a split one's. Of plans from
/// this length on the latest alone is kept: making it again costs such a recording a few per cent
/// of its diagnosis.
constexpr std::size_t long_plan = 1U << 19U;

/// What the shorter plans of one kind may hold together, so that a process that meets ever new
/// lengths does not grow: eight of the longest.
constexpr std::size_t max_points = 8 * long_plan;

/// Points that a plan counts as: its tables, and as much as the plan itself takes.
constexpr std::size_t points_of(std::size_t n) { return n + 256; }

}  // namespace

template <class Fft>
void FftPlans::evict(ByLength<Fft>& plans, std::size_t n) {
  const auto first_long = plans.lower_bound(long_plan);
  if (n >= long_plan) {
    plans.erase(first_long, plans.end());
    return;
  }
  std::size_t held = points_of(n);
  for (auto it = plans.begin(); it != first_long; ++it) held += points_of(it->first);
  while (held > max_points) {
    const auto oldest = std::min_element(
        plans.begin(), first_long,
        [](const auto& a, const auto& b) { return a.second.used < b.second.used; });
    held -= points_of(oldest->first);
    plans.erase(oldest);
  }
}

// Not made under the lock: two threads may both make one.
template <class Fft>
std::shared_ptr<const Fft> FftPlans::plan(ByLength<Fft>& plans, std::size_t n) {
  {
    const std::scoped_lock lock{mutex_};
    if (const auto it = plans.find(n); it != plans.end()) {
      it->second.used = ++uses_;
      return it->second.plan;
    }
  }
  auto made = std::make_shared<const Fft>(n);
  const std::scoped_lock lock{mutex_};
  if (const auto it = plans.find(n); it != plans.end()) return it->second.plan;
  evict(plans, n);
  return plans.try_emplace(n, Kept<Fft>{std::move(made), ++uses_}).first->second.plan;
}

std::shared_ptr<const RealFft> FftPlans::real(std::size_t n) { return plan(real_, n); }

std::shared_ptr<const ComplexFft> FftPlans::complex(std::size_t n) { return plan(complex_, n); }

std::shared_ptr<const SingleComplexFft> FftPlans::single_complex(std::size_t n) {
  return plan(single_complex_, n);
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
