#include "bearing/usual_inside.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/bearing/geometry.hpp"

namespace bearingdsp::usual_inside {
namespace {

struct Normal {
  double mean{0}, deviation{0};
};

struct Range {
  std::string type, series, design;
  std::optional<Normal> section, ratio;
  bool by_angle{false};  ///< fill is the filling angle, else the share of the pitch circle
  Normal fill;
  double angle{0};
  std::string source;
};

std::optional<Normal> normal(const table::Cells& r, const std::string& what) {
  const auto mean = r.number_if(what + "_mean");
  if (!mean) return std::nullopt;
  return Normal{*mean, r.number(what + "_deviation")};
}

const std::vector<Range>& ranges() {
  static const auto all =
      table::built_in(data::inside_ranges, "usual insides", [](const table::Cells& r) {
        return Range{r.text("type"),
                     r.text("series"),
                     r.text("design"),
                     normal(r, "section"),
                     normal(r, "ratio"),
                     r["fill_kind"] == "angle",
                     normal(r, "fill").value(),
                     r.number("angle_deg"),
                     r.text("source")};
      });
  return all;
}

bool holds(std::string_view list, std::string_view series) {
  while (!list.empty()) {
    const auto end = std::min(list.find(';'), list.size());
    if (list.substr(0, end) == series) return true;
    list.remove_prefix(std::min(end + 1, list.size()));
  }
  return false;
}

/// The rows that speak of the bearing: those of its series before those of the type.
std::vector<const Range*> ranges_of(const Known& k) {
  for (const bool special : {true, false}) {
    std::vector<const Range*> found;
    for (const Range& r : ranges()) {
      if (r.type != token(k.type) || (special ? !holds(r.series, k.series) : r.series != "any"))
        continue;
      const bool made = k.design.empty() ? r.design != "full complement"
                                         : r.design == k.design ||
                                               (r.design.empty() && k.design != "full complement");
      if (made && (r.ratio || k.sizes)) found.push_back(&r);
    }
    if (!found.empty()) return found;
  }
  // No row but of a series whose sizes are not known: any row of the type is better than none.
  std::vector<const Range*> rest;
  for (const Range& r : ranges())
    if (r.type == token(k.type) && r.ratio) rest.push_back(&r);
  return rest;
}

double radians(double degrees) { return degrees * std::numbers::pi / 180; }

/// d cos(a) / D from the ring section (or usual of the series).
Normal from_section(const Range& r, const Known& k, double cosine) {
  if (!r.section || !k.sizes) {
    Normal n = *r.ratio;
    // The range is of the usual angle of the row.
    const double usual = std::cos(radians(r.angle));
    if (usual > 0.01) n = {n.mean * cosine / usual, n.deviation * cosine / usual};
    return n;
  }
  const double pitch = 0.5 * (k.sizes->bore + k.sizes->outside_diameter);
  const double times = (k.sizes->outside_diameter - k.sizes->bore) / pitch * cosine;
  // Printed pitch diameters lie within 1.6 % of the mean of bore and outside diameter.
  constexpr double pitch_deviation = 0.008;
  const double mean = r.section->mean * times;
  return {mean, std::hypot(r.section->deviation * times, pitch_deviation * mean)};
}

/// d cos(a) / D from how Z elements fill the circle.
Normal from_fill(const Range& r, int z, double cosine) {
  if (!r.by_angle) {
    const double times = std::numbers::pi / z * cosine;
    return {r.fill.mean * times, r.fill.deviation * times};
  }
  const double half = radians(r.fill.mean) / (2.0 * (z - 1));
  return {std::sin(half) * cosine,
          std::cos(half) * radians(r.fill.deviation) / (2.0 * (z - 1)) * cosine};
}

struct Posterior {
  double weight{0}, mean{0}, deviation{0};
};

/// Both say d cos(a) / D; a count is as likely as they agree. Closed form: product of two normals.
Posterior posterior(const Range& r, const Known& k, int z, double cosine) {
  const Normal a = from_section(r, k, cosine);
  const Normal b = from_fill(r, z, cosine);
  const double va = a.deviation * a.deviation;
  const double vb = b.deviation * b.deviation;
  const double apart = a.mean - b.mean;
  Posterior p;
  p.weight = std::exp(-0.5 * apart * apart / (va + vb)) / std::sqrt(va + vb);
  p.mean = (a.mean * vb + b.mean * va) / (va + vb);
  p.deviation = std::sqrt(va * vb / (va + vb));
  return p;
}

void set_widths(DefectOrders& o, double half, double x, bool thrust) {
  const double spin = half * (1 + x * x) / (1 - x * x);
  constexpr double of_thrust = 0.005;  // Z / 2 whatever the elements
  const double outer = thrust ? of_thrust : half * x / (1 - x);
  const double inner = thrust ? of_thrust : half * x / (1 + x);
  o.part_uncertainty = {outer, inner, spin, outer};
  o.relative_uncertainty = std::max(outer, spin);
}

std::string words(const Known& k) {
  const std::string of =
      k.sizes ? fmt::format(", {:g} x {:g} mm", k.sizes->bore, k.sizes->outside_diameter)
              : std::string{};
  return fmt::format("{}{}{}", words(k.type), k.series.empty() ? "" : " of series " + k.series, of);
}

/// None below `min_weight`: what is far off costs nothing.
std::optional<BearingCandidate> candidate(const Range& r, const Known& k, int z,
                                          double min_weight) {
  const double angle = k.contact_angle ? k.contact_angle->value() : r.angle;
  const bool thrust = angle >= 90;
  const double cosine = thrust ? 1.0 : std::cos(radians(angle));
  Posterior p = posterior(r, k, z, cosine);
  // Elements of a circle must not overlap.
  const double most = 0.99 * std::sin(std::numbers::pi / z) * cosine;
  p.mean = std::min(p.mean, most);
  if (!(p.mean > 0)) return std::nullopt;
  // An angle that nothing marks: 15 to 40 degrees occur.
  constexpr double unmarked_angle = 0.06;
  const bool free_angle = !k.contact_angle && !thrust && r.angle >= 20;
  const double deviation = std::hypot(p.deviation, free_angle ? unmarked_angle * p.mean : 0.0);
  BearingCandidate c;
  c.weight = p.weight;
  if (!(c.weight > min_weight)) return std::nullopt;
  const auto orders = defect_orders({z, p.mean / cosine, 1, Degrees{angle}});
  if (!orders) return std::nullopt;
  c.orders = *orders;
  // 2.4 deviations: nearly all of a normal; the tails of real ones are heavier.
  constexpr double covered = 2.4;
  constexpr double narrowest = 0.03;
  set_widths(c.orders, std::max(narrowest, covered * deviation / p.mean), thrust ? 0 : p.mean,
             thrust);
  c.orders.origin = OrdersOrigin::boundary;
  c.orders.source = fmt::format("estimated for a {} bearing, if it has {} elements", words(k), z);
  c.basis = fmt::format("estimated from the type and sizes ({})", r.source);
  return c;
}

/// Half-width of d cos(a) / D as a fraction, from that of BPFO.
double half_of(const DefectOrders& o) {
  const double x = 1 - 2 * o.bpfo.value() / o.rolling_elements;
  return x > 1e-6 ? o.uncertainty(Part::outer_ring) * (1 - x) / x : 0.0;
}

void join(BearingCandidate& into, const BearingCandidate& other) {
  const auto x_of = [](const DefectOrders& o) {
    return 1 - 2 * o.bpfo.value() / o.rolling_elements;
  };
  const double a = x_of(into.orders), b = x_of(other.orders);
  const bool heavier = other.weight > into.weight;
  const double weight = into.weight + other.weight;
  if (a > 1e-6 && b > 1e-6) {
    const double ha = half_of(into.orders) * a, hb = half_of(other.orders) * b;
    const double low = std::min(a - ha, b - hb), high = std::max(a + ha, b + hb);
    const double middle = 0.5 * (low + high);
    const double spins[] = {into.orders.bsf.value(), other.orders.bsf.value()};
    DefectOrders o = heavier ? other.orders : into.orders;
    const double z = o.rolling_elements;
    o.bpfo = Order{0.5 * z * (1 - middle)};
    o.bpfi = Order{0.5 * z * (1 + middle)};
    o.ftf = Order{0.5 * (1 - middle)};
    o.bsf = Order{0.5 * (spins[0] + spins[1])};
    set_widths(o, (high - low) / (2 * middle), middle, false);
    into.orders = o;
  }
  if (heavier) into.basis = other.basis;
  into.weight = weight;
}

}  // namespace

std::vector<BearingCandidate> by_count(std::vector<BearingCandidate> list) {
  std::vector<BearingCandidate> merged;
  double total = 0;
  for (auto& c : list) {
    total += c.weight;
    const auto it = std::find_if(merged.begin(), merged.end(), [&](const BearingCandidate& m) {
      return m.orders.rolling_elements == c.orders.rolling_elements;
    });
    if (it == merged.end())
      merged.push_back(std::move(c));
    else
      join(*it, c);
  }
  for (auto& m : merged) m.weight /= total > 0 ? total : 1;
  std::stable_sort(merged.begin(), merged.end(),
                   [](const auto& a, const auto& b) { return a.weight > b.weight; });
  return merged;
}

std::vector<BearingCandidate> candidates(const Known& known) {
  std::vector<BearingCandidate> all;
  const auto rows = ranges_of(known);
  for (const Range* r : rows) {
    std::vector<BearingCandidate> of_row;
    double sum = 0;
    for (int z = 4; z <= 100; ++z)
      if (auto c = candidate(*r, known, z, 0.01)) {
        sum += c->weight;
        of_row.push_back(std::move(*c));
      }
    double best = 0;
    for (const auto& c : of_row) best = std::max(best, c.weight);
    // The rest is too far off to be built: 2.4 deviations, 1 bearing in 70 of a normal.
    constexpr double least = 0.05;
    for (auto& c : of_row)
      if (c.weight > least * best) {
        c.weight /= sum > 0 ? sum : 1;
        all.push_back(std::move(c));
      }
  }
  return by_count(std::move(all));
}

BearingCandidate counted(const Known& known, int z) {
  std::vector<BearingCandidate> all;
  for (const Range* r : ranges_of(known))
    if (auto c = candidate(*r, known, z, -1)) all.push_back(std::move(*c));
  if (all.empty()) {
    BearingCandidate c;
    c.orders = orders_from_element_count(std::clamp(z, 4, 60)).value();
    all.push_back(std::move(c));
  }
  BearingCandidate c = by_count(std::move(all)).front();
  c.orders.origin = OrdersOrigin::element_count;
  c.orders.source =
      fmt::format("estimated from {} rolling elements of a {} bearing", z, words(known));
  c.basis = "counted";
  c.weight = 1;
  return c;
}

}  // namespace bearingdsp::usual_inside
