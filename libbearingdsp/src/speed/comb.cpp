#include "comb.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <optional>

namespace bearingdsp::speed_detail {
namespace {

constexpr int fit_harmonics = 20;  // that take part in the fit of the rate

// By harmonic of the shaft, from 0; of a line of the bearing, 0 for none.
using Neighbours = std::array<int, fit_harmonics + 1>;

// For each harmonic the line of the bearing next to it, too close to be distinguished from that
// line or its sidebands at 1x.
Neighbours neighbours(const DefectOrders& orders, double width, const ModelParameters& model) {
  const int ring_sidebands = model.speed.ring_sidebands;
  Neighbours group{};
  std::array<double, fit_harmonics + 1> distance;
  distance.fill(fit_harmonics);
  int id = 0;
  const auto mark = [&](Order order, double shift, int reach) {
    if (!(order.value() > 0)) return;
    for (int k = 1; k * order.value() + shift < fit_harmonics + 1 + reach; ++k) {
      ++id;
      const double at = k * order.value();
      const double low = at * (1 - model.slip.comb_below - orders.relative_uncertainty) + shift;
      const double high = at * (1 + model.slip.comb_above + orders.relative_uncertainty) + shift;
      const double whole = std::round(0.5 * (low + high));
      if (whole < low - width || whole > high + width) continue;
      // 1x and 2x are the shaft's own.
      for (int h = std::max(3, static_cast<int>(whole) - reach);
           h <= std::min(fit_harmonics, static_cast<int>(whole) + reach); ++h) {
        const auto u = static_cast<std::size_t>(h);
        if (std::abs(h - whole) >= distance[u]) continue;
        distance[u] = std::abs(h - whole);
        group[u] = id;
      }
    }
  };
  mark(orders.bpfo, 0, ring_sidebands);
  mark(orders.bpfi, 0, ring_sidebands);
  for (const int m : {-1, 0, 1}) mark(2 * orders.bsf, m * orders.ftf.value(), 0);
  return group;
}

struct Beside {
  const Line* line;
  double sigma;  // of the line, with the rate's wander
};

// The line next to f, if it lies within its own uncertainty and the spacing.
std::optional<Beside> line_beside(const Field& field, double f) {
  if (f > field.set->top) return std::nullopt;
  const int i = nearest(field.set->lines, f);
  if (i < 0) return std::nullopt;
  const Line& line = field.set->lines[static_cast<std::size_t>(i)];
  const SpeedModel& m = field.model->speed;
  const double sigma = std::hypot(line.sigma, m.wander * f);
  if (std::abs(line.f - f) > m.beside * field.set->spacing + m.gate_sigmas * sigma)
    return std::nullopt;
  return Beside{&line, sigma};
}

// A line that was matched to a harmonic, and the line of the bearing that it may be a sideband of.
struct Matched {
  int harmonic;
  int group;
  double f;
  double weight;
};

std::vector<Matched> matched_lines(const Fields& fields, double rate, const Neighbours& group) {
  std::vector<Matched> out;
  for (int h = 1; h <= fit_harmonics; ++h) {
    for (const Field& field : fields) {
      if (const auto found = line_beside(field, h * rate))
        out.push_back({h, group[static_cast<std::size_t>(h)], found->line->f,
                       1 / (found->sigma * found->sigma)});
    }
  }
  return out;
}

struct RateFit {
  double rate{0};
  double information{0};  // 1 / variance; 0 where no line tells the rate
};

// Weighted least squares of f = h rate + offset of the group; those beside no line of the bearing
// have no offset. With the rate in the last column of a QR decomposition, the last diagonal of R is
// what the lines tell of it once the offsets are free.
RateFit fitted(const std::vector<Matched>& lines, int left_out) {
  std::map<int, Eigen::Index> column;
  Eigen::Index rows = 0;
  for (const Matched& line : lines) {
    if (line.harmonic == left_out) continue;
    ++rows;
    if (line.group != 0) column.emplace(line.group, static_cast<Eigen::Index>(column.size()));
  }
  const auto rate = static_cast<Eigen::Index>(column.size());
  RateFit out;
  if (rows <= rate) return out;  // no more lines than offsets
  Eigen::MatrixXd a = Eigen::MatrixXd::Zero(rows, rate + 1);
  Eigen::VectorXd f(rows);
  Eigen::Index row = 0;
  for (const Matched& line : lines) {
    if (line.harmonic == left_out) continue;
    const double root = std::sqrt(line.weight);
    if (line.group != 0) a(row, column.at(line.group)) = root;
    a(row, rate) = root * line.harmonic;
    f(row++) = root * line.f;
  }
  const double given = a.col(rate).squaredNorm();
  const Eigen::HouseholderQR<Eigen::Ref<Eigen::MatrixXd>> qr{a};
  const double left = qr.matrixQR()(rate, rate);
  if (left * left < 1e-9 * given) return out;  // as many offsets as harmonics
  out.information = left * left;
  f.applyOnTheLeft(qr.householderQ().adjoint());
  out.rate = f(rate) / left;
  return out;
}

}  // namespace

Field make_field(const LineSet& set, bool vibration, const Basis& basis) {
  const SpeedModel& m = basis.model.speed;
  Field field{&set, &basis.model, {}, {}, vibration, 0};
  const auto seeds = static_cast<std::size_t>(m.seed_lines);
  if (set.lines.size() > seeds) {
    std::vector<double> p;
    for (const Line& l : set.lines) p.push_back(l.prominence);
    std::nth_element(p.begin(), p.begin() + static_cast<std::ptrdiff_t>(seeds - 1), p.end(),
                     [](double a, double b) { return a > b; });
    field.seed_floor = p[seeds - 1];
  }
  const auto& lines = set.lines;
  const double reach = m.density_reach;
  for (const Line& line : lines) {
    bool hum = false;
    for (const Hz mains : basis.mains) {
      const double supply = mains.value();
      const double k = std::round(line.f / supply);
      if (k < 1 || k > m.mains_harmonics) continue;
      const double slack = m.mains_spread * k * supply + 2 * line.sigma;
      hum = hum || std::abs(line.f - k * supply) < slack;
    }
    field.mains.push_back(hum);
  }
  // Sidebands cluster round harmonics: a chance line is likelier there than on average.
  const double near = m.density_near * set.spacing;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    int count = 1;
    int close = 0;
    const auto look = [&](std::size_t j) {
      const double d = std::abs(lines[i].f - lines[j].f);
      if (d > reach) return false;
      if (field.mains[j]) return true;  // explained, so no sign of how thick lines are
      if (lines[j].prominence > m.density_strong * lines[i].prominence) ++count;
      if (lines[j].prominence > m.density_close * lines[i].prominence && d < near) ++close;
      return true;
    };
    for (std::size_t j = i; j-- > 0;)
      if (!look(j)) break;
    for (std::size_t j = i + 1; j < lines.size(); ++j)
      if (!look(j)) break;
    const double width = std::min(lines[i].f, reach) + std::min(set.top - lines[i].f, reach);
    field.density.push_back(std::max(count / std::max(width, 1.0), close / (2 * near)));
  }
  return field;
}

