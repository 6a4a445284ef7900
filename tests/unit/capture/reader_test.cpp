// Readings that contradict each other, and values that cannot be: rates, units, speeds, stamps.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "bearingdsp/capture/contents.hpp"
#include "bearingdsp/capture/quality.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "support/close.hpp"

namespace {

using namespace bearingdsp;

Result<Capture> parse(std::string_view text, const ReadOptions& options = {}) {
  return read_capture_bytes(std::as_bytes(std::span{text}), "a.csv", options);
}
Capture good(std::string_view text, const ReadOptions& options = {}) {
  auto r = parse(text, options);
  REQUIRE_MESSAGE(r.has_value(), (r ? std::string{} : r.error().message()));
  return *std::move(r);
}
const Finding* of_kind(const Findings& findings, FindingKind kind) {
  const auto at = std::find_if(findings.begin(), findings.end(),
                               [&](const Finding& f) { return f.kind == kind; });
  return at == findings.end() ? nullptr : &*at;
}
/// 400 rows a thousandth of a second apart behind a header.
std::string under(const std::string& header) {
  std::string text = header + "\nt [s],x [m/s2]\n";
  for (int i = 0; i < 400; ++i) text += fmt::format("{:.3f},{}\n", i * 1e-3, (i * 7) % 11);
  return text;
}
std::string without_time(const std::string& header) {
  std::string text = header + "\nx;y\n";
  for (int i = 0; i < 40; ++i) text += fmt::format("{};{}\n", (i * 7) % 11, (i * 5) % 9);
  return text;
}

constexpr double rate = 10000;
double sine(double t, double f) { return std::sin(2 * std::numbers::pi * f * t); }

}  // namespace

TEST_CASE("half of the samples are missing: the rest keep their time [src:closed-form sine]") {
  Random random{5};
  std::string text = "t [s],x [m/s2]\n";
  std::vector<bool> there;
  for (int i = 0; i < 20000; ++i) {
    there.push_back(i == 0 || i == 19999 || random.uniform() < 0.5);
    if (there.back()) text += fmt::format("{:.7f},{:.9g}\n", i / rate, sine(i / rate, 180));
  }
  const Capture c = good(text);
  CHECK(c.rate == Hz{rate});
  REQUIRE(c.size() == 20000);
  double worst = 0;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double error =
        std::abs(c.channels[0].samples[i] - sine(static_cast<double>(i) / rate, 180));
    if (there[i]) CHECK(error < 1e-8);
    worst = std::max(worst, error);
  }
  // A period of 55 samples: cubics over holes of up to eight follow it, lines over longer ones not
  // quite.
  CHECK(worst < 0.3);
  const Finding* gap = of_kind(c.findings, FindingKind::gap);
  REQUIRE(gap != nullptr);
  CHECK(gap->weight == Weight::blocking);
  CHECK(gap->consequence.find("true time") != std::string::npos);
}

TEST_CASE("a few missing samples are a caution, every second one is half the rate") {
  std::string few = "t [s],x [m/s2]\n";
  std::string even = few;
  Random random{8};
  for (int i = 0; i < 5000; ++i) {
    const std::string row = fmt::format("{:.4f},{:.9g}\n", i / rate, sine(i / rate, 180));
    if (i != 50 && (i == 0 || i == 4999 || random.uniform() < 0.99)) few += row;
    if (i % 2 == 0) even += row;
  }
  const Capture c = good(few);
  CHECK(c.rate == Hz{rate});
  CHECK(c.size() == 5000);
  CHECK(of_kind(c.findings, FindingKind::gap)->weight == Weight::caution);
  CHECK(test::close_abs(c.channels[0].samples[50], sine(50 / rate, 180), 1e-3));
  const Capture half = good(even);
  CHECK(half.rate == Hz{rate / 2});
  CHECK(half.findings.empty());
}

