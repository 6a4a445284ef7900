#include "bearingdsp/capture/quality.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <doctest/doctest.h>

#include "bearingdsp/capture/read.hpp"
#include "capture/quality_measured.hpp"
#include "support/scratch.hpp"

namespace {

using namespace bearingdsp;

constexpr double rate = 25600;

std::vector<double> noise(std::size_t n, double rms, std::uint32_t seed = 1) {
  std::mt19937 random{seed};
  std::normal_distribution<double> gauss{0, rms};
  std::vector<double> x(n);
  for (double& v : x) v = gauss(random);
  return x;
}
void add_line(std::vector<double>& x, double f, double amplitude, double fs = rate) {
  for (std::size_t i = 0; i < x.size(); ++i) {
    x[i] += amplitude * std::sin(2 * std::numbers::pi * f * static_cast<double>(i) / fs);
  }
}
Findings look(const std::vector<double>& x, const QualityNeeds& needs = {},
              SampleUnit unit = SampleUnit::acceleration, double fs = rate) {
  FftPlans plans;
  return assess_quality(SignalView{x, Hz{fs}, unit}, needs, plans);
}
const Finding* find(const Findings& all, FindingKind kind) {
  const auto it =
      std::find_if(all.begin(), all.end(), [&](const Finding& f) { return f.kind == kind; });
  return it == all.end() ? nullptr : &*it;
}
bool only(const Findings& all, FindingKind kind) { return all.size() == 1 && all[0].kind == kind; }
std::string words(const Findings& all) {
  std::string out;
  for (const Finding& f : all) out += std::string{token(f.kind)} + ": " + f.what + "\n";
  return out;
}

}  // namespace

TEST_CASE("a clean calibrated record has no findings [src:negative check]") {
  for (const std::uint32_t seed : {1U, 2U, 3U}) {
    auto x = noise(4 * 25600, 2.0, seed);
    add_line(x, 24.7, 1.0);
    add_line(x, 148.1, 0.6);
    const auto all = look(x, {.shaft = Hz{24.7}});
    CHECK_MESSAGE(all.empty(), words(all));
  }
  // A 16-bit recorder with a sound level is clean too.
  auto x = noise(4 * 25600, 2.0);
  for (double& v : x) v = std::round(v / 0.01) * 0.01;
  CHECK_MESSAGE(look(x).empty(), words(look(x)));
}

TEST_CASE("samples parked at a limit are clipped [src:simulated signal, counts known]") {
  auto x = noise(4 * 25600, 2.0);
  std::size_t cut = 0;
  for (double& v : x) {
    if (std::abs(v) > 5.2) ++cut;
    v = std::clamp(v, -5.2, 5.2);
  }
  const auto all = look(x);
  const Finding* f = find(all, FindingKind::clipped);
  // A sine is within 1.5 rms all the time; a flat top shows it is cut. A whole one is not.
  std::vector<double> s(25600, 0.0);
  add_line(s, 50.3, 3.0);
  add_line(s, 1203.1, 1.0);
  for (double& v : s) v = std::clamp(v, -2.9, 2.9);
  CHECK(find(look(s), FindingKind::clipped) != nullptr);
  std::vector<double> whole(25600, 0.0);
  add_line(whole, 50, 3.0);
  CHECK(find(look(whole), FindingKind::clipped) == nullptr);
  REQUIRE(f != nullptr);
  CHECK(f->what.starts_with(std::to_string(cut) + " samples"));
  CHECK(f->what.find("5.2") != std::string::npos);
  CHECK(f->weight == Weight::caution);
  // One code below the range of a 16 bit recorder, which nobody needs to see.
  auto coded = noise(4 * 25600, 1.0);
  for (double& v : coded) v = std::clamp(v, -1.5, 1.5 * 32767 / 32768);
  const auto found = look(coded);
  REQUIRE(find(found, FindingKind::clipped) != nullptr);
  CHECK(find(found, FindingKind::clipped)->what.find("clipped at 1.5 and -1.5 m/s2") !=
        std::string::npos);
}

