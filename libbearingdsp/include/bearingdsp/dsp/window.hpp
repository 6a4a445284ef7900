#pragma once
/// Tapers for spectra and filters, and the two figures that turn a windowed transform into a level.
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace bearingdsp {

enum class WindowKind : std::uint8_t { rectangular, hann, hamming, blackman, flat_top, kaiser };

/// periodic: one period of a length-n sequence, for spectra; symmetric: w[0] = w[n-1], for filters.
enum class WindowSymmetry : std::uint8_t { periodic, symmetric };

struct WindowShape {
  WindowKind kind{WindowKind::hann};
  double kaiser_beta{8.6};  ///< only for kaiser, 0 .. 50
};

/// Shape:    w [n], n >= 1; w = {1} for n = 1
/// Accuracy: sums of cosines in double; symmetric to the last bit
/// Errors:   std::invalid_argument for n = 0 or a Kaiser beta outside 0 .. 50
/// Source:   [harris1978] F. Harris, Proc. IEEE 66, 51-83; flat_top: five-term window with
///           coherent gain 0.2156 (the kind of ISO 18431-2)
[[nodiscard]] std::vector<double> make_window(std::size_t n, const WindowShape& shape,
                                              WindowSymmetry symmetry = WindowSymmetry::periodic);

/// mean(w): what the amplitude of a line is multiplied by.
[[nodiscard]] double coherent_gain(std::span<const double> w);
/// n sum(w^2) / sum(w)^2: noise bandwidth in lines (1 rectangular, 1.5 Hann).
[[nodiscard]] double enbw_bins(std::span<const double> w);
/// How many independent segments `count` windowed segments are worth that begin `step` samples
/// apart: count / (1 + 2 sum_j (1 - j/count) r_j^2), r_j the correlation of the window with itself
/// j steps on. Hann at half overlap: 0.95 of their number.
/// Errors: std::invalid_argument for a window without power, or a count or step of 0
/// Source: [welch1967], variance of the averaged periodogram
[[nodiscard]] double independent_averages(std::span<const double> w, std::size_t count,
                                          std::size_t step);
/// Kaiser beta for a stop-band attenuation in dB (> 0).
/// Source: [kaiser1974] J. Kaiser, Proc. IEEE ISCAS, 20-23
[[nodiscard]] double kaiser_beta_for(double attenuation_db);

}  // namespace bearingdsp
