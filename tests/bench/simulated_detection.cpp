// How often the engine cries wolf on healthy machines, how faint a defect it finds, and whether its
// probabilities mean what they say: on simulated captures with a known truth. Tables to stdout.
// Results and the meaning of the columns: docs/validation/simulation.md. With a fifth argument a
// row per capture goes to that file: what fit_model.py fits the verdict's constants to.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <fstream>
#include <limits>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/dataset/metrics.hpp"
#include "bearingdsp/dsp/noise_floor.hpp"
#include "bearingdsp/simulate/random.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/spectra/envelope_spectrum.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/drawn_machines.hpp"

using namespace bearingdsp;
using test::Draw;
using test::draw_defect;
using test::draw_machine;

namespace {

constexpr std::uint64_t healthy_seed = 1'000'000;
constexpr std::uint64_t damaged_seed = 2'000'000;
constexpr double false_alarm_rate = 0.01;
constexpr double bin_db = 3;
constexpr double lowest_db = -45;
constexpr int db_bins = 22;
constexpr int resamples = 400;

/// Textbook statistic: prominence over the local median of the first three harmonics, dB, summed
/// over one common fundamental within 3 % of the kinematic one; the largest of the three families.
double comb_prominence(const EnvelopeSpectrum& spectrum, Hz shaft, const DefectOrders& orders) {
  constexpr int harmonics = 3;
  constexpr double tolerance = 0.03;
  const double df = spectrum.line_spacing.value();
  FloorOptions window;  // one order to each side: mostly noise between the lines
  window.half = std::max<std::size_t>(8, static_cast<std::size_t>(shaft.value() / df));
  const auto floor = noise_floor(spectrum.depth2, window);
  const auto prominence = [&](double f) {
    const auto k = static_cast<std::size_t>(std::lround(f / df));
    if (k + 1 >= floor.size() || !(floor[k] > 0)) return 0.0;
    return 10 * std::log10(std::max(1e-3, spectrum.depth2[k] / floor[k]));
  };
  double best = 0;
  for (const double order : {orders.bpfo.value(), orders.bpfi.value(), 2 * orders.bsf.value()}) {
    const double f0 = order * shaft.value();
    for (double f = f0 * (1 - tolerance); f <= f0 * (1 + tolerance); f += df / (2 * harmonics)) {
      double sum = 0;
      for (int h = 1; h <= harmonics; ++h) sum += prominence(h * f);
      best = std::max(best, sum);
    }
  }
  return best;
}

enum Method : std::size_t { engine, whole, kurtosis_band, whitened, method_count };
constexpr std::array<std::string_view, method_count> method_names{
    "engine", "plain whole band", "kurtosis band", "flattened whole band"};
using Statistics = std::array<double, method_count>;

struct Outcome {
  Statistics statistic{};
  Part part{Part::outer_ring};
  double defect_db{-std::numeric_limits<double>::infinity()};
  double probability{0};
  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  std::array<double, part_count> strength{};  ///< by Part, as are all below
  std::array<double, part_count> slip{};      ///< of the fitted family
  std::array<double, part_count> probable{};  ///< that this component is damaged
  double tolerance{0};                        ///< half-width of the search for a family
  std::string error;
};

/// The engine's strength, before it becomes a probability: as judge() joins the parts.
double joint_strength(const Diagnosis& d) {
  std::array<double, part_count> s{};
  for (const auto& family : d.families) s[static_cast<std::size_t>(family.part)] = family.strength;
  return std::max({s[0], s[1], std::hypot(s[2], s[3])});
}

Statistics textbook(const Simulation& made, Hz shaft, const DefectOrders& orders, FftPlans& plans) {
  // Three harmonics of the inner ring and room for the floor beside them.
  const Hz up_to{3.3 * orders.bpfi.value() * shaft.value()};
  const RecordSpectrum record = record_spectrum(made.capture.view(0), plans);
  Statistics s{};
  double kurtosis = -std::numeric_limits<double>::infinity();
  std::optional<EnvelopeSpectrum> chosen;
  const auto tree = band_tree(record.rate, Hz{std::max(300.0, up_to.value())});
  for (const Band& band : tree) {
    auto spectrum = squared_envelope_spectrum(record, band, up_to, plans);
    if (!chosen) s[whole] = comb_prominence(spectrum, shaft, orders);
    if (spectrum.kurtosis <= kurtosis) continue;
    kurtosis = spectrum.kurtosis;
    chosen = std::move(spectrum);
  }
  s[kurtosis_band] = chosen ? comb_prominence(*chosen, shaft, orders) : 0;
  const auto flat = flattened(record, Hz{std::max(50.0, 3 * shaft.value())});
  s[whitened] =
      comb_prominence(squared_envelope_spectrum(flat, tree.front(), up_to, plans), shaft, orders);
  return s;
}

/// Half-width of the search for a family, as the trail says; 0 where none was looked for.
double searched(const Trail& trail) {
  constexpr std::string_view key = "tolerance=";
  double value = 0;
  for (const Step& step : trail)
    if (step.op == "bearing_evidence" && step.args.starts_with(key))
      std::from_chars(step.args.data() + key.size(), step.args.data() + step.args.size(), value);
  return value;
}

Outcome measure(std::uint64_t seed, std::optional<Part> part) {
  Outcome o;
  Draw draw{seed};
  auto plan = draw_machine(draw, seed);
  if (!plan) {
    o.error = plan.error().message();
    return o;
  }
  if (part) {
    o.part = *part;
    plan->defects = {draw_defect(draw, *part)};
  }
  const auto made = simulate(*plan);
  if (!made) {
    o.error = made.error().message();
    return o;
  }
  o.defect_db = made->truth.defect_to_noise_db;
  const Hz shaft{made->truth.mean_shaft_rate_hz};
  FftPlans plans;  // of this capture: lengths differ from capture to capture
  DiagnoseOptions options;
  options.bearings = {*plan->orders};  // kinematic: without the slip of the capture
  options.speed = shaft_speed(shaft);
  const auto d = diagnose(made->capture, plans, options);
  if (!d) {
    o.error = d.error().message();
    return o;
  }
  o.statistic = textbook(*made, shaft, *plan->orders, plans);
  o.statistic[engine] = joint_strength(*d);
  o.probability = d->probability_of_damage;
  o.verdict = d->verdict;
  o.place = d->place;
  o.probable = d->probability_of_part;
  for (const auto& family : d->families) {
    o.strength[static_cast<std::size_t>(family.part)] = family.strength;
    o.slip[static_cast<std::size_t>(family.part)] = family.slip;
  }
  o.tolerance = searched(d->trail);
  return o;
}

struct Captures {
  std::vector<Outcome> sound, damaged;
};

/// Seeds decide everything: neither threads nor a stop before the end change a digit of what was
/// made. The two lists grow side by side; after `budget` no capture is begun, and the lists are as
/// long as if they had been asked for so long.
Captures measure_all(std::size_t sound, std::size_t damaged, std::size_t jobs,
                     std::chrono::seconds budget) {
  constexpr std::array parts{Part::outer_ring, Part::inner_ring, Part::rolling_element};
  const auto end = std::chrono::steady_clock::now() + budget;
  const std::size_t total = sound + damaged;
  const auto damaged_before = [&](std::size_t i) { return i * damaged / total; };
  std::vector<Outcome> all(total);
  std::mutex mutex;
  std::size_t begun = 0;
  const auto take = [&]() -> std::optional<std::size_t> {
    const std::scoped_lock lock{mutex};
    if (begun == total || std::chrono::steady_clock::now() >= end) return std::nullopt;
    return begun++;
  };
  const auto work = [&] {
    while (const auto i = take()) {
      const std::size_t d = damaged_before(*i);
      all[*i] = damaged_before(*i + 1) > d ? measure(damaged_seed + d, parts[d % parts.size()])
                                           : measure(healthy_seed + *i - d, std::nullopt);
    }
  };
  std::vector<std::thread> threads;
  for (std::size_t j = 1; j < jobs; ++j) threads.emplace_back(work);
  work();
  for (auto& t : threads) t.join();
  Captures made;
  for (std::size_t i = 0; i < begun; ++i)
    (damaged_before(i + 1) > damaged_before(i) ? made.damaged : made.sound)
        .push_back(std::move(all[i]));
  return made;
}

std::string share(std::size_t hits, std::size_t n) {
  const Interval w = wilson_interval(hits, n);
  return fmt::format("{}/{} = {:.2f} % ({:.2f} .. {:.2f} %)", hits, n,
                     n ? 100.0 * static_cast<double>(hits) / static_cast<double>(n) : 0.0,
                     100 * w.low, 100 * w.high);
}

template <class Predicate>
std::size_t count_if(const std::vector<Outcome>& all, Predicate wanted) {
  return static_cast<std::size_t>(std::count_if(all.begin(), all.end(), wanted));
}

/// Value that at most 1 % of the sound captures exceed.
double threshold(std::vector<double> sound) {
  const auto n = static_cast<double>(sound.size());
  const auto k = static_cast<std::size_t>(std::ceil((1 - false_alarm_rate) * n)) - 1;
  std::nth_element(sound.begin(), sound.begin() + static_cast<std::ptrdiff_t>(k), sound.end());
  return sound[k];
}

struct Bin {
  double hits{0}, count{0};
};

std::size_t bin_of(double db) {
  return static_cast<std::size_t>(
      std::clamp(std::floor((db - lowest_db) / bin_db), 0.0, static_cast<double>(db_bins - 1)));
}

double centre(std::size_t bin) { return lowest_db + bin_db * (static_cast<double>(bin) + 0.5); }

/// dB at which the best non-decreasing curve through the bins reaches `level`; NaN if it never
/// does. Adjacent violators are pooled, each block stands at its mean dB, straight lines between.
double reaches(std::span<const Bin> bins, double level) {
  struct Block {
    double hits, count, moment;
    [[nodiscard]] double rate() const { return hits / count; }
    [[nodiscard]] double db() const { return moment / count; }
  };
  std::vector<Block> blocks;
  for (std::size_t b = 0; b < bins.size(); ++b) {
    if (bins[b].count <= 0) continue;
    blocks.push_back({bins[b].hits, bins[b].count, bins[b].count * centre(b)});
    while (blocks.size() > 1 && blocks[blocks.size() - 2].rate() >= blocks.back().rate()) {
      const Block last = blocks.back();
      blocks.pop_back();
      blocks.back().hits += last.hits;
      blocks.back().count += last.count;
      blocks.back().moment += last.moment;
    }
  }
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    if (blocks[i].rate() < level) continue;
    if (i == 0) return blocks[0].db();
    const double step = (level - blocks[i - 1].rate()) / (blocks[i].rate() - blocks[i - 1].rate());
    return blocks[i - 1].db() + step * (blocks[i].db() - blocks[i - 1].db());
  }
  return std::numeric_limits<double>::quiet_NaN();
}

