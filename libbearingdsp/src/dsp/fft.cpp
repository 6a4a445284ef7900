#include "bearingdsp/dsp/fft.hpp"

#include <fftw3.h>

#include <stdexcept>

namespace bearingdsp {
namespace {

// FFTW executes from any thread but plans and destroys from one only.
std::mutex& planner() {
  static std::mutex m;
  return m;
}

// ESTIMATE keeps results repeatable; UNALIGNED lets a span start anywhere.
constexpr unsigned flags = FFTW_ESTIMATE | FFTW_UNALIGNED;

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

}  // namespace

struct RealFft::Plans {
  fftw_plan forward{nullptr};
  fftw_plan inverse{nullptr};
};

RealFft::RealFft(std::size_t n) : n_{n}, plans_{std::make_unique<Plans>()} {
  require(n > 0 && n <= static_cast<std::size_t>(1) << 30U, "RealFft: length must be 1 .. 2^30");
  // ESTIMATE does not touch the arrays, but the planner wants pointers of the kind that will be
  // used.
  std::vector<double> x(n);
  std::vector<std::complex<double>> y(n / 2 + 1);
  const std::scoped_lock lock{planner()};
  const int length = static_cast<int>(n);
  plans_->forward =
      fftw_plan_dft_r2c_1d(length, x.data(), raw(y.data()), flags | FFTW_PRESERVE_INPUT);
  plans_->inverse =
      fftw_plan_dft_c2r_1d(length, raw(y.data()), x.data(), flags | FFTW_DESTROY_INPUT);
  if (plans_->forward == nullptr || plans_->inverse == nullptr) throw std::bad_alloc{};
}

RealFft::~RealFft() {
  const std::scoped_lock lock{planner()};
  fftw_destroy_plan(plans_->forward);
  fftw_destroy_plan(plans_->inverse);
}

void RealFft::forward(std::span<const double> x, std::span<std::complex<double>> out) const {
  require(x.size() == n_ && out.size() == bins(),
          "RealFft::forward: length differs from the plan's");
  fftw_execute_dft_r2c(plans_->forward, const_cast<double*>(x.data()), raw(out.data()));
}

void RealFft::inverse(std::span<std::complex<double>> spectrum, std::span<double> out) const {
  require(out.size() == n_ && spectrum.size() == bins(),
          "RealFft::inverse: length differs from the plan's");
  fftw_execute_dft_c2r(plans_->inverse, raw(spectrum.data()), out.data());
}

struct ComplexFft::Plans {
  fftw_plan forward{nullptr};
  fftw_plan inverse{nullptr};
};

ComplexFft::ComplexFft(std::size_t n) : n_{n}, plans_{std::make_unique<Plans>()} {
  require(n > 0 && n <= static_cast<std::size_t>(1) << 30U, "ComplexFft: length must be 1 .. 2^30");
  std::vector<std::complex<double>> x(n);
  std::vector<std::complex<double>> y(n);
  const std::scoped_lock lock{planner()};
  const int length = static_cast<int>(n);
  plans_->forward = fftw_plan_dft_1d(length, raw(x.data()), raw(y.data()), FFTW_FORWARD,
                                     flags | FFTW_PRESERVE_INPUT);
  plans_->inverse = fftw_plan_dft_1d(length, raw(x.data()), raw(y.data()), FFTW_BACKWARD,
                                     flags | FFTW_PRESERVE_INPUT);
  if (plans_->forward == nullptr || plans_->inverse == nullptr) throw std::bad_alloc{};
}

ComplexFft::~ComplexFft() {
  const std::scoped_lock lock{planner()};
  fftw_destroy_plan(plans_->forward);
  fftw_destroy_plan(plans_->inverse);
}

void ComplexFft::forward(std::span<const std::complex<double>> x,
                         std::span<std::complex<double>> out) const {
  require(x.size() == n_ && out.size() == n_ && x.data() != out.data(),
          "ComplexFft::forward: lengths must equal the plan's and the arrays must differ");
  fftw_execute_dft(plans_->forward, raw(x.data()), raw(out.data()));
}

void ComplexFft::inverse(std::span<const std::complex<double>> x,
                         std::span<std::complex<double>> out) const {
  require(x.size() == n_ && out.size() == n_ && x.data() != out.data(),
          "ComplexFft::inverse: lengths must equal the plan's and the arrays must differ");
  fftw_execute_dft(plans_->inverse, raw(x.data()), raw(out.data()));
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
