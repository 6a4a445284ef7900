// The same verdict on a processor that can do less.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/run.hpp"
#include "paths.hpp"

#ifdef PLAIN_FFTW
namespace {

using nlohmann::json;
using test::has;

/// An environment variable for as long as this lives.
class Environment {
 public:
  Environment(std::string name, const std::string& value) : name_{std::move(name)} {
    if (const char* before = std::getenv(name_.c_str())) before_ = before;
    ::setenv(name_.c_str(), value.c_str(), 1);
  }
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;
  ~Environment() {
    if (before_.empty())
      ::unsetenv(name_.c_str());
    else
      ::setenv(name_.c_str(), before_.c_str(), 1);
  }

 private:
  std::string name_, before_;
};

/// Words the same, numbers within a share of 1e-3 or 1e-6; says where not.
void check_close(const json& a, const json& b, const std::string& at) {
  CAPTURE(at);
  if (a.is_number_float() && b.is_number_float()) {
    const double x = a.get<double>();
    const double y = b.get<double>();
    CHECK(std::abs(x - y) <= 1e-6 + 1e-3 * std::max(std::abs(x), std::abs(y)));
    return;
  }
  REQUIRE(a.type() == b.type());
  if (!a.is_structured()) {
    CHECK(a == b);
    return;
  }
  REQUIRE(a.size() == b.size());
  for (const auto& [key, value] : a.items())
    check_close(value, a.is_array() ? b.at(std::stoul(key)) : b.at(key), at + "/" + key);
}

}  // namespace

// Envelopes are made in single precision, so that what two ways of adding up differ by is 1e-7 of
// them; lines that hardly stand show it most.
TEST_CASE("without vector instructions in FFTW and the C library the diagnosis is the same") {
  struct Recording {
    const char *file, *bearing, *rpm;
  };
  for (const Recording& r :
       {Recording{"/planer-feed/2026-05-11_DE_horizontal.wav", "6205", "1432"},
        Recording{"/hydraulic-power-pack/2026-03-02_DE_vertical.wav", "6206", "1460"},
        Recording{"/dust-extraction-fan/2026-03-02_DE_horizontal.wav", "6208", "1478"}}) {
    CAPTURE(r.file);
    const std::vector<std::string> words{"diagnose",     std::string{TESTDATA_DIR} + r.file,
                                         "--bearing",    r.bearing,
                                         "--rpm",        r.rpm,
                                         "--unit",       "m/s2",
                                         "--full-scale", "128",
                                         "--json"};
    const auto ordinary = test::run(words);
    const Environment fftw{"LD_PRELOAD", PLAIN_FFTW};
    const Environment libc{"GLIBC_TUNABLES", "glibc.cpu.hwcaps=-AVX512F,-AVX2,-AVX,-FMA,-FMA4"};
    const auto plain = test::run(words);
    CHECK_FALSE(has(ordinary.err, "plain fftw"));
    REQUIRE(has(plain.err, "plain fftw: "));
    CHECK_FALSE(has(plain.err, "plain fftw: 0 plans"));
    CHECK(plain.code == ordinary.code);
    check_close(json::parse(ordinary.out), json::parse(plain.out), "");
  }
}
#endif
