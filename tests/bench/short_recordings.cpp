// What a short recording tells: simulated recordings of 7 to 80 shaft revolutions, healthy and
// damaged, by how near the damaged component's order is to the nearest harmonic of the shaft.
//
//   short_recordings [CAPTURES]    captures in each cell of the table, 20 if not given
//
// Results and what the columns mean: docs/validation/short-records.md. Exits with 1 where a bound
// at the end of this file is not kept.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "support/drawn_machines.hpp"

using namespace bearingdsp;

namespace {

constexpr std::array revolutions{7, 10, 14, 20, 28, 40, 80};
constexpr std::array parts{Part::outer_ring, Part::inner_ring, Part::rolling_element};
constexpr std::array places{Place::outer_ring, Place::inner_ring, Place::rolling_element};
constexpr std::uint64_t healthy_seed = 5'000'000;
constexpr std::uint64_t damaged_seed = 6'000'000;
constexpr double sample_rate = 20000;

/// Distance of an order from the nearest whole one, as what the machine really does: slip included.
struct Distance {
  std::string_view words;
  double from, to;
};
constexpr std::array distances{Distance{"below 0.05", 0, 0.05}, Distance{"0.05 to 0.1", 0.05, 0.1},
                               Distance{"0.1 to 0.2", 0.1, 0.2}, Distance{"0.2 to 0.5", 0.2, 0.5}};

struct Level {
  std::string_view words;
  double db;  ///< defect over everything else
};
constexpr std::array levels{Level{"clear, 0 dB", 0}, Level{"faint, -10 dB", -10}};

struct Tally {
  int named{0};   ///< the damaged component; a healthy bearing: no fault
  int set{0};     ///< two components, the damaged one among them
  int open{0};    ///< damage without a component, or a set without the right one
  int doubt{0};   ///< cannot tell
  int silent{0};  ///< no fault, on a damaged bearing
  int wrong{0};   ///< another component
  int alarms{0};  ///< damage, on a healthy bearing
  int captures{0};
};

Tally& operator+=(Tally& a, const Tally& b) {
  for (const auto m : {&Tally::named, &Tally::set, &Tally::open, &Tally::doubt, &Tally::silent,
                       &Tally::wrong, &Tally::alarms, &Tally::captures})
    a.*m += b.*m;
  return a;
}

double order_of(Part part, const DefectOrders& orders) {
  return (part == Part::rolling_element ? 2 : 1) * orders.of(part).value();
}

/// A bearing whose component's order, slip included, is so far from a whole one.
Result<DefectOrders> drawn_at(test::Draw& draw, Part part, double slip, const Distance& distance) {
  for (;;) {
    const auto orders = defect_orders(test::draw_bearing(draw));
    if (!orders) return orders;
    const double order = order_of(part, with_slip(*orders, slip));
    const double away = std::abs(order - std::round(order));
    if (away >= distance.from && away < distance.to) return orders;
  }
}

void count(Tally& t, const Diagnosis& d, std::optional<std::size_t> part) {
  ++t.captures;
  if (d.verdict == Verdict::indeterminate) {
    ++t.doubt;
  } else if (d.verdict == Verdict::no_fault) {
    ++(part ? t.silent : t.named);
  } else if (!part) {
    ++t.alarms;
  } else if (d.place == places[*part]) {
    ++t.named;
  } else if (d.place == Place::unclear) {
    const bool in_set =
        std::find(d.place_set.begin(), d.place_set.end(), parts[*part]) != d.place_set.end();
    ++(in_set ? t.set : t.open);
  } else {
    ++t.wrong;
  }
}

struct Cell {
  int turns{0};
  std::optional<std::size_t> part;  ///< none: healthy
  Distance distance{distances.back()};
  double db{0};
};

Result<void> add(Tally& t, const Cell& cell, std::uint64_t seed) {
  test::Draw draw{seed};
  auto plan = test::draw_machine(draw, seed);
  if (!plan) return plan.error();
  plan->rate = Hz{sample_rate};
  plan->duration = Seconds{cell.turns / shaft_rate(plan->speed).value()};
  if (cell.part) {
    auto orders = drawn_at(draw, parts[*cell.part], plan->mean_slip, cell.distance);
    if (!orders) return orders.error();
    plan->orders = *orders;
    plan->defects = {test::draw_defect(draw, parts[*cell.part])};
  }
  const auto made = cell.part ? test::simulate_at(*plan, cell.db) : simulate(*plan);
  if (!made) return made.error();
  FftPlans plans;
  DiagnoseOptions options;
  options.bearings = {*plan->orders};
  options.speed = shaft_speed(Hz{made->truth.mean_shaft_rate_hz});
  const auto d = diagnose(made->capture, plans, options);
  if (!d) return d.error();
  count(t, *d, cell.part);
  return {};
}

/// Seeds differ from cell to cell; the same number of captures gives the same table.
Result<Tally> measured(const Cell& cell, std::size_t index, int captures) {
  Tally t;
  const std::uint64_t first = (cell.part ? damaged_seed : healthy_seed) + 1000 * index;
  for (int i = 0; i < captures; ++i)
    if (const auto ok = add(t, cell, first + static_cast<std::uint64_t>(i)); !ok) return ok.error();
  return t;
}

void print_head(std::string_view first) {
  fmt::print(
      "| revolutions | {} | captures | named | set | not identified | cannot tell | missed | "
      "wrong |\n|---|---|---|---|---|---|---|---|---|\n",
      first);
}

void print_row(int turns, std::string_view what, const Tally& t) {
  fmt::print("| {} | {} | {} | {} | {} | {} | {} | {} | {} |\n", turns, what, t.captures, t.named,
             t.set, t.open, t.doubt, t.silent, t.wrong);
}

struct Tables {
  /// By revolutions and level, component and level, distance and (clear) level.
  std::array<std::array<Tally, levels.size()>, revolutions.size()> by_level;
  std::array<std::array<std::array<Tally, parts.size()>, levels.size()>, revolutions.size()>
      by_part;
  std::array<std::array<std::array<Tally, distances.size()>, levels.size()>, revolutions.size()>
      by_distance;
  std::array<Tally, revolutions.size()> healthy;
};

Result<Tables> measure_all(int captures) {
  Tables out;
  std::size_t index = 0;
  for (std::size_t r = 0; r < revolutions.size(); ++r) {
    for (std::size_t l = 0; l < levels.size(); ++l)
      for (std::size_t k = 0; k < distances.size(); ++k)
        for (std::size_t p = 0; p < parts.size(); ++p) {
          auto t = measured({revolutions[r], p, distances[k], levels[l].db}, index++, captures);
          if (!t) return t.error();
          out.by_level[r][l] += *t;
          out.by_part[r][l][p] += *t;
          out.by_distance[r][l][k] += *t;
        }
    auto t = measured({revolutions[r], std::nullopt}, r, 10 * captures);
    if (!t) return t.error();
    out.healthy[r] = *t;
  }
  return out;
}

void print(const Tables& all) {
  fmt::print("Damaged bearings by level\n\n");
  print_head("defect");
  for (std::size_t l = 0; l < levels.size(); ++l)
    for (std::size_t r = 0; r < revolutions.size(); ++r)
      print_row(revolutions[r], levels[l].words, all.by_level[r][l]);
  fmt::print("\nDamaged component, clear\n\n");
  print_head("component");
  for (std::size_t p = 0; p < parts.size(); ++p)
    for (std::size_t r = 0; r < revolutions.size(); ++r)
      print_row(revolutions[r], token(parts[p]), all.by_part[r][0][p]);
  fmt::print("\nDistance of its order from the nearest shaft harmonic, orders, clear\n\n");
  print_head("distance");
  for (std::size_t k = 0; k < distances.size(); ++k)
    for (std::size_t r = 0; r < revolutions.size(); ++r)
      print_row(revolutions[r], distances[k].words, all.by_distance[r][0][k]);
  fmt::print(
      "\nHealthy bearings\n\n"
      "| revolutions | captures | no fault | cannot tell | alarms |\n|---|---|---|---|---|\n");
  for (std::size_t r = 0; r < revolutions.size(); ++r) {
    const Tally& t = all.healthy[r];
    fmt::print("| {} | {} | {} | {} | {} |\n", revolutions[r], t.captures, t.named, t.doubt,
               t.alarms);
  }
}

/// Whether the table keeps what the page says of it. Measured there with 20 captures in a cell.
bool kept(const Tables& all) {
  Tally damaged;
  Tally healthy;
  for (std::size_t r = 0; r < revolutions.size(); ++r) {
    healthy += all.healthy[r];
    for (const Tally& t : all.by_level[r]) damaged += t;
  }
  const double alarms = static_cast<double>(healthy.alarms) / healthy.captures;
  const double wrong = static_cast<double>(damaged.wrong) / damaged.captures;
  fmt::print("\nalarms {:.4f} of the healthy, another component {:.4f} of the damaged\n", alarms,
             wrong);
  return alarms <= 0.02 && wrong <= 0.03;
}

}  // namespace

int main(int argc, char** argv) {
  int captures = 20;
  if (argc > 1) {
    const std::string_view given = argv[1];
    const auto [end, error] = std::from_chars(given.data(), given.data() + given.size(), captures);
    if (argc > 2 || error != std::errc{} || end != given.data() + given.size() || captures < 1 ||
        captures > 1000) {
      fmt::print(stderr, "usage: short_recordings [CAPTURES], 1 to 1000 in each cell\n");
      return 2;
    }
  }
  const auto all = measure_all(captures);
  if (!all) {
    fmt::print(stderr, "short_recordings: {}\n", all.error().message());
    return 2;
  }
  print(*all);
  return kept(*all) ? 0 : 1;
}
