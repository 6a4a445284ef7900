#pragma once
/// What an Examination holds.
#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "bearingdsp/verdict/examination.hpp"
#include "verdict/clean_axes.hpp"
#include "verdict/shaft_motion.hpp"

namespace bearingdsp {

struct ExaminationDetail {
  std::shared_ptr<const Capture> capture;
  DiagnoseOptions options;              ///< without its bearings
  std::vector<std::size_t> chosen;      ///< channels that are analysed
  std::vector<std::string> axis_names;  ///< of the live ones
  std::string names;                    ///< of the chosen ones, joined
  Diagnosis found;                      ///< all that is known before any bearing is considered
  CleanAxes repaired;                   ///< the chosen channels without wrong samples
  CleanAxes calm;                       ///< the live ones of them, without isolated shocks
  MotionEvidence motion;                ///< where an axis is live

  [[nodiscard]] const std::vector<SignalView>& axes() const noexcept { return calm.views; }
};

}  // namespace bearingdsp
