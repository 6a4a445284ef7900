#include "bearingdsp/spectra/cyclic_coherence.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <stdexcept>

namespace bearingdsp {
namespace {

constexpr int max_bands = 16;
constexpr double max_columns = 1024;
// A band as narrow as the cyclic frequency has no two lines that far apart.
constexpr double width_over_cyclic = 1.2;
// The last 2 % below Nyquist hold the anti-alias filter's edge, as in band_tree().
constexpr double top_of_rate = 0.49;
constexpr double one_cell_of = 1000;

std::vector<Band> bands_side_by_side(Hz rate, Hz up_to) {
  const Hz top = top_of_rate * rate;
  const int count =
      std::clamp(static_cast<int>(std::floor(top / (width_over_cyclic * up_to))), 1, max_bands);
  std::vector<Band> bands;
  for (int i = 0; i < count; ++i)
    bands.push_back({top * (static_cast<double>(i) / count), top * ((i + 1.0) / count)});
  return bands;
}

/// The power of a line of the squared envelope of Gaussian noise, over its mean squared, is
/// exponentially distributed with mean enbw / (width x duration) [1 + the window's rest]; a column
/// of k lines has k chances.
double reached_by_chance(const EnvelopeSpectrum& s, double lines_a_column) {
  const double independent = s.band.width() / s.line_spacing;
  return std::sqrt(s.enbw_bins / independent * std::log(one_cell_of * lines_a_column));
}

}  // namespace

CoherenceMap cyclic_coherence(std::span<const RecordSpectrum> axes, Hz up_to, FftPlans& plans) {
  if (axes.empty()) throw std::invalid_argument{"cyclic_coherence: no axis"};
  for (const RecordSpectrum& axis : axes)
    if (axis.n != axes[0].n || axis.rate != axes[0].rate)
      throw std::invalid_argument{"cyclic_coherence: axes differ in length or rate"};
  const Hz df = axes[0].line_spacing();
  const double lines = std::max(1.0, std::ceil(up_to / df / max_columns));
  const auto a_column = static_cast<std::size_t>(lines);
  CoherenceMap map;
  map.bands = bands_side_by_side(axes[0].rate, up_to);
  map.step = lines * df;
  map.magnitude.resize(map.bands.size());
  for (const RecordSpectrum& axis : axes) {
    const auto spectra = squared_envelope_spectra(axis, map.bands, up_to, plans);
    map.by_chance = reached_by_chance(spectra.front(), lines);
    for (std::size_t b = 0; b < spectra.size(); ++b) {
      const std::vector<double>& depth2 = spectra[b].depth2;
      const std::size_t columns = depth2.size() / a_column;
      std::vector<double>& row = map.magnitude[b];
      row.resize(columns, 0.0);
      for (std::size_t c = 0; c < columns; ++c) {
        double most = 0;
        // Lines 0 and 1 are the mean and its window.
        for (std::size_t k = std::max<std::size_t>(2, c * a_column); k < (c + 1) * a_column; ++k)
          most = std::max(most, depth2[k]);
        row[c] += most / (4 * static_cast<double>(axes.size()));
      }
    }
  }
  for (auto& row : map.magnitude)
    for (double& v : row) v = std::sqrt(v);
  return map;
}

}  // namespace bearingdsp