TEST_CASE("uneven stamps are read at even times [src:closed-form sine]") {
  Random random{11};
  std::string text = "t [s],x [m/s2]\n";
  double as_even = 0;
  std::vector<double> t;
  for (int i = 0; i < 8000; ++i) {
    t.push_back((i + 0.6 * (random.uniform() - 0.5)) / rate);
    text += fmt::format("{:.10f},{:.10g}\n", t.back(), sine(t.back(), 400));
    as_even += std::pow(sine(t.back(), 400) - sine(i / rate, 400), 2) / 8000;
  }
  const Capture c = good(text);
  CHECK(test::close_rel(c.rate.value(), rate, 1e-4));
  double error = 0;
  const std::size_t n = c.size() - 100;
  for (std::size_t k = 100; k < n; ++k) {
    const double when = t.front() + static_cast<double>(k) / c.rate.value();
    error += std::pow(c.channels[0].samples[k] - sine(when, 400), 2) / static_cast<double>(n - 100);
  }
  // Jitter of 17 % of a step: taken as even the sine is off by 3 % rms.
  CHECK(as_even > 4e-4);
  CHECK(error < as_even / 5);
  const Finding* jitter = of_kind(c.findings, FindingKind::time_jitter);
  REQUIRE(jitter != nullptr);
  CHECK(jitter->what.find("resampled") != std::string::npos);
}

TEST_CASE("rates that contradict each other are a finding until one is given [src:contract]") {
  const auto weight = [](const std::string& header, const ReadOptions& options = {}) {
    const Capture c = good(under(header), options);
    CHECK(c.rate == (options.rate ? *options.rate : Hz{1000}));
    const Finding* f = of_kind(c.findings, FindingKind::rate_disagrees);
    return f == nullptr ? std::string{} : std::string{token(f->weight)};
  };
  CHECK(weight("Sample rate: 1000 Hz") == "");
  CHECK(weight("Sample rate: 2000 Hz") == "blocking");
  CHECK(weight("dt: 2 ms") == "blocking");
  CHECK(weight("Sample rate: 2000 Hz\nSampling frequency: 1000 Hz") == "caution");
  CHECK(weight("Max sample rate: 51200 Hz") == "");
  CHECK(weight("Sample rate: 2000 Hz", {.rate = Hz{1000}}) == "");
  CHECK(weight("Sample rate: 2000 Hz", {.rate = Hz{2000}}) == "");
  // Without a time column.
  const Capture two = good(without_time("Sample rate: 2000 Hz\nfs = 1000 Hz"));
  CHECK(of_kind(two.findings, FindingKind::rate_disagrees)->weight == Weight::blocking);
  CHECK(of_kind(two.findings, FindingKind::rate_disagrees)->advice.find("--rate") !=
        std::string::npos);
  // Whole seconds on a clock cannot contradict a header.
  std::string clock = "Sample rate: 500 Hz\ntime,x [g]\n";
  for (int i = 0; i < 1500; ++i) clock += fmt::format("09:30:{:02},{}\n", (i + 130) / 500, i % 7);
  const Capture c = good(clock);
  CHECK(of_kind(c.findings, FindingKind::rate_disagrees) == nullptr);
  CHECK(c.rate == Hz{500});
}

TEST_CASE("a unit given against the file's own is a finding [src:ISO 80000-3 factors]") {
  const auto disagrees = [](const std::string& unit, const ReadOptions& options) {
    std::string text = "t [s],x [" + unit + "]\n";
    for (int i = 0; i < 100; ++i) text += fmt::format("{:.3f},{}\n", i * 1e-3, (i * 7) % 11);
    return of_kind(good(text, options).findings, FindingKind::unit_disagrees) != nullptr;
  };
  CHECK(disagrees("m/s2", {.units = {"g"}}));
  CHECK(disagrees("g", {.units = {"m/s2"}}));
  CHECK(disagrees("mm/s", {.units = {"g"}}));
  CHECK(disagrees("mV", {.units = {"V"}, .sensitivity_mv_per_g = {}}));
  CHECK_FALSE(disagrees("g", {.units = {"g"}}));
  CHECK_FALSE(disagrees("m/s^2", {.units = {"m/s2"}}));
  CHECK_FALSE(disagrees("V", {.sensitivity_mv_per_g = {100}}));
  CHECK_FALSE(disagrees("counts", {.units = {"g"}}));
  CHECK_FALSE(disagrees("m/s2", {}));
}