TEST_CASE("pulses of a shaft marker are reported as such, not as clipping [src:simulated signal]") {
  std::vector<double> x(25600, 0.0);
  for (std::size_t i = 0; i < x.size(); ++i)
    if (i % 1024 < 50) x[i] = 0.8;
  const auto all = look(x, {}, SampleUnit::volt);
  REQUIRE(only(all, FindingKind::clipped));
  const Finding* pulses = &all[0];
  CHECK(pulses->weight == Weight::blocking);
  CHECK(pulses->what.find("0.8 and 0") != std::string::npos);
  CHECK(pulses->advice.find("tacho") != std::string::npos);
  for (double& v : x) v = v > 0 ? 0.8 : -0.8;  // far beyond a range of 0.8
  const auto square = look(x, {}, SampleUnit::volt);
  REQUIRE(find(square, FindingKind::clipped) != nullptr);
  CHECK(find(square, FindingKind::clipped)->advice.find("range") != std::string::npos);
}

TEST_CASE("the last code of a converter tells clipping of two samples [src:two's complement]") {
  const double step = 0.0004060878;
  auto x = noise(100000, 0.5);
  x[5000] = 9;
  x[70000] = -9;
  for (double& v : x) v = std::clamp(std::round(v / step), -16384.0, 16383.0) * step;
  CHECK(find(look(x), FindingKind::clipped) != nullptr);
  // The same two peaks with room above them are no clipping.
  auto y = noise(100000, 0.5);
  y[5000] = 4.1;
  y[70000] = -4.2;
  for (double& v : y) v = std::round(v / step) * step;
  CHECK_MESSAGE(look(y).empty(), words(look(y)));
}

TEST_CASE(
    "samples beyond the full scale that was given are no fractions of it [src:simulated signal]") {
  auto x = noise(50000, 1.0);
  x[100] = 6;
  CHECK(find(look(x, {.full_scale = 5.0}), FindingKind::header_mismatch) != nullptr);
  CHECK(find(look(x, {.full_scale = 6.0}), FindingKind::header_mismatch) == nullptr);
}

TEST_CASE("a given full scale tells clipping [src:simulated signal]") {
  auto x = noise(50000, 1.0);
  x[100] = 6;
  x[20000] = 6;
  CHECK(find(look(x, {.full_scale = 6.0}), FindingKind::clipped) != nullptr);
  CHECK(find(look(x, {.full_scale = 50.0}), FindingKind::clipped) == nullptr);
}

TEST_CASE("dropouts are stuck samples, and a dead channel is dead [src:simulated signal]") {
  auto x = noise(50000, 1.0);
  std::fill(x.begin() + 10000, x.begin() + 10500, 0.25);
  const auto all = look(x);
  REQUIRE(only(all, FindingKind::stuck));
  CHECK(all[0].weight == Weight::caution);
  // 500 samples and 10000 samples at 25600 Hz.
  CHECK(all[0].what.find("longest 0.0195 s") != std::string::npos);
  CHECK(all[0].what.find("at 0.3906 s") != std::string::npos);

  const auto dead = look(std::vector<double>(1000, 0.3));
  REQUIRE(only(dead, FindingKind::dead_channel));
  CHECK(dead[0].weight == Weight::blocking);
  CHECK(only(look({}), FindingKind::dead_channel));
  CHECK(look({1.0, std::nan("")})[0].weight == Weight::blocking);
}

TEST_CASE("dc is reported against the vibration, and weighs only if huge [src:mean over rms]") {
  auto x = noise(50000, 1.0);
  for (double& v : x) v += 9.81;
  auto all = look(x);
  REQUIRE(only(all, FindingKind::dc_bias));
  CHECK(all[0].weight == Weight::note);
  CHECK(all[0].what.find("9.8") != std::string::npos);
  for (double& v : x) v += 5000;
  all = look(x);
  REQUIRE(find(all, FindingKind::dc_bias) != nullptr);
  CHECK(find(all, FindingKind::dc_bias)->weight == Weight::caution);
}

TEST_CASE("a settling sensor makes a ski slope, a slow shaft does not [src:simulated signal]") {
  auto x = noise(8 * 25600, 0.3);
  double drift = 0;
  std::mt19937 random{7};
  std::normal_distribution<double> gauss{0, 0.02};
  for (double& v : x) {
    drift = 0.9999 * drift + gauss(random);
    v += drift;
  }
  CHECK(find(look(x), FindingKind::ski_slope) != nullptr);
  auto y = noise(8 * 25600, 0.3);
  add_line(y, 8.0, 2.0);
  CHECK(find(look(y), FindingKind::ski_slope) == nullptr);
}

