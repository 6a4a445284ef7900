#include "bearingdsp/balancing/four_run.hpp"

#include <fmt/format.h>
#include <Eigen/Core>
#include <Eigen/QR>

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

namespace bearingdsp {
namespace {

using FourRunMatrix = Eigen::MatrixXd;
constexpr double to_radians = std::numbers::pi / 180;
constexpr double normal_95 = 1.959963984540054;

Error wrong_runs(std::string what, std::string advice) {
  return {Errc::bad_argument, "runs without phase", std::move(what), std::move(advice)};
}

bool above_zero(double v) { return v > 0 && std::isfinite(v); }

/// T^2, T a, T b.
struct FourRunFit {
  double effect_square{0};
  std::complex<double> product;
};

Result<FourRunMatrix> design_of(const FourRuns& r) {
  if (r.runs.size() < 3)
    return wrong_runs(fmt::format("{} with the trial weight", r.runs.size()),
                      "measure with it at three angles, such as 0, 120 and 240 degrees");
  if (!above_zero(r.trial.value()))
    return wrong_runs("the trial weight is not above zero", "give its mass in g");
  if (!above_zero(r.found))
    return wrong_runs("the amplitude as found is not above zero", "give what was measured");
  FourRunMatrix d(static_cast<Eigen::Index>(r.runs.size()), 3);
  for (std::size_t i = 0; i < r.runs.size(); ++i) {
    if (!above_zero(r.runs[i].amplitude) || !std::isfinite(r.runs[i].angle.value()))
      return wrong_runs(fmt::format("run {} has no amplitude above zero, or no angle", i + 1),
                        "give what was measured");
    const double angle = r.runs[i].angle.value() * to_radians;
    d.row(static_cast<Eigen::Index>(i)) << 1, 2 * std::cos(angle), 2 * std::sin(angle);
  }
  if (Eigen::ColPivHouseholderQR<FourRunMatrix>{d}.setThreshold(1e-3).rank() < 3)
    return wrong_runs("the angles of the trial weight do not differ enough",
                      "use three angles far apart, such as 0, 120 and 240 degrees");
  return d;
}

FourRunFit fit_amplitudes(const FourRunMatrix& d, double found,
                          const std::vector<AmplitudeRun>& runs) {
  Eigen::VectorXd y(d.rows());
  for (Eigen::Index i = 0; i < d.rows(); ++i) {
    const double v = runs[static_cast<std::size_t>(i)].amplitude;
    y[i] = v * v - found * found;
  }
  const Eigen::VectorXd x = d.colPivHouseholderQr().solve(y);
  return {x[0], {x[1], x[2]}};
}

/// Grams; empty where the runs leave no effect.
std::optional<std::complex<double>> correction_of(const FourRunFit& f, double found, double trial) {
  if (!(f.effect_square > 0) || !(std::abs(f.product) > 0)) return std::nullopt;
  const double mass = trial * found / std::sqrt(f.effect_square);
  return -mass * f.product / std::abs(f.product);
}

/// One standard deviation of the correction, g: each amplitude moved by its own.
double spread_of(const FourRunMatrix& d, const FourRuns& r, double repeatability) {
  const auto moved = [&](std::size_t which, double by) {
    FourRuns other = r;
    if (which == r.runs.size())
      other.found += by;
    else
      other.runs[which].amplitude += by;
    return correction_of(fit_amplitudes(d, other.found, other.runs), other.found,
                         other.trial.value());
  };
  double sum = 0;
  for (std::size_t i = 0; i <= r.runs.size(); ++i) {
    const double v = i == r.runs.size() ? r.found : r.runs[i].amplitude;
    const double step = repeatability * v / 2;
    const auto up = moved(i, step);
    const auto down = moved(i, -step);
    if (!up || !down) return std::numeric_limits<double>::infinity();
    sum += std::norm(*up - *down);
  }
  return std::sqrt(sum);
}

void judge_runs(FourRunAnswer& a, const FourRuns& r, const FourRunOptions& o) {
  const double misfit = std::abs(a.found_again / r.found - 1);
  if (misfit > o.max_misfit)
    a.why_not.push_back(fmt::format(
        "the runs contradict each other: together they give {:.3g} as found, {:.3g} was measured "
        "({:.0f} % apart, {:.0f} % allowed). Repeat them at one speed and load; if it stays, the "
        "rotor is not linear (looseness, resonance): balance with phase",
        a.found_again, r.found, 100 * misfit, 100 * o.max_misfit));
  else if (misfit > o.doubtful_misfit)
    a.notes.push_back(fmt::format(
        "The runs give {:.3g} as found, {:.3g} was measured: {:.0f} % apart. Repeat them, or "
        "mount half of the weight first.",
        a.found_again, r.found, 100 * misfit));
  if (a.effect < o.min_effect * r.found)
    a.why_not.push_back(
        fmt::format("the trial weight alone causes {:.3g}, {:.0f} % of the vibration found; {:.0f} "
                    "% is needed. "
                    "Use a heavier one",
                    a.effect, 100 * a.effect / r.found, 100 * o.min_effect));
}

}  // namespace

Result<FourRunAnswer> balance_without_phase(const FourRuns& r, const FourRunOptions& o) {
  if (!(o.repeatability >= 0 && o.repeatability <= 1))
    return wrong_runs(fmt::format("repeatability of {:g}", o.repeatability),
                      "give it as a fraction of the amplitude, such as 0.05");
  const auto design = design_of(r);
  if (!design) return design.error();
  FourRunAnswer a;
  a.repeatability = o.repeatability;
  const FourRunFit fit = fit_amplitudes(*design, r.found, r.runs);
  const auto weight = correction_of(fit, r.found, r.trial.value());
  if (!weight) {
    a.why_not.emplace_back(
        "the runs contradict each other: with the trial weight the vibration fell at all angles "
        "together, which no linear rotor does. Check the values and repeat the runs");
    return a;
  }
  a.effect = std::sqrt(fit.effect_square);
  a.direction = angle_of(fit.product);
  a.found_again = std::abs(fit.product) / a.effect;
  a.correction = weight_of(*weight);
  const double spread = normal_95 * spread_of(*design, r, o.repeatability);
  a.mass_uncertainty = Grams{spread};
  const double mass = a.correction.mass.value();
  a.angle_uncertainty = Degrees{spread < mass ? std::asin(spread / mass) / to_radians : 180.0};
  a.at_most = spread * a.effect / r.trial.value();
  judge_runs(a, r, o);
  if (a.usable() && a.at_most >= r.found)
    a.why_not.emplace_back(
        "the runs do not determine the correction: after it the vibration could be as high as "
        "before. Repeat them with a heavier trial weight");
  return a;
}

}  // namespace bearingdsp
