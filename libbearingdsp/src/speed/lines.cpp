#include "lines.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace bearingdsp::speed_detail {
namespace {

using Complex = std::complex<double>;

// Hann window applied to a spectrum: half the bin less a quarter of each neighbour.
std::vector<double> hann_power(std::span<const Complex> spectrum, std::size_t bins) {
  std::vector<double> p(bins);
  for (std::size_t k = 0; k < bins; ++k) {
    const Complex left = k == 0 ? std::conj(spectrum[1]) : spectrum[k - 1];
    p[k] = std::norm(0.5 * spectrum[k] - 0.25 * (left + spectrum[k + 1]));
  }
  return p;
}

// Squared envelope of one band, soft-limited so that a few shocks do not own it. Sampled at the
// band's own width: the squared envelope then folds about that width, far above the lines sought.
std::vector<double> soft_squared_envelope(std::span<const Complex> spectrum, std::size_t first,
                                          std::size_t m, double limit, FftPlans& plans) {
  std::vector<Complex> z(m);
  plans.complex(m)->inverse(spectrum.subspan(first, m), z);
  std::vector<double> e(m);
  double mean = 0;
  for (std::size_t j = 0; j < m; ++j) mean += e[j] = std::norm(z[j]);
  mean /= static_cast<double>(m);
  if (!(mean > 0)) return {};
  double sum = 0;
  for (double& v : e) sum += v = v / (v + limit * mean);
  sum /= static_cast<double>(m);
  for (double& v : e) v -= sum;
  return e;
}

}  // namespace

std::vector<double> whiten(std::span<const double> power, std::size_t block) {
  const std::size_t n = power.size();
  std::vector<double> out(n, 0.0);
  if (n == 0) return out;
  block = std::clamp<std::size_t>(block, 8, std::max<std::size_t>(n, 8));
  const std::size_t hop = std::max<std::size_t>(block / 2, 1);
  std::vector<double> centre;
  std::vector<double> level;
  std::vector<double> scratch;
  for (std::size_t a = 0; a < n; a += hop) {
    const std::size_t b = std::min(a + block, n);
    if (b - a < block / 2 && !level.empty()) break;
    scratch.assign(power.begin() + static_cast<std::ptrdiff_t>(a),
                   power.begin() + static_cast<std::ptrdiff_t>(b));
    const auto mid = scratch.begin() + static_cast<std::ptrdiff_t>(scratch.size() / 2);
    std::nth_element(scratch.begin(), mid, scratch.end());
    centre.push_back(0.5 * static_cast<double>(a + b - 1));
    // The median of an exponential variable is ln 2 of its mean.
    level.push_back(std::log(std::max(*mid / std::numbers::ln2, 1e-300)));
  }
  std::size_t i = 0;
  for (std::size_t k = 0; k < n; ++k) {
    const auto x = static_cast<double>(k);
    while (i + 1 < centre.size() && centre[i + 1] < x) ++i;
    double l = level[i];
    if (i + 1 < centre.size() && x > centre[i])
      l += (level[i + 1] - level[i]) * (x - centre[i]) / (centre[i + 1] - centre[i]);
    out[k] = power[k] * std::exp(-l);
  }
  return out;
}

std::vector<Line> pick_lines(std::span<const double> s, double spacing, double threshold) {
  std::vector<Line> found;
  if (s.size() < 8) return found;
  struct Raw {
    double bin;
    double power;
    double broadening;
  };
  std::vector<Raw> raw;
  for (std::size_t k = 3; k + 3 < s.size(); ++k) {
    if (s[k] < threshold || s[k] < s[k - 1] || s[k] <= s[k + 1]) continue;
    const double c = std::sqrt(s[k]);
    const double l = std::sqrt(s[k - 1]);
    const double r = std::sqrt(s[k + 1]);
    const double ratio = std::max(l, r) / c;
    double d = std::clamp((2 * ratio - 1) / (ratio + 1), 0.0, 0.5);
    if (l > r) d = -d;
    const double bin = static_cast<double>(k) + d;
    // A pure line under a Hann window has a power variance of one third of a bin squared; more says
    // that its frequency wandered.
    double weight = 0;
    double spread = 0;
    for (std::size_t j = k - 2; j <= k + 2; ++j) {
      const double p = std::max(s[j] - 1, 0.0);
      const double x = static_cast<double>(j) - bin;
      weight += p;
      spread += p * x * x;
    }
    raw.push_back({bin, s[k], std::max(spread / weight - 0.36, 0.0)});
  }
  found.reserve(raw.size());
  for (std::size_t i = 0; i < raw.size(); ++i) {
    // Side lobes of neighbours pull the peak: (amplitude of the lobe here) / (own amplitude).
    double pull = 0;
    const auto neighbour = [&](std::size_t j) {
      const double d = std::abs(raw[j].bin - raw[i].bin);
      if (d > 8) return false;
      const double lobe = d < 2.5 ? 0.12 : 1 / (std::numbers::pi * d * (d * d - 1));
      const double a = lobe * std::sqrt(raw[j].power / raw[i].power);
      pull += a * a;
      return true;
    };
    for (std::size_t j = i; j-- > 0;)
      if (!neighbour(j)) break;
    for (std::size_t j = i + 1; j < raw.size(); ++j)
      if (!neighbour(j)) break;
    const double sigma_bins = std::sqrt(0.45 / raw[i].power + 0.02 * 0.02 + 0.6 * 0.6 * pull +
                                        0.3 * 0.3 * raw[i].broadening);
    found.push_back({raw[i].bin * spacing, sigma_bins * spacing, raw[i].power});
  }
  return found;
}

