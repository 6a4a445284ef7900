#include "bearingdsp/balancing/influence.hpp"

#include <fmt/format.h>
#include <Eigen/Core>
#include <Eigen/QR>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {
namespace {

using Complex = std::complex<double>;
using Eigen::Index;
using Matrix = Eigen::MatrixXcd;
using Vector = Eigen::VectorXcd;

/// 95 % of the length of a circular complex normal vector of mean square 1: sqrt(ln 20).
constexpr double length_95 = 1.7308183826022852;
/// 95 % of one component of it: the normal quantile 1.96 over sqrt 2.
constexpr double component_95 = 1.959963984540054 / std::numbers::sqrt2;
/// A correction so many times as heavy as the heaviest trial weight is far outside what was tried.
/// Common practice, no source.
constexpr double far_beyond_trial = 5;
/// A sensor at which less than this part of the vibration goes away. Ours.
constexpr double hardly_better = 0.5;

Error wrong(Errc code, std::string what, std::string advice) {
  return {code, "runs", std::move(what), std::move(advice)};
}

bool finite(const BalanceRun& r) {
  const auto number = [](double v) { return std::isfinite(v); };
  return std::all_of(r.vibration.begin(), r.vibration.end(),
                     [&](Complex v) { return number(v.real()) && number(v.imag()); }) &&
         std::all_of(r.weights.begin(), r.weights.end(),
                     [&](const BalanceWeight& w) {
                       return number(w.mass.value()) && number(w.angle.value());
                     }) &&
         std::all_of(r.scatter.begin(), r.scatter.end(),
                     [&](double s) { return number(s) && s >= 0; });
}

Result<void> check_shapes(std::span<const BalanceRun> runs) {
  if (runs.empty())
    return wrong(Errc::missing_metadata, "there are none", "measure the rotor as found first");
  const std::size_t planes = runs.front().weights.size();
  const std::size_t rows = runs.front().vibration.size();
  if (planes < 1 || planes > 2)
    return wrong(Errc::bad_argument, fmt::format("{} planes", planes), "give 1 or 2 planes");
  if (rows < planes)
    return wrong(Errc::bad_argument,
                 fmt::format("{} planes with {} vibration vector per run", planes, rows),
                 "measure with a sensor at each bearing");
  for (const BalanceRun& r : runs) {
    if (r.weights.size() != planes || r.vibration.size() != rows ||
        (!r.scatter.empty() && r.scatter.size() != rows) ||
        (!r.speed.empty() && r.speed.size() != rows))
      return wrong(Errc::bad_argument,
                   fmt::format("run '{}' has other planes or sensors than the first", r.name),
                   "give one vector per sensor and one weight per plane in each run");
    if (!finite(r))
      return wrong(Errc::bad_argument,
                   fmt::format("run '{}' has a value that is not a number", r.name),
                   "check what was measured");
  }
  return {};
}

/// The runs as matrices: design [runs][1 + planes], vibration [runs][rows], sigma [rows].
struct Fit {
  Matrix design, vibration;
  Matrix theta;           ///< [1 + planes][rows]: as found, then the influence of each plane
  Matrix spread;          ///< (D^H D)^-1
  Eigen::VectorXd sigma;  ///< one standard deviation of a measured vector, by row
  std::optional<double> misfit;
  [[nodiscard]] Index planes() const { return design.cols() - 1; }
  [[nodiscard]] Index rows() const { return vibration.cols(); }
  /// [rows][planes]
  [[nodiscard]] Matrix influence() const { return theta.bottomRows(planes()).transpose(); }
  [[nodiscard]] Vector found() const { return theta.row(0).transpose(); }
  /// Mean square error of a prediction with these weights, over that of a measured vector.
  [[nodiscard]] double variance_at(const Vector& weights) const {
    Vector d(1 + weights.size());
    d << Complex{1}, weights;
    return std::max(0.0, (d.transpose() * spread * d.conjugate()).value().real());
  }
};

Eigen::VectorXd sigmas(std::span<const BalanceRun> runs, double repeatability) {
  const auto rows = static_cast<Index>(runs.front().vibration.size());
  Eigen::VectorXd mean_square = Eigen::VectorXd::Zero(rows);
  for (const BalanceRun& r : runs)
    for (Index m = 0; m < rows; ++m) {
      const auto i = static_cast<std::size_t>(m);
      const double repeats = repeatability * std::abs(r.vibration[i]);
      const double scatter = r.scatter.empty() ? 0.0 : r.scatter[i];
      mean_square[m] += repeats * repeats + scatter * scatter;
    }
  return (mean_square / static_cast<double>(runs.size())).cwiseSqrt();
}

Result<Fit> fit_runs(std::span<const BalanceRun> runs, const BalanceOptions& o) {
  if (const auto ok = check_shapes(runs); !ok) return ok.error();
  const auto planes = static_cast<Index>(runs.front().weights.size());
  const auto rows = static_cast<Index>(runs.front().vibration.size());
  const auto count = static_cast<Index>(runs.size());
  Fit f;
  f.design = Matrix::Ones(count, 1 + planes);
  f.vibration.resize(count, rows);
  double heaviest = 0;
  for (Index r = 0; r < count; ++r) {
    const BalanceRun& run = runs[static_cast<std::size_t>(r)];
    for (Index p = 0; p < planes; ++p) {
      f.design(r, 1 + p) = vector_of(run.weights[static_cast<std::size_t>(p)]);
      heaviest = std::max(heaviest, std::abs(f.design(r, 1 + p)));
    }
    for (Index m = 0; m < rows; ++m) f.vibration(r, m) = run.vibration[static_cast<std::size_t>(m)];
  }
  // In units of the heaviest weight, so that the rank does not depend on grams.
  Matrix scaled = f.design;
  if (heaviest > 0) scaled.rightCols(planes) /= heaviest;
  const Eigen::ColPivHouseholderQR<Matrix> qr{scaled};
  if (count < 1 + planes || qr.rank() < 1 + planes)
    return wrong(Errc::missing_metadata,
                 fmt::format("{} of them do not separate the as-found state and {}", count,
                             counted(planes, "plane")),
                 "measure as found, and with a trial weight in each plane in turn");
  f.theta = qr.solve(f.vibration);
  if (heaviest > 0) f.theta.bottomRows(planes) /= heaviest;
  const Matrix normal = f.design.adjoint() * f.design;
  f.spread = Eigen::ColPivHouseholderQR<Matrix>{normal}.solve(
      Matrix::Identity(normal.rows(), normal.cols()));
  f.sigma = sigmas(runs, o.repeatability);
  const Index spare = count - 1 - planes;
  if (spare > 0) {
    const Matrix left = f.vibration - f.design * f.theta;
    double sum = 0;
    for (Index m = 0; m < rows; ++m)
      if (f.sigma[m] > 0) sum += left.col(m).squaredNorm() / (f.sigma[m] * f.sigma[m]);
    const double freedom = static_cast<double>(spare * rows);
    f.misfit = std::sqrt(sum / freedom);
    // Runs that repeat worse than assumed are believed.
    f.sigma *= std::max(1.0, *f.misfit);
  }
  return f;
}

std::vector<RowPrediction> rows_at(const Fit& f, const Vector& weights) {
  const Matrix a = f.influence();
  const Vector after = f.found() + a * weights;
  const double factor = std::sqrt(f.variance_at(weights));
  std::vector<RowPrediction> out;
  for (Index m = 0; m < f.rows(); ++m) {
    RowPrediction row;
    row.found = f.theta(0, m);
    row.after = after[m];
    row.at_most = std::abs(after[m]) + length_95 * factor * f.sigma[m];
    for (Index p = 0; p < f.planes(); ++p) row.influence.push_back(a(m, p));
    out.push_back(std::move(row));
  }
  return out;
}

/// The run nearest before `run` whose weights differ in one plane alone; the plane behind it.
std::optional<std::pair<std::size_t, std::size_t>> run_to_compare(std::span<const BalanceRun> runs,
                                                                  std::size_t run) {
  for (std::size_t q = run; q-- > 0;) {
    std::vector<std::size_t> different;
    for (std::size_t p = 0; p < runs[run].weights.size(); ++p)
      if (std::abs(vector_of(runs[run].weights[p]) - vector_of(runs[q].weights[p])) > 1e-9)
        different.push_back(p);
    if (different.size() == 1) return std::pair{q, different.front()};
  }
  return std::nullopt;
}

std::vector<TrialChange> changes_of(std::span<const BalanceRun> runs, const BalanceOptions& o) {
  std::vector<TrialChange> all;
  for (std::size_t r = 1; r < runs.size(); ++r) {
    const auto other = run_to_compare(runs, r);
    if (!other) continue;
    for (std::size_t m = 0; m < runs[r].vibration.size(); ++m) {
      const Complex before = runs[other->first].vibration[m];
      const Complex after = runs[r].vibration[m];
      TrialChange c;
      c.run = r;
      c.against = other->first;
      c.plane = other->second;
      c.row = m;
      c.ratio = std::abs(before) > 0 ? std::abs(after) / std::abs(before) - 1 : 0;
      const double turn = std::arg(after * std::conj(before)) * 180 / std::numbers::pi;
      c.turn = Degrees{std::abs(turn)};
      c.enough = std::abs(c.ratio) >= o.min_change || c.turn >= o.min_turn;
      all.push_back(c);
    }
  }
  return all;
}

/// A plane whose weights changed too little at every sensor.
void judge_changes(BalanceAnswer& a, std::span<const BalanceRun> runs, const BalanceOptions& o) {
  const auto& found = runs.front().vibration;
  if (std::all_of(found.begin(), found.end(), [](const auto& v) { return std::abs(v) == 0; })) {
    a.why_not.emplace_back(
        "as found there is no 1x vibration: nothing is to be balanced, or its reading is "
        "missing");
    return;
  }
  for (std::size_t p = 0; p < runs.front().weights.size(); ++p) {
    bool compared = false;
    bool enough = false;
    double largest = 0;
    double turn = 0;
    for (const TrialChange& c : a.changes) {
      if (c.plane != p) continue;
      compared = true;
      enough = enough || c.enough;
      largest = std::max(largest, std::abs(c.ratio));
      turn = std::max(turn, c.turn.value());
    }
    if (!compared || enough) continue;
    a.why_not.push_back(fmt::format(
        "the weight in plane {} changed the vibration by {:.0f} % and {:.0f} degrees at most; "
        "{:.0f} "
        "% or {:.0f} degrees is needed. Use a trial weight {:.1f} times as heavy (its force stays "
        "below 10 % of the rotor's weight: bearingdsp balance plan), or another angle",
        p + 1, 100 * largest, turn, 100 * o.min_change, o.min_turn.value(),
        std::clamp(o.min_change / std::max(largest, turn / 90), 1.5, 3.0)));
  }
}

void judge_speeds(BalanceAnswer& a, std::span<const BalanceRun> runs, const BalanceOptions& o) {
  for (std::size_t m = 0; m < runs.front().vibration.size(); ++m) {
    const BalanceRun* slowest = nullptr;
    const BalanceRun* fastest = nullptr;
    for (const BalanceRun& r : runs) {
      if (r.speed.empty() || !(r.speed[m] > Rpm{0})) continue;
      if (slowest == nullptr || r.speed[m] < slowest->speed[m]) slowest = &r;
      if (fastest == nullptr || r.speed[m] > fastest->speed[m]) fastest = &r;
    }
    if (slowest == nullptr) continue;
    const double change = fastest->speed[m] / slowest->speed[m] - 1;
    if (change <= o.max_speed_change) continue;
    a.why_not.push_back(fmt::format(
        "the speed differs by {:.1f} % (run '{}' {:.0f} rpm, run '{}' {:.0f} rpm); {:.0f} % is "
        "allowed, as the phase depends on it. Repeat the runs at one speed and load",
        100 * change, slowest->name, slowest->speed[m].value(), fastest->name,
        fastest->speed[m].value(), 100 * o.max_speed_change));
    return;
  }
}

/// Of the columns at unit length; of two that have the inner product c it is sqrt((1 + |c|) / (1 -
/// |c|)).
double condition_of(const Matrix& influence) {
  for (Index p = 0; p < influence.cols(); ++p)
    if (!(influence.col(p).norm() > 0)) return std::numeric_limits<double>::infinity();
  if (influence.cols() < 2) return 1;
  const double c = std::abs(influence.col(0).dot(influence.col(1))) /
                   (influence.col(0).norm() * influence.col(1).norm());
  return c < 1 ? std::sqrt((1 + c) / (1 - c)) : std::numeric_limits<double>::infinity();
}

/// Two planes that act in almost the same way: large weights against each other, which no sensor
/// sees.
void judge_separation(BalanceAnswer& a, const BalanceOptions& o) {
  if (a.condition <= o.max_condition) return;
  for (const PlaneCorrection& c : a.planes)
    if (c.angle_uncertainty >= Degrees{180}) {
      a.why_not.push_back(fmt::format(
          "both planes act on the sensors in almost the same way (condition number {:.0f}), so the "
          "weights of the two are not known apart. Use planes or sensors further apart, or one "
          "plane",
          a.condition));
      return;
    }
}

/// Nothing gained: in the bad case as much vibration remains as there was.
void judge_gain(BalanceAnswer& a) {
  double before = 0;
  double at_most = 0;
  for (const RowPrediction& r : a.rows) {
    before += std::norm(r.found);
    at_most += r.at_most * r.at_most;
  }
  if (at_most < before) return;
  a.why_not.push_back(fmt::format(
      "the runs do not determine the correction: after it the vibration could still be {:.0f} % of "
      "that found. Repeat the runs, with a heavier trial weight where it changes little; check for "
      "looseness, misalignment and resonance",
      100 * std::sqrt(at_most / before)));
}

void judge_misfit(BalanceAnswer& a, const BalanceOptions& o) {
  if (!a.misfit || *a.misfit <= o.max_misfit) return;
  a.why_not.push_back(fmt::format(
      "the runs contradict each other: they differ by {:.1f} standard deviations from one linear "
      "rotor, {:g} are allowed. Something changed between them (a weight at another place or "
      "radius, looseness, temperature, load), or an entry is wrong",
      *a.misfit, o.max_misfit));
}

void take_notes(BalanceAnswer& a, std::span<const BalanceRun> runs) {
  double heaviest = 0;
  for (const BalanceRun& r : runs)
    for (const BalanceWeight& w : r.weights)
      heaviest = std::max(heaviest, std::abs(w.mass.value()));
  for (std::size_t p = 0; p < a.planes.size(); ++p)
    if (a.planes[p].weight.mass.value() > far_beyond_trial * heaviest)
      a.notes.push_back(fmt::format(
          "The weight of plane {} is more than {:g} times as heavy as the trial weight: mount half "
          "of it first and measure.",
          p + 1, far_beyond_trial));
  for (std::size_t m = 0; m < a.rows.size(); ++m) {
    const RowPrediction& r = a.rows[m];
    if (std::abs(r.after) <= hardly_better * std::abs(r.found)) continue;
    a.notes.push_back(fmt::format(
        "At sensor or speed {} more than half of the vibration remains ({:.3g} of {:.3g}): these "
        "planes cannot correct it. Couple unbalance needs a second plane; looseness, misalignment, "
        "a bent shaft or a resonance needs a repair.",
        m + 1, std::abs(r.after), std::abs(r.found)));
  }
}

/// The least-squares weights, and what they are uncertain by.
std::vector<PlaneCorrection> corrections(const Fit& f, const BalanceRun& last, Vector& weights) {
  const Matrix a = f.influence();
  const Eigen::ColPivHouseholderQR<Matrix> qr{a};
  weights = -qr.solve(f.found());
  const Matrix inverse = qr.solve(Matrix::Identity(f.rows(), f.rows()));
  const double factor = f.variance_at(weights);
  std::vector<PlaneCorrection> out;
  for (Index p = 0; p < f.planes(); ++p) {
    double mean_square = 0;
    for (Index m = 0; m < f.rows(); ++m)
      mean_square += std::norm(inverse(p, m)) * factor * f.sigma[m] * f.sigma[m];
    PlaneCorrection c;
    c.weight = weight_of(weights[p]);
    c.added = weight_of(weights[p] - vector_of(last.weights[static_cast<std::size_t>(p)]));
    const double half = component_95 * std::sqrt(mean_square);
    c.mass_uncertainty = Grams{half};
    c.remains_at_most = Grams{length_95 * std::sqrt(mean_square)};
    const double mass = c.weight.mass.value();
    c.angle_uncertainty =
        Degrees{half < mass ? std::asin(half / mass) * 180 / std::numbers::pi : 180.0};
    out.push_back(c);
  }
  return out;
}

}  // namespace