TEST_CASE("numbers in the lines of settings as they are written [src:the numbers written]") {
  const auto rate_of = [](const std::string& line) { return good(without_time(line)).rate; };
  CHECK(rate_of("Sample rate: 25,600 Hz") == Hz{25600});
  CHECK(rate_of("Sample rate: 25 600 Hz") == Hz{25600});
  CHECK(rate_of("Sample rate 25 600 Hz") == Hz{25600});
  CHECK(rate_of("Sample rate: 25'600 Hz") == Hz{25600});
  CHECK(rate_of("Sample rate;\"25,600\"") == Hz{25600});
  CHECK(rate_of("Sample rate,12800,1") == Hz{12800});
  CHECK(rate_of("Sample rate: 25,6 kHz") == Hz{25600});
  CHECK(rate_of("Sample rate: 25.6 kHz") == Hz{25600});
  CHECK(rate_of("Sample rate: 25,600 kHz") == Hz{25600});
  CHECK(rate_of("Sample rate: 1,000,000 Hz") == Hz{1e6});
  CHECK(rate_of("Sample rate: 2048.5 Hz") == Hz{2048.5});
  const std::string comma = "Abtastrate: {}\n\nWert;b\n1,5;2\n2,5;3\n-0,25;4\n";
  CHECK(good(fmt::format(fmt::runtime(comma), "25.600 Hz")).rate == Hz{25600});
  CHECK(good(fmt::format(fmt::runtime(comma), "25600,5 Hz")).rate == Hz{25600.5});
  CHECK(good(fmt::format(fmt::runtime(comma), "12.8 kHz")).rate == Hz{12800});
}

TEST_CASE("whole numbers in groups of thousands are no decimal commas [src:the numbers written]") {
  const ReadOptions at{.rate = Hz{1000}, .time_column = "none"};
  std::string two = "x;y\n";
  std::string one = "x\n";
  for (int i = 0; i < 60; ++i) {
    two += i % 3 == 0 ? "1,234;-56\n" : "234;-12,345\n";
    one += i % 3 == 0 ? "-1,234\n" : "234\n";
  }
  const Capture c = good(two, at);
  REQUIRE(c.channels.size() == 2);
  CHECK(c.channels[0].samples[0] == 1234);
  CHECK(c.channels[0].samples[1] == 234);
  CHECK(c.channels[1].samples[1] == -12345);
  CHECK(good(one, at).channels[0].samples[0] == -1234);
  ReadOptions point = at;
  point.decimal = '.';
  CHECK(good(two, point).channels[0].samples[0] == 1234);
  // Where the digits show a decimal comma it stays one.
  std::string decimal = "x;y\n";
  for (int i = 0; i < 60; ++i) decimal += i % 3 == 0 ? "1,234;5\n" : "0,234;12,5\n";
  CHECK(good(decimal, at).channels[0].samples[0] == 1.234);
  std::string fixed = "x;y\n";
  for (int i = 0; i < 60; ++i) fixed += "1,234;12,345\n";
  CHECK(good(fixed, at).channels[0].samples[0] == 1.234);
}

