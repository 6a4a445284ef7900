#pragma once
/// A diagnosis in two steps. What one recording shows whatever the bearing is, is found once;
/// hypotheses about the bearing are then weighed on it as often as needed.
#include <memory>
#include <vector>

#include "bearingdsp/bearing/candidate.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/dsp/fft.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

struct ExaminationDetail;

/// One examined recording: channels and their levels, lines that a speed is found by, the path of a
/// changing speed. A value; copies share what was found.
class Examination {
 public:
  explicit Examination(std::shared_ptr<const ExaminationDetail> detail)
      : detail_{std::move(detail)} {}
  [[nodiscard]] const Capture& capture() const noexcept;
  [[nodiscard]] const ExaminationDetail& detail() const noexcept { return *detail_; }

 private:
  std::shared_ptr<const ExaminationDetail> detail_;
};

/// Examines one measuring point: all chosen channels of the capture are pooled as axes of that
/// point. DiagnoseOptions::bearings plays no role here.
/// Errors: too_short if no channel holds 1024 samples; not_found for a channel name that does not
/// exist; missing_metadata without a sample rate; bad_argument for options outside their range
[[nodiscard]] Result<Examination> examine(std::shared_ptr<const Capture> capture, FftPlans& plans,
                                          const DiagnoseOptions& options = {});

/// Weighs the candidates against one another and against no damage. None: only general statements.
/// With several, the verdict is a mixture: each counts by its weight and by how well it explains
/// the recording, so that the number of candidates is paid for; the one that explains it best is
/// shown.
/// Errors: bad_argument for orders that are not above zero.
/// Source: docs/theory/diagnosis.md
[[nodiscard]] Result<Diagnosis> judge(const Examination& examination, FftPlans& plans,
                                      const std::vector<BearingCandidate>& bearings);

/// The same for several positions of one machine, such as the bearings at its two ends, over shared
/// spectra.
/// Shape: one diagnosis for each position; the first alone carries curves and other causes
[[nodiscard]] Result<std::vector<Diagnosis>> judge_positions(
    const Examination& examination, FftPlans& plans,
    const std::vector<std::vector<BearingCandidate>>& positions);

}  // namespace bearingdsp
