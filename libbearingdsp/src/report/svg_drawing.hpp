#pragma once
/// Drawings of things: the motor with the places for a sensor.
#include <string>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp::svg {

/// The whole <svg> element, in the colours of the light page as all static pictures.
[[nodiscard]] std::string picture(const ReportDrawing& drawing);

}  // namespace bearingdsp::svg
