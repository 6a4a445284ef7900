#pragma once
/// One recording of a bearing as one side of a comparison: its analysis, its levels, and what can
/// make it unlike another one.
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/history/indicators.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/verdict/at_machine.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// What is known of a recording besides its samples.
struct RecordingFacts {
  std::optional<double> load_percent;  ///< of the rated load
  std::string sensor;                  ///< free words; empty: not said
  std::string fixing;                  ///< stud, magnet, held by hand ...; empty: not said
};

/// Where the samples come from.
struct ComparedRecording {
  Reading reading;              ///< its analysis; hash and time may be empty
  std::vector<Levels> pieces;   ///< of equal pieces of it, in time; empty out of a history
  std::optional<double> range;  ///< largest magnitude the recorder holds, in the samples' unit
  Hz recorded_rate;             ///< before it was brought to a common one
  /// Highest frequency that carries anything: a recorder's or sensor's filter ends below rate/2.
  Hz reach;
  bool speed_seen{true};               ///< found in the recording itself, not only as given
  std::optional<DefectOrders> orders;  ///< of the bearing, where it is known
  std::vector<Curve> curves;           ///< spectra, if DiagnoseOptions::keep_curves asked for them
  RecordingFacts facts;
  std::string same_as;  ///< the recording of the other side that holds the same samples; else empty
};

/// Whether it can be compared at all: not blocked by what was found about the recording.
[[nodiscard]] bool usable(const ComparedRecording& recording) noexcept;

/// Whether two captures hold one recording, whole or its beginning, in whatever unit: the steps
/// between samples of the first channel correlate beyond 0.999, which the noise of two recordings
/// never does.
[[nodiscard]] bool same_signal(const Capture& a, const Capture& b);

/// The capture at a lower rate, low-passed; unchanged at its own rate. Shaft marker channels are
/// left out, so that the speed has to be found again from the vibration.
/// Errors: std::invalid_argument unless 0 < rate <= capture.rate.
/// Source: resample()
[[nodiscard]] Capture at_rate(const Capture& capture, Hz rate);

/// Diagnoses the capture, at the point of a machine if there is one, and measures its levels, as a
/// whole and in up to eight pieces of at least ten revolutions.
/// Errors: those of diagnose()
[[nodiscard]] Result<ComparedRecording> measure_recording(const Capture& capture,
                                                          const DiagnoseOptions& options,
                                                          const std::optional<KnownPoint>& at,
                                                          const RecordingFacts& facts,
                                                          FftPlans& plans);

/// The same from a diagnosis of the capture that was made already.
/// Errors: none
[[nodiscard]] ComparedRecording compared_recording(const Capture& capture,
                                                   const Diagnosis& diagnosis,
                                                   const DiagnoseOptions& options,
                                                   const RecordingFacts& facts, FftPlans& plans);

/// A reading of a history as a recording: without pieces; with curves where the
/// spectra of the reading were read (History::read_spectra).
[[nodiscard]] ComparedRecording recording_of(const Reading& reading);

}  // namespace bearingdsp