struct Curves {
  std::array<double, method_count> limit{};
  std::array<std::array<Bin, db_bins>, method_count> bins{};
  std::array<double, method_count> db50{}, db90{};
};

Curves curves_of(std::span<const Outcome* const> sound, std::span<const Outcome* const> damaged) {
  Curves c;
  for (std::size_t m = 0; m < method_count; ++m) {
    std::vector<double> values;
    for (const Outcome* o : sound) values.push_back(o->statistic[m]);
    c.limit[m] = threshold(std::move(values));
    for (const Outcome* o : damaged) {
      Bin& bin = c.bins[m][bin_of(o->defect_db)];
      bin.count += 1;
      if (o->statistic[m] > c.limit[m]) bin.hits += 1;
    }
    c.db50[m] = reaches(c.bins[m], 0.5);
    c.db90[m] = reaches(c.bins[m], 0.9);
  }
  return c;
}

std::vector<const Outcome*> pointers(const std::vector<Outcome>& all) {
  std::vector<const Outcome*> p;
  for (const auto& o : all) p.push_back(&o);
  return p;
}

std::string decibels(double db) { return std::isnan(db) ? "never" : fmt::format("{:.1f}", db); }

/// 95 % interval of resampled values; those that never reach the level count as the largest.
std::string interval(std::vector<double> v) {
  for (double& x : v)
    if (std::isnan(x)) x = std::numeric_limits<double>::infinity();
  std::sort(v.begin(), v.end());
  const auto at = [&](double q) {
    const double x = v[static_cast<std::size_t>(q * static_cast<double>(v.size() - 1))];
    return std::isinf(x) ? std::string{"open"} : fmt::format("{:.1f}", x);
  };
  return at(0.025) + " .. " + at(0.975);
}

