#pragma once
/// A report's plots as one static picture (SVG 1.1, no script, no outside reference).
#include <string>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

struct SvgOptions {
  int width{1040};        ///< user units (px)
  int panel_height{250};  ///< of each plot with its axes
};

/// The verdict, the key figures and every plot with its markers, on a light background. Curves are
/// thinned to the smallest and largest sample of each pixel column, so no peak is lost. Colours
/// tell the parts apart for colour-blind readers too, and each marker also has its own dash and
/// name. Source of the palette: [okabe2008] M. Okabe, K. Ito, Color Universal Design (2008).
[[nodiscard]] std::string to_svg(const Report& report, const SvgOptions& options = {});

}  // namespace bearingdsp