TEST_CASE("a rated or largest speed is not the measured one [src:contract]") {
  const auto speed = [](const std::string& lines) { return good(under(lines)).noted_speed; };
  for (const char* line :
       {"Max rpm: 3000", "Rated rpm: 1500", "Nominal rpm: 1500", "rpm limit: 3600", "Min rpm: 300",
        "Nameplate speed (rpm): 1480", "Full scale rpm: 6000"}) {
    CAPTURE(line);
    CHECK_FALSE(speed(line));
  }
  CHECK(speed("rpm: 1480") == Rpm{1480});
  CHECK(speed("Drehzahl: 1480 1/min") == Rpm{1480});
  CHECK(speed("Speed: 1480 r/min") == Rpm{1480});
  CHECK(speed("Speed [1/min]: 1,480") == Rpm{1480});
  CHECK(speed("Rated rpm: 1500\nrpm: 1480") == Rpm{1480});
  CHECK(speed("rpm: 1480\nSpeed (rpm): 1481") == Rpm{1480});
  const Capture two = good(under("rpm: 1480\nSpeed (rpm): 2960"));
  CHECK_FALSE(two.noted_speed);
  CHECK(of_kind(two.findings, FindingKind::speed_disagrees) != nullptr);
}

TEST_CASE("a column of speed in Hz is the speed, not vibration [src:contract]") {
  for (const char* header : {"speed [Hz]", "Shaft speed (Hz)", "shaft_speed Hz"}) {
    CAPTURE(header);
    std::string text = fmt::format("t [s],x [g],{}\n", header);
    for (int i = 0; i < 200; ++i)
      text += fmt::format("{:.3f},{},24.{}\n", i * 1e-3, (i * 7) % 11, 66 + i % 2);
    const Capture c = good(text);
    REQUIRE(c.channels.size() == 1);
    CHECK(c.channels[0].name == "x");
    REQUIRE(c.noted_speed);
    CHECK(test::close_rel(c.noted_speed->value(), 60 * 24.665, 1e-6));
  }
  std::string grid = "t [s],x [g],Mains [Hz]\n";
  for (int i = 0; i < 200; ++i) grid += fmt::format("{:.3f},{},50\n", i * 1e-3, (i * 7) % 11);
  CHECK(good(grid).channels.size() == 1);
  CHECK_FALSE(good(grid).noted_speed);
}

TEST_CASE("ranges and sensitivities that no recorder has are refused [src:contract]") {
  for (const double scale : {1e300, 1e10, 1e-12, -1.0}) {
    CAPTURE(scale);
    const auto r = parse(under(""), {.full_scale = scale});
    REQUIRE_FALSE(r);
    CHECK(r.error().code == Errc::bad_argument);
    CHECK(r.error().message().find('\n') == std::string::npos);
  }
  CHECK_FALSE(parse(under(""), {.units = {"V"}, .sensitivity_mv_per_g = {1e-300}}));
}

TEST_CASE("a level that no machine has is blocking [src:common practice, no source]") {
  FftPlans plans;
  Random random{3};
  std::vector<double> x(30000);
  const auto finding = [&](double rms, SampleUnit unit) {
    for (double& v : x) v = rms * random.normal();
    const Findings all = assess_quality(SignalView{x, Hz{25600}, unit}, {}, plans);
    const Finding* f = of_kind(all, FindingKind::implausible_level);
    if (f != nullptr) {
      CHECK(f->weight == Weight::blocking);
      CHECK(f->advice.find("unit") != std::string::npos);
    }
    return f != nullptr;
  };
  // 50 g rms is a machine about to break; 1750 g is none.
  CHECK_FALSE(finding(from_g(50), SampleUnit::acceleration));
  CHECK(finding(from_g(150), SampleUnit::acceleration));
  CHECK(finding(from_g(1750), SampleUnit::acceleration));
  CHECK_FALSE(finding(0.1, SampleUnit::velocity));
  CHECK(finding(3, SampleUnit::velocity));
  CHECK_FALSE(finding(1e-3, SampleUnit::displacement));
  CHECK(finding(0.1, SampleUnit::displacement));
  CHECK_FALSE(finding(1e5, SampleUnit::uncalibrated));
}
