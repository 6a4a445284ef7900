// A survey of many recordings through `route run`: how much faster two threads are than one, and
// whether memory follows the number of recordings. Runs with one and with two threads alternate, on
// the same recordings into new stores, so that other work on the machine meets both alike. What a
// process used itself (user and system time, page faults, peak memory) does not depend on the
// others. Results: docs/validation/history.md
//
// usage: route_scale [recordings] [of them in each paired run] [pairs] [folder]
#include <fmt/core.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/history/route_run.hpp"
#include "bearingdsp/history/store.hpp"
#include "bearingdsp/simulate/save.hpp"
#include "bearingdsp/simulate/simulation.hpp"

using namespace bearingdsp;
namespace fs = std::filesystem;

namespace {

constexpr std::size_t machines = 20;

std::size_t argument(int argc, char** argv, int at, std::size_t otherwise) {
  if (argc <= at) return otherwise;
  const std::string_view text{argv[at]};
  std::from_chars(text.data(), text.data() + text.size(), otherwise);
  return otherwise;
}

/// One second at 25.6 kHz; every second machine has a damaged outer ring.
std::string recorded(const fs::path& folder, std::size_t machine) {
  SimulationPlan plan;
  plan.seed = machine + 1;
  plan.duration = Seconds{1};
  plan.shaft_harmonics = {0.5, 0.2, 0.1};
  plan.orders = defect_orders({9, 7.94, 39.04, Degrees{0}}).value();
  if (machine % 2 == 1) {
    SimulatedDefect defect;
    defect.severity = static_cast<double>(machine);
    plan.defects.push_back(defect);
  }
  const std::string path = (folder / "base.wav").string();
  const auto made = simulate(plan);
  if (!made) throw BadResult{made.error()};
  if (const auto saved = save(*made, path); !saved) throw BadResult{saved.error()};
  std::ifstream in{path, std::ios::binary};
  std::string bytes{std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
  fs::remove_all(path);
  return bytes;
}

/// Files first .. last, each with its number in the lowest bits of its last samples: no two alike.
void write_files(const fs::path& folder, std::vector<std::string>& bases, std::size_t first,
                 std::size_t last) {
  fs::create_directories(folder);
  for (std::size_t i = first; i < last; ++i) {
    std::string& bytes = bases[i % bases.size()];
    for (std::size_t digit = 0; digit < 4; ++digit)
      bytes[bytes.size() - 4 * (digit + 1)] = static_cast<char>((i >> (8 * digit)) & 0xFFU);
    std::ofstream out{folder / fmt::format("m{:02}_{:06}.wav", i % machines, i), std::ios::binary};
    out << bytes;
    if (!out.flush()) throw std::runtime_error{"cannot write; is the disk full?"};
  }
}

Route route_of_all() {
  std::string text;
  for (std::size_t m = 0; m < machines; ++m)
    text += fmt::format(
        "[[machine]]\nname = \"m{:02}\"\npower_kw = 5.5\nrated_rpm = 1480\n"
        "bearing.DE = {{ elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }}\n"
        "point = [{{ name = \"DE\", end = \"DE\", unit = \"m/s2\" }}]\n",
        m);
  Route route;
  route.machines = parse_machines(text, "bench").value();
  for (std::size_t m = 0; m < machines; ++m)
    route.points.push_back({m, 0, {fmt::format("**m{:02}_*.wav", m)}, {}, {}, "bench"});
  return route;
}

void remove_store(const std::string& store) {
  for (const char* tail : {"", "-wal", "-shm"}) fs::remove(store + tail);
}

struct Cost {
  double wall{0}, user{0}, system{0};
  double peak_mb{0};
  long faults{0}, waits{0};
  [[nodiscard]] double cpu() const { return user + system; }
};

/// 0 if every recording was analysed and stored.
int run_here(const fs::path& folder, const std::string& store, std::size_t jobs,
             std::size_t expected) {
  auto history = History::open(store, Access::read_write);
  if (!history) return 1;
  RouteRunOptions options;
  options.jobs = jobs;
  options.time = UtcTime{std::chrono::hours{24 * 20000}};
  const auto run = run_route(route_of_all(), folder.string(), *history, options);
  if (run && run->stored == expected) return 0;
  fmt::print(stderr, "{}\n",
             !run                    ? run.error().message()
             : run->failures.empty() ? fmt::format("{} stored", run->stored)
                                     : run->failures.front().message());
  return 1;
}

/// A process of its own, so that its peak of memory is its own.
Cost run_in_a_process(const fs::path& folder, const std::string& store, std::size_t jobs,
                      std::size_t expected) {
  remove_store(store);
  const auto begin = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child == 0) {
    _exit(run_here(folder, store, jobs, expected));
  }
  int status = 0;
  rusage used{};
  wait4(child, &status, 0, &used);
  if (status != 0) throw std::runtime_error{"a run failed"};
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  Cost c;
  c.wall = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  c.user = seconds(used.ru_utime);
  c.system = seconds(used.ru_stime);
  c.peak_mb = static_cast<double>(used.ru_maxrss) / 1024;
  c.faults = used.ru_minflt;
  c.waits = used.ru_nvcsw;
  return c;
}

void print(std::size_t recordings, std::size_t jobs, const Cost& c) {
  fmt::print("{:>10} {:>5} {:>8.2f} {:>8.2f} {:>7.2f} {:>7.1f} {:>9} {:>8}\n", recordings, jobs,
             c.wall, c.user, c.system, c.peak_mb, c.faults, c.waits);
  std::fflush(stdout);
}

double middle(std::vector<double> v) {
  std::sort(v.begin(), v.end());
  return v[v.size() / 2];
}

void measure(const fs::path& folder, std::size_t all, std::size_t paired, std::size_t pairs) {
  std::vector<std::string> bases;
  for (std::size_t m = 0; m < machines; ++m) bases.push_back(recorded(folder, m));
  write_files(folder / "a", bases, 0, paired);
  write_files(folder / "b", bases, paired, all);
  const std::string store = (folder / "h.db").string();
  fmt::print("{:>10} {:>5} {:>8} {:>8} {:>7} {:>7} {:>9} {:>8}\n", "recordings", "jobs", "wall s",
             "user s", "sys s", "peak MB", "faults", "waits");
  std::vector<double> faster;
  std::vector<double> dearer;
  for (std::size_t i = 0; i < pairs; ++i) {
    std::array<Cost, 2> c;
    // One first, then two first: what gets slower or faster meanwhile falls on both.
    for (const std::size_t k : {i % 2, 1 - i % 2}) {
      c.at(k) = run_in_a_process(folder / "a", store, k + 1, paired);
      print(paired, k + 1, c.at(k));
    }
    faster.push_back(c[0].wall / c[1].wall);
    dearer.push_back(c[1].cpu() / c[0].cpu());
  }
  fmt::print(
      "two threads: {:.2f} times as fast (median of {}; best {:.2f}), at {:.3f} of the CPU\n",
      middle(faster), pairs, *std::max_element(faster.begin(), faster.end()), middle(dearer));
  if (all > paired) print(all, 2, run_in_a_process(folder, store, 2, all));
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t all = argument(argc, argv, 1, 1000);
  const std::size_t paired = std::min(all, argument(argc, argv, 2, 200));
  const std::size_t pairs = std::max<std::size_t>(1, argument(argc, argv, 3, 5));
  const fs::path folder = (argc > 4 ? fs::path{argv[4]} : fs::temp_directory_path()) /
                          fmt::format("route_scale_{}", getpid());
  int code = 0;
  try {
    fs::create_directories(folder);
    measure(folder, all, paired, pairs);
  } catch (const std::exception& e) {
    fmt::print("{}\n", e.what());
    code = 1;
  }
  std::error_code ignored;
  fs::remove_all(folder, ignored);
  return code;
}