void print_false_alarms(const std::vector<Outcome>& sound) {
  fmt::print("1. Healthy machines: {} captures\n", sound.size());
  for (const Verdict v : {Verdict::fault, Verdict::indeterminate, Verdict::no_fault})
    fmt::print(
        "   {:<16} {}\n", token(v),
        share(count_if(sound, [&](const Outcome& o) { return o.verdict == v; }), sound.size()));
}

void print_detection(const std::vector<Outcome>& sound, const std::vector<Outcome>& damaged) {
  const auto sound_p = pointers(sound);
  const auto damaged_p = pointers(damaged);
  const Curves c = curves_of(sound_p, damaged_p);
  fmt::print("\n2. Detection at {:.0f} % false alarms: {} damaged captures\n",
             100 * false_alarm_rate, damaged.size());
  fmt::print("   {:>14} {:>5}", "dB", "n");
  for (const auto m : method_names) fmt::print(" {:>21}", m);
  fmt::print(" {:>15}\n", "verdict 'fault'");
  std::array<std::size_t, db_bins> called{};
  for (const auto& o : damaged)
    if (o.verdict == Verdict::fault) ++called[bin_of(o.defect_db)];
  for (std::size_t b = 0; b < db_bins; ++b) {
    const double n = c.bins[0][b].count;
    if (n <= 0) continue;
    fmt::print("   {:>14} {:>5}",
               fmt::format("{:.0f} .. {:.0f}", centre(b) - bin_db / 2, centre(b) + bin_db / 2), n);
    for (std::size_t m = 0; m < method_count; ++m)
      fmt::print(" {:>19.0f} %", 100 * c.bins[m][b].hits / n);
    fmt::print(" {:>13.0f} %\n", 100 * static_cast<double>(called[b]) / n);
  }

  // Both sets are drawn again, so that the uncertainty of the thresholds is in the intervals.
  std::array<std::vector<double>, method_count> d50, d90, g50, g90;
  Random random{4711};
  const auto again = [&](const std::vector<const Outcome*>& from) {
    std::vector<const Outcome*> to(from.size());
    for (auto& o : to)
      o = from[std::min(from.size() - 1, static_cast<std::size_t>(
                                             random.uniform() * static_cast<double>(from.size())))];
    return to;
  };
  for (int r = 0; r < resamples; ++r) {
    const Curves one = curves_of(again(sound_p), again(damaged_p));
    for (std::size_t m = 0; m < method_count; ++m) {
      d50[m].push_back(one.db50[m]);
      d90[m].push_back(one.db90[m]);
      g50[m].push_back(one.db50[m] - one.db50[engine]);
      g90[m].push_back(one.db90[m] - one.db90[engine]);
    }
  }
  fmt::print("\n   {:<21} {:>9} {:>24} {:>24} {:>24} {:>24}\n", "", "limit", "50 % at dB",
             "90 % at dB", "engine's gain at 50 %", "engine's gain at 90 %");
  for (std::size_t m = 0; m < method_count; ++m) {
    const auto cell = [](double db, const std::vector<double>& spread) {
      return decibels(db) + " (" + interval(spread) + ")";
    };
    fmt::print("   {:<21} {:>9.3f} {:>24} {:>24}", method_names[m], c.limit[m],
               cell(c.db50[m], d50[m]), cell(c.db90[m], d90[m]));
    if (m != engine)
      fmt::print(" {:>24} {:>24}", cell(c.db50[m] - c.db50[engine], g50[m]),
                 cell(c.db90[m] - c.db90[engine], g90[m]));
    fmt::print("\n");
  }

  fmt::print("\n   All levels together, by part:\n");
  for (const Part part : {Part::outer_ring, Part::inner_ring, Part::rolling_element}) {
    const auto n = count_if(damaged, [&](const Outcome& o) { return o.part == part; });
    fmt::print("   {:<16} n {:<4}", token(part), n);
    for (std::size_t m = 0; m < method_count; ++m)
      fmt::print("  {} {:.0f} %", method_names[m],
                 n ? 100.0 *
                         static_cast<double>(count_if(damaged,
                                                      [&](const Outcome& o) {
                                                        return o.part == part &&
                                                               o.statistic[m] > c.limit[m];
                                                      })) /
                         static_cast<double>(n)
                   : 0.0);
    fmt::print("\n");
  }
}