int nearest(const std::vector<Line>& lines, double f) {
  const auto it = std::lower_bound(lines.begin(), lines.end(), f,
                                   [](const Line& l, double v) { return l.f < v; });
  int best = -1;
  if (it != lines.end()) best = static_cast<int>(it - lines.begin());
  if (it != lines.begin()) {
    const auto before = static_cast<int>(it - lines.begin()) - 1;
    if (best < 0 ||
        f - lines[static_cast<std::size_t>(before)].f < lines[static_cast<std::size_t>(best)].f - f)
      best = before;
  }
  return best;
}

void refine(const Fields& fields, Scored& s) {
  const SpeedModel& m = fields[0].model->speed;
  for (int pass = 0; pass < 3; ++pass) {
    double w = pass == 0 ? 1 / (s.sigma * s.sigma) : 0;
    double wf = w * s.f;
    double f = s.f;
    double chi = 0;
    int used = 0;
    for (int h = 1; h <= fit_harmonics; ++h) {
      for (const Field& field : fields) {
        const auto found = line_beside(field, h * f);
        if (!found) continue;
        const double own = found->sigma;
        const double known = w > 0 && pass == 0 ? h / std::sqrt(w) : h * s.sigma;
        const double off = found->line->f - h * f;
        if (std::abs(off) > m.gate_sigmas * std::hypot(own, known)) continue;
        const double weight = h * h / (own * own);
        w += weight;
        wf += weight * found->line->f / h;
        chi += std::min(off * off / (own * own), m.outlier);
        ++used;
        if (pass == 0) f = wf / w;
      }
    }
    if (w <= 0) return;
    s.f = wf / w;
    s.sigma = std::sqrt(std::max(chi / std::max(used - 1, 1), 1.0) / w);
  }
  s.sigma = std::hypot(s.sigma, m.rate_floor * s.f);
}

void fit_apart(const Fields& fields, const std::optional<DefectOrders>& orders, Scored& s) {
  const double width = 1.5 * fields[0].set->spacing / s.f;
  const auto lines = matched_lines(
      fields, s.f, orders ? neighbours(*orders, width, *fields[0].model) : Neighbours{});
  const RateFit all = fitted(lines, 0);
  if (!(all.information > 0)) {
    s.sigma = s.f;  // nothing but lines that may be the bearing's
    return;
  }
  // What the rate moves as each harmonic is left out in turn: one that does not belong is no
  // witness, however sharp its line.
  double square = 0;
  int harmonics = 0;
  for (int h = 1; h <= fit_harmonics; ++h) {
    if (std::none_of(lines.begin(), lines.end(),
                     [&](const Matched& line) { return line.harmonic == h; }))
      continue;
    ++harmonics;
    const RateFit without = fitted(lines, h);
    if (without.information > 0) square += std::pow(without.rate - all.rate, 2);
  }
  const double scatter = square * (harmonics - 1) / std::max(harmonics, 1);
  s.f = all.rate;
  s.sigma = std::hypot(std::sqrt(std::max(scatter, 1 / all.information)),
                       fields[0].model->speed.rate_floor * all.rate);
}

}  // namespace bearingdsp::speed_detail
