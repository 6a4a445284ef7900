// Loaded before FFTW: its plans are made without vector instructions. Says so at the end, so that a
// test cannot take a run that this had no part in for one.
#include <dlfcn.h>
#include <fftw3.h>

#include <unistd.h>

#include <cstdio>

namespace {

struct Count {
  int plans{0};
  Count() = default;
  Count(const Count&) = delete;
  Count& operator=(const Count&) = delete;
  // The tool shuts the stream stderr to libraries.
  ~Count() { dprintf(STDERR_FILENO, "plain fftw: %d plans\n", plans); }
};
Count count;

template <class Function>
Function* next(const char* name) {
  ++count.plans;
  return reinterpret_cast<Function*>(dlsym(RTLD_NEXT, name));
}

}  // namespace

extern "C" {

fftw_plan fftw_plan_dft_r2c_1d(int n, double* in, fftw_complex* out, unsigned flags) {
  return next<decltype(fftw_plan_dft_r2c_1d)>("fftw_plan_dft_r2c_1d")(n, in, out,
                                                                      flags | FFTW_NO_SIMD);
}

fftw_plan fftw_plan_dft_c2r_1d(int n, fftw_complex* in, double* out, unsigned flags) {
  return next<decltype(fftw_plan_dft_c2r_1d)>("fftw_plan_dft_c2r_1d")(n, in, out,
                                                                      flags | FFTW_NO_SIMD);
}

fftw_plan fftw_plan_dft_1d(int n, fftw_complex* in, fftw_complex* out, int sign, unsigned flags) {
  return next<decltype(fftw_plan_dft_1d)>("fftw_plan_dft_1d")(n, in, out, sign,
                                                              flags | FFTW_NO_SIMD);
}

fftwf_plan fftwf_plan_dft_1d(int n, fftwf_complex* in, fftwf_complex* out, int sign,
                             unsigned flags) {
  return next<decltype(fftwf_plan_dft_1d)>("fftwf_plan_dft_1d")(n, in, out, sign,
                                                                flags | FFTW_NO_SIMD);
}
}