void print_reliability(const std::vector<Outcome>& sound, const std::vector<Outcome>& damaged) {
  std::vector<StatedProbability> forecasts;
  const std::size_t each = std::min(sound.size(), damaged.size());
  for (std::size_t i = 0; i < each; ++i) {
    forecasts.push_back({sound[i].probability, false});
    forecasts.push_back({damaged[i].probability, true});
  }
  fmt::print("\n3. Reliability: {} sound and {} damaged captures; Brier score {:.3f}\n", each, each,
             brier_score(forecasts));
  fmt::print("   {:>11} {:>6} {:>10} {:>16} {:>20}\n", "said", "n", "mean said", "share damaged",
             "95 % interval");
  for (const auto& bin : reliability(forecasts))
    if (bin.count > 0)
      fmt::print("   {:>11} {:>6} {:>10.3f} {:>16.3f} {:>20}\n",
                 fmt::format("{:.1f} .. {:.1f}", bin.low, bin.high), bin.count,
                 bin.mean_probability, bin.frequency,
                 fmt::format("{:.3f} .. {:.3f}", bin.interval.low, bin.interval.high));
}

/// A row per capture, below the constants that its probabilities are from: five digits hold more
/// than the fit needs.
bool write_rows(const Captures& made, const std::string& path) {
  std::ofstream out{path};
  const JudgementModel under;
  out << fmt::format("# unseen={} even_strength={} steepness={} place_power={} unplaced={}\n",
                     under.unseen, under.even_strength, under.steepness, under.place_power,
                     under.unplaced);
  out << "label,db,named,damage,tolerance";
  constexpr std::array parts{"outer", "inner", "element", "cage"};
  for (const char* of : {"strength", "slip", "probability"})
    for (const char* part : parts) out << ',' << of << '_' << part;
  out << '\n';
  for (const auto* all : {&made.sound, &made.damaged})
    for (const Outcome& o : *all) {
      const bool damaged = all == &made.damaged;
      const auto named = o.verdict == Verdict::fault      ? token(o.place)
                         : o.verdict == Verdict::no_fault ? std::string_view{"none"}
                                                          : std::string_view{"cannot tell"};
      out << fmt::format("{},{},{},{:.5g},{:.5g}", damaged ? token(o.part) : "none",
                         damaged ? fmt::format("{:.1f}", o.defect_db) : "", named, o.probability,
                         o.tolerance);
      for (const auto* values : {&o.strength, &o.slip, &o.probable})
        for (const double v : *values) out << fmt::format(",{:.5g}", v);
      out << '\n';
    }
  return out.flush().good();
}

