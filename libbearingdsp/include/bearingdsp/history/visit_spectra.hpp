#pragma once
/// Two spectra of a recording, small enough to be kept for every reading: a picture of how the
/// lines grew needs them, and the recordings may be gone by then.
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// The highest line of each column.
/// Shape: level [n]; column i from start + i step to start + (i + 1) step.
struct KeptSpectrum {
  double start{0}, step{1};
  std::vector<double> level;
};

struct VisitSpectra {
  /// Squared envelope of the whole band over shaft orders, as modulation depth; empty where no
  /// shaft speed was found. The whole band is the same at every reading, the chosen one is not.
  KeptSpectrum envelope;
  KeptSpectrum velocity;  ///< over Hz, 10-1000 Hz, m/s rms; empty without a unit
  /// Of the bearing as it was known then: bpfo, bpfi, bsf, ftf alone.
  std::optional<DefectOrders> orders;
};

/// Columns of 0.05 orders up to 3.5 times the inner ring's order (20 orders without a bearing), and
/// of 2.5 Hz, of an analysed recording. The envelope's curve has to be among the diagnosis's.
/// Shape:    axes [m]: those that were diagnosed; the largest line over them counts
/// Accuracy: Hann window: a velocity line between two bins reads up to 15 % low
[[nodiscard]] VisitSpectra visit_spectra(const Diagnosis& diagnosis,
                                         std::span<const SignalView> axes, FftPlans& plans);

/// A byte a column: 1 to 254 in steps of 80 dB / 253 up to the highest, 0: lower. Within 1.9 %.
struct CodedSpectrum {
  double start{0}, step{1}, highest{0};
  std::vector<std::uint8_t> codes;
};
[[nodiscard]] CodedSpectrum coded(const KeptSpectrum& spectrum);
/// What was coded, 0 where it was lower.
/// Shape: as coded.
[[nodiscard]] KeptSpectrum decoded(const CodedSpectrum& coded);

}  // namespace bearingdsp
