// How long the history takes to answer when it is large: a made store of points x captures, then
// the worst-first list (found again, and from what is kept) and one point's trend. Times to stdout;
// the machine's other work shows in them. Results: docs/validation/history.md
//
// usage: history_speed [points] [captures a point] [store]
#include <fmt/core.h>

#include <array>
#include <charconv>
#include <chrono>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/history/standing.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/simulate/random.hpp"

using namespace bearingdsp;

namespace {

std::size_t argument(int argc, char** argv, int at, std::size_t otherwise) {
  if (argc <= at) return otherwise;
  const std::string_view text{argv[at]};
  std::from_chars(text.data(), text.data() + text.size(), otherwise);
  return otherwise;
}

/// As many columns as a 6208 and 10-1000 Hz have.
KeptSpectrum spectrum(double start, double step, std::size_t columns, Random& random) {
  KeptSpectrum s{start, step, {}};
  for (std::size_t i = 0; i < columns; ++i) s.level.push_back(1e-3 * random.uniform());
  return s;
}

/// A reading of a healthy machine, with the words, lists and spectra that a real one has.
Reading made(std::size_t point, std::size_t visit, Random& random) {
  Reading r;
  r.hash = fmt::format("{:064x}", point * 1'000'000 + visit);
  r.path = fmt::format("/rounds/{:04}/point-{:04}.wav", visit, point);
  r.taken = UtcTime{std::chrono::hours{24 * 365 * 55 + 12 * static_cast<int>(visit)}};
  r.settings = "orders=3.5771/5.4229/2.3391/0.3975; rpm=1478; mains_hz=50; unit=m/s2";
  r.version = "made";
  r.duration = Seconds{1};
  r.rate = Hz{25600};
  r.speed = Rpm{1478 + random.normal()};
  r.levels.unit = SampleUnit::acceleration;
  r.levels.high_band = {Hz{1000}, Hz{10000}};
  for (auto& v : r.levels.value) v = 1 + 0.05 * random.uniform();
  r.levels.at(Indicator::velocity) = 2e-3;
  for (auto& p : r.parts) p = {0.05 * random.uniform(), 0.1, 2, 0};
  r.verdict = r.stage.verdict = Verdict::no_fault;
  r.place = Place::none;
  r.probability_of_damage = 0.18;
  r.headline = "No bearing fault found (82 % sure that the bearing is sound).";
  r.advice = {"Record again at the next survey and compare."};
  r.causes = {{OtherCause::unbalance, 0.2, "1x carries 31 % of the acceleration up to 50 orders"}};
  r.findings = {{FindingKind::mains_hum, Weight::note, "channel 1", "hum of 0.1 m/s2 at 50 Hz",
                 "lines near 50 Hz are not counted", "ground the shield"}};
  r.spectra = VisitSpectra{spectrum(0, 0.05, 380, random), spectrum(10, 2.5, 396, random),
                           defect_orders({9, 11.9, 60, Degrees{0}}).value()};
  return r;
}

template <class Work>
double milliseconds(const Work& work) {
  const auto begin = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin)
      .count();
}

History opened(const std::string& path, Access access) {
  auto h = History::open(path, access);
  if (!h) throw BadResult{h.error()};
  return std::move(h).value();
}

PointKey key(std::size_t point) {
  return {fmt::format("machine {:04}", point / 4), fmt::format("point {}", point % 4)};
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t points = argument(argc, argv, 1, 1000);
  const std::size_t captures = argument(argc, argv, 2, 500);
  const std::string path =
      argc > 3 ? argv[3] : (std::filesystem::temp_directory_path() / "history_speed.db").string();
  for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(path + tail);
  try {
    const double filling = milliseconds([&] {
      History h = opened(path, Access::read_write);
      Random random{1};
      for (std::size_t p = 0; p < points; ++p)
        for (std::size_t v = 0; v < captures; ++v)
          if (const auto added = h.add(key(p), made(p, v, random)); !added)
            throw BadResult{added.error()};
    });
    fmt::print("{} points x {} captures: {:.1f} s to add, {:.3f} ms each, {} MB\n", points,
               captures, filling / 1000, filling / static_cast<double>(points * captures),
               std::filesystem::file_size(path) >> 20U);
    fmt::print("a capture takes {:.0f} bytes\n",
               static_cast<double>(std::filesystem::file_size(path)) /
                   static_cast<double>(points * captures));
    std::vector<double> lists;
    for (const char* what : {"list, every point found again", "list, from what is kept"}) {
      const double time = milliseconds([&] {
        History h = opened(path, Access::read_write);
        if (worst_first(h).value().size() != points) throw std::runtime_error{"points are missing"};
      });
      fmt::print("{}: {:.1f} ms\n", what, time);
      lists.push_back(time);
    }
    fmt::print("the list from what is kept is {:.1f} times as quick\n", lists.at(0) / lists.at(1));
    const double one = milliseconds([&] {
      History h = opened(path, Access::read_only);
      const PointHistory point = h.point(key(points / 2)).value();
      const Trend trend = find_trend(trend_points(point), baseline_start(point));
      if (find_standing(point).readings != captures || trend.levels.empty())
        throw std::runtime_error{"readings are missing"};
    });
    fmt::print("one point's trend: {:.1f} ms\n", one);
    const double round = milliseconds([&] {
      History h = opened(path, Access::read_write);
      Random random{2};
      for (std::size_t p = 0; p < points / 10; ++p)
        if (const auto added = h.add(key(p), made(p, captures, random)); !added)
          throw BadResult{added.error()};
      if (!worst_first(h)) throw std::runtime_error{"no list"};
    });
    fmt::print("a tenth of the points measured once more, and the list: {:.1f} ms\n", round);
  } catch (const std::exception& e) {
    fmt::print("{}\n", e.what());
    return 1;
  }
  for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(path + tail);
  return 0;
}