bool read(std::string_view text, std::size_t& value) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc{} && end == text.data() + text.size() && value > 0;
}

int run(int argc, char** argv) {
  std::array<std::size_t, 4> numbers{2000, 600, 1, 24UL * 3600};
  const std::vector<std::string> given(argv + 1, argv + argc);
  bool good = given.size() <= numbers.size() + 1;
  for (std::size_t i = 0; good && i < std::min(given.size(), numbers.size()); ++i)
    good = read(given[i], numbers[i]);
  if (!good) {
    fmt::print(stderr,
               "usage: simulated_detection [HEALTHY [DAMAGED [THREADS [SECONDS [ROWS.csv]]]]], "
               "numbers above 0\n");
    return 2;
  }
  const Captures made =
      measure_all(numbers[0], numbers[1], numbers[2],
                  std::chrono::seconds{static_cast<std::chrono::seconds::rep>(numbers[3])});
  for (const auto* all : {&made.sound, &made.damaged}) {
    if (all->empty()) {
      fmt::print(stderr, "simulated_detection: no captures in the time; allow more seconds\n");
      return 1;
    }
    for (const auto& o : *all)
      if (!o.error.empty()) {
        fmt::print(stderr, "simulated_detection: {}\n", o.error);
        return 1;
      }
  }
  if (given.size() > numbers.size() && !write_rows(made, given.back())) {
    fmt::print(stderr, "simulated_detection: {} cannot be written\n", given.back());
    return 1;
  }
  print_false_alarms(made.sound);
  print_detection(made.sound, made.damaged);
  print_reliability(made.sound, made.damaged);
  return 0;
}

}  // namespace

int main(int argc, char** argv) { return run(argc, argv); }