std::vector<Line> merge_lines(std::vector<Line> all, double spacing) {
  std::sort(all.begin(), all.end(), [](const Line& a, const Line& b) { return a.f < b.f; });
  std::vector<Line> merged;
  std::size_t i = 0;
  while (i < all.size()) {
    double w = 0;
    double wf = 0;
    double wff = 0;
    double top = 0;
    double extra = 0;
    std::size_t j = i;
    for (; j < all.size(); ++j) {
      if (j > i) {
        const double mean = wf / w;
        const double reach =
            std::min(3 * std::hypot(all[j].sigma, 1 / std::sqrt(w)), 0.5 * spacing);
        if (all[j].f - mean > std::max(reach, 0.1 * spacing)) break;
      }
      const double v = 1 / (all[j].sigma * all[j].sigma);
      w += v;
      wf += v * all[j].f;
      wff += v * all[j].f * all[j].f;
      top = std::max(top, all[j].prominence);
      extra += all[j].prominence;
    }
    const auto count = static_cast<double>(j - i);
    const double mean = wf / w;
    const double chi = std::max(wff - mean * wf, 0.0);
    // Axes share their noise and their disturbances: averaging is not taken at face value.
    const double inflate = std::max(std::sqrt(chi / std::max(count - 1, 1.0)), std::sqrt(count));
    merged.push_back({mean, inflate / std::sqrt(w), 0.5 * (top + extra)});
    i = j;
  }
  return merged;
}

LineSets find_lines(std::span<const SignalView> axes, const Transforms& known, FftPlans& plans,
                    const ModelParameters& model) {
  const LinesModel& m = model.lines;
  const double vibration_top = model.speed.vibration_top;
  const double envelope_top = model.speed.envelope_top;
  LineSets sets;
  const double rate = axes.front().rate.value();
  const std::size_t n = good_fft_size_below(axes.front().x.size());
  const double spacing = rate / static_cast<double>(n);
  const std::size_t bins = n / 2 + 1;
  const auto top_bin = static_cast<std::size_t>(std::min(vibration_top, 0.45 * rate) / spacing);
  sets.vibration.spacing = sets.envelope.spacing = spacing;
  sets.vibration.top = static_cast<double>(top_bin) * spacing;
  sets.envelope.top = envelope_top;

  // Demodulation bands: even steps of log frequency, each wide enough for the envelope sought.
  const double edge_low = std::min(m.lowest_hz, 0.1 * rate);
  const double edge_high = 0.45 * rate;
  const int band_count = m.bands;
  std::vector<std::size_t> edges;
  for (int b = 0; b <= band_count; ++b)
    edges.push_back(static_cast<std::size_t>(
        edge_low * std::pow(edge_high / edge_low, static_cast<double>(b) / band_count) / spacing));

  const auto block = static_cast<std::size_t>(std::max(m.whiten_hz / spacing, m.whiten_lines));
  std::vector<Line> vibration;
  std::vector<Line> envelope;
  std::vector<Complex> made(known.empty() ? bins : 0);
  for (std::size_t a = 0; a < axes.size(); ++a) {
    if (known.empty()) {
      plans.real(n)->forward(axes[a].x.first(n), made);
      made[0] = 0;  // the mean
    }
    const std::span<const Complex> spectrum = known.empty() ? std::span{made} : known[a];
    const auto whitened = whiten(hann_power(spectrum, std::min(top_bin, bins - 1)), block);
    const auto lines = pick_lines(whitened, spacing, m.vibration);
    vibration.insert(vibration.end(), lines.begin(), lines.end());

    std::size_t first = edges[0];
    for (std::size_t b = 1; b < edges.size(); ++b) {
      const double width = static_cast<double>(edges[b] - first) * spacing;
      if (width < 1.2 * envelope_top && b + 1 < edges.size()) continue;  // joined to the next
      const std::size_t n_band = good_fft_size_below(std::max<std::size_t>(edges[b] - first, 1));
      if (static_cast<double>(n_band) * spacing < 1.05 * envelope_top || n_band < 64) break;
      const auto e = soft_squared_envelope(spectrum, first, n_band, m.soft_limit, plans);
      first = edges[b];
      if (e.empty()) continue;
      std::vector<Complex> es(n_band / 2 + 1);
      plans.real(n_band)->forward(e, es);
      const auto es_bins = std::min(static_cast<std::size_t>(envelope_top / spacing), n_band / 2);
      const auto ew = whiten(hann_power(es, es_bins), block);
      const auto el = pick_lines(ew, spacing, m.envelope);
      envelope.insert(envelope.end(), el.begin(), el.end());
    }
  }
  sets.vibration.lines = merge_lines(std::move(vibration), spacing);
  sets.envelope.lines = merge_lines(std::move(envelope), spacing);
  return sets;
}

}  // namespace bearingdsp::speed_detail
