#include "verdict/clean_axes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bearingdsp/capture/glitch.hpp"
#include "bearingdsp/condition/shock.hpp"
#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {
namespace {

// What is cut down takes with it what else happened in that time.
constexpr double much_of_the_record = 0.1;

Finding finding_of(const Shocks& shocks, Hz rate, const std::string& axis) {
  double ratio = 0;
  for (const Shock& s : shocks.all) ratio = std::max(ratio, s.ratio);
  const std::size_t n = shocks.all.size();
  return {FindingKind::shocks,
          shocks.share > much_of_the_record ? Weight::caution : Weight::note,
          axis,
          fmt::format("{}, up to {:.0f} times the usual level, first at {:.4g} s",
                      counted(n, "isolated shock"), std::sqrt(ratio),
                      static_cast<double>(shocks.all.front().first) / rate.value()),
          "a bearing's impacts repeat and these do not: brought down to the usual level before "
          "the envelopes are formed",
          "find out what knocks, or record again without it"};
}

}  // namespace

CleanAxes repaired_channels(const Capture& capture, std::span<const std::size_t> chosen) {
  CleanAxes out;
  for (const std::size_t i : chosen) {
    SignalView view = capture.view(i);
    out.glitches.push_back(find_glitches(view.x, view.rate));
    if (!out.glitches.back().empty()) {
      out.samples.push_back(without_glitches(view.x, out.glitches.back()));
      view.x = out.samples.back();
    }
    out.views.push_back(view);
  }
  return out;
}

CleanAxes without_isolated_shocks(std::span<const SignalView> axes,
                                  std::span<const std::string> names, Findings& findings) {
  CleanAxes out;
  for (std::size_t a = 0; a < axes.size(); ++a) {
    SignalView view = axes[a];
    const auto shocks = find_shocks(view.x, view.rate);
    if (shocks && !shocks->all.empty()) {
      findings.push_back(finding_of(*shocks, view.rate, names[a]));
      out.samples.push_back(without_shocks(view.x, view.rate, *shocks));
      view.x = out.samples.back();
    }
    out.views.push_back(view);
  }
  return out;
}

std::vector<SignalView> diagnosed_axes(const Capture& capture, const Diagnosis& diagnosis) {
  std::vector<SignalView> axes;
  for (std::size_t i = 0; i < capture.channels.size(); ++i)
    if (std::find(diagnosis.channels.begin(), diagnosis.channels.end(), capture.channels[i].name) !=
        diagnosis.channels.end())
      axes.push_back(capture.view(i));
  return axes;
}

}  // namespace bearingdsp