TEST_CASE(
    "mains hum is reported for 50 and 60 Hz but not for a shaft line there [src:simulated "
    "signal]") {
  for (const double mains : {50.0, 60.0}) {
    auto x = noise(4 * 25600, 0.5);
    add_line(x, mains, 1.0);
    add_line(x, 3 * mains, 0.3);
    const auto all = look(x, {.shaft = Hz{24.4}});
    REQUIRE(find(all, FindingKind::mains_hum) != nullptr);
    CHECK(find(all, FindingKind::mains_hum)->what.find(mains == 50.0 ? "50 Hz" : "60 Hz") !=
          std::string::npos);
    CHECK(find(look(x, {.shaft = Hz{mains / 2}}), FindingKind::mains_hum) == nullptr);
  }
  auto x = noise(4 * 25600, 0.5);
  add_line(x, 48.7, 1.0);
  CHECK(find(look(x), FindingKind::mains_hum) == nullptr);
}

TEST_CASE("a low band and a short recording say what they cannot show [src:2 lines / spacing]") {
  const auto slow = look(noise(40000, 1.0), {}, SampleUnit::acceleration, 4000);
  REQUIRE(only(slow, FindingKind::low_bandwidth));
  CHECK(slow[0].what.find("2000 Hz") != std::string::npos);
  CHECK(look(noise(40000, 1.0), {}, SampleUnit::acceleration, 12000).empty());
  // Velocity is for overall levels up to 1 kHz: no such remark.
  CHECK(look(noise(40000, 1.0), {}, SampleUnit::velocity, 4000).empty());

  // A phone's sensor: however slow the shaft, it does not clear a bearing.
  const auto phone = look(noise(4000, 1.0), {.shaft = Hz{1}}, SampleUnit::acceleration, 100);
  REQUIRE(find(phone, FindingKind::low_bandwidth) != nullptr);
  CHECK(find(phone, FindingKind::low_bandwidth)->weight == Weight::blocking);
  const auto above = look(noise(4000, 1.0), {.shaft = Hz{1}}, SampleUnit::acceleration, 500);
  REQUIRE(find(above, FindingKind::low_bandwidth) != nullptr);
  CHECK(find(above, FindingKind::low_bandwidth)->weight == Weight::caution);

  // With the time in milliseconds taken for seconds the band ends below the shaft's own line.
  const auto wrong = look(noise(40000, 1.0), {.shaft = Hz{25}}, SampleUnit::velocity, 25.6);
  REQUIRE(find(wrong, FindingKind::low_bandwidth) != nullptr);
  CHECK(find(wrong, FindingKind::low_bandwidth)->weight == Weight::blocking);
  CHECK(find(wrong, FindingKind::low_bandwidth)->what ==
        "the band ends at 12.8 Hz, 0.512 times the shaft rate");
  CHECK(look(noise(40000, 1.0), {.shaft = Hz{25}}, SampleUnit::velocity, 512).empty());

  // 0.4 orders at 25 Hz are 10 Hz: 2 lines need 0.2 s.
  const QualityNeeds needs{.shaft = Hz{25}, .smallest_spacing = Order{0.4}};
  CHECK(look(noise(5121, 1.0), needs).empty());
  const auto brief = look(noise(5000, 1.0), needs);
  REQUIRE(only(brief, FindingKind::too_short));
  CHECK(brief[0].advice == "record 0.2 s or more");
  CHECK(look(noise(1000, 1.0), needs)[0].weight == Weight::blocking);

  // 40 revolutions at 25 Hz are 1.6 s.
  const QualityNeeds forty{.shaft = Hz{25}, .smallest_spacing = Order{0.4}, .revolutions = 40};
  CHECK(look(noise(40960, 1.0), forty).empty());
  const auto few = look(noise(40000, 1.0), forty);
  REQUIRE(only(few, FindingKind::too_short));
  CHECK(few[0].weight == Weight::caution);
  CHECK(few[0].what == "the recording holds only 39 shaft revolutions");
  CHECK(few[0].advice == "record 2 s (40 revolutions) or more");
  CHECK(look(noise(40000, 1.0), needs).empty());
}