Result<BalanceAnswer> balance(std::span<const BalanceRun> runs, const BalanceOptions& o) {
  const auto fit = fit_runs(runs, o);
  if (!fit) return fit.error();
  BalanceAnswer a;
  a.misfit = fit->misfit;
  a.condition = condition_of(fit->influence());
  a.changes = changes_of(runs, o);
  judge_speeds(a, runs, o);
  judge_changes(a, runs, o);
  judge_misfit(a, o);
  Vector weights = Vector::Zero(fit->planes());
  if (std::isfinite(a.condition)) {
    a.planes = corrections(*fit, runs.back(), weights);
    a.rows = rows_at(*fit, weights);
    if (a.why_not.empty()) judge_separation(a, o);
    if (a.why_not.empty()) judge_gain(a);
  } else if (a.why_not.empty()) {
    a.why_not.emplace_back(
        "a weight changed nothing at any sensor: check that it was mounted, and the sensors");
  }
  if (a.usable()) {
    take_notes(a, runs);
  } else {
    a.planes.clear();
    a.rows = rows_at(*fit, Vector::Zero(fit->planes()));
  }
  return a;
}

Result<std::vector<RowPrediction>> predict(std::span<const BalanceRun> runs,
                                           std::span<const BalanceWeight> weights,
                                           const BalanceOptions& o) {
  const auto fit = fit_runs(runs, o);
  if (!fit) return fit.error();
  if (static_cast<Index>(weights.size()) != fit->planes())
    return Error{Errc::bad_argument, "weights", fmt::format("{} are given", weights.size()),
                 fmt::format("give one for each of the {} planes", fit->planes())};
  Vector w(fit->planes());
  for (Index p = 0; p < w.size(); ++p) w[p] = vector_of(weights[static_cast<std::size_t>(p)]);
  return rows_at(*fit, w);
}

}  // namespace bearingdsp