TEST_CASE("coarse steps and mere sensor noise are reported [src:simulated signal, step known]") {
  auto x = noise(100000, 1.0);
  for (double& v : x) v = std::round(v);
  const auto all = look(x);
  const Finding* f = find(all, FindingKind::coarse_resolution);
  REQUIRE(f != nullptr);
  CHECK(f->weight == Weight::caution);
  CHECK(f->what.find("steps of 1 m/s2") != std::string::npos);

  const auto quiet = look(noise(4 * 25600, 2e-4));
  REQUIRE(only(quiet, FindingKind::below_noise));
  CHECK(quiet[0].weight == Weight::blocking);
  CHECK(find(look(noise(4 * 25600, 1.0), {.full_scale = 1e5}), FindingKind::below_noise) !=
        nullptr);
}

TEST_CASE("units unknown are reported once a channel [src:contract]") {
  CHECK(only(look(noise(50000, 1.0), {}, SampleUnit::uncalibrated), FindingKind::uncalibrated));
  CHECK(only(look(noise(50000, 1.0), {}, SampleUnit::volt), FindingKind::uncalibrated));
  // Fractions of full scale: which figure is missing, and where it is stated.
  const auto fractions = look(noise(50000, 0.1), {.full_scale = 1.0}, SampleUnit::uncalibrated);
  const Finding* f = find(fractions, FindingKind::uncalibrated);
  REQUIRE(f != nullptr);
  CHECK(f->what.find("fractions of full scale") != std::string::npos);
  CHECK(f->advice.find("data sheet") != std::string::npos);
}

TEST_CASE("equal channels are reported, up to a factor and sign [src:simulated signal]") {
  Capture c;
  c.rate = Hz{rate};
  const auto x = noise(30000, 1.0, 1);
  auto twin = x;
  for (double& v : twin) v *= -1.0154;
  c.channels = {{"a", SampleUnit::acceleration, x, {}},
                {"b", SampleUnit::acceleration, noise(30000, 1.0, 2), {}},
                {"c", SampleUnit::acceleration, twin, {}}};
  FftPlans plans;
  const auto all = assess_quality(c, {}, plans);
  REQUIRE_MESSAGE(only(all, FindingKind::duplicate_channel), words(all));
  CHECK(all[0].where == "c");
  CHECK(all[0].what.find("'a'") != std::string::npos);
  CHECK(all[0].what.find("-1.015") != std::string::npos);
}

TEST_CASE(
    "the benchmark study's clipped record is found clipped, a clear one is not "
    "[src:Smith & Randall 2015, clipped records, confirmed in S1]") {
  const auto folder = test::datasets();
  if (!folder) return;
  FftPlans plans;
  const auto channel = [&](const std::string& file) {
    auto r = read_capture((*folder / "cwru" / ("12k_Drive_End_" + file + ".mat")).string(),
                          {.rate = Hz{12000}, .units = {"g"}, .select = {"*_DE_time"}});
    REQUIRE(r.has_value());
    return assess_quality(r->view(0), {.shaft = Hz{29}}, plans);
  };
  CHECK(find(channel("OR021@6_2_236"), FindingKind::clipped) != nullptr);
  CHECK(find(channel("IR007_0_105"), FindingKind::clipped) == nullptr);
}

TEST_CASE(
    "a channel that is measured once is found to suit each need as if looked at for it alone") {
  auto x = noise(static_cast<std::size_t>(4 * rate), 1);
  add_line(x, 50, 3);
  x[1000] = 400;
  FftPlans plans;
  const SignalView view{x, Hz{rate}, SampleUnit::uncalibrated};
  const auto glitches = find_glitches(view.x, view.rate);
  REQUIRE(glitches.size() == 1);
  const auto measured = capture_detail::measure_quality(view, std::nullopt, plans, &glitches);
  for (const double shaft : {0.0, 0.5, 24.7, 50.0, 2000.0}) {
    QualityNeeds needs;
    if (shaft > 0) needs.shaft = Hz{shaft};
    needs.revolutions = 40;
    CHECK(words(capture_detail::quality_for(measured, needs)) ==
          words(assess_quality(view, needs, plans)));
  }
}

TEST_CASE("coarse steps are found in a recording of any length") {
  auto x = noise(70000, 1);
  for (double& v : x) v = std::round(v * 2) / 2;
  CHECK(find(look(x), FindingKind::coarse_resolution) != nullptr);
}
