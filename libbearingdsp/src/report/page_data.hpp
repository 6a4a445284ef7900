#pragma once
/// The numbers behind the plots, as the page's script reads them.
#include <cstddef>
#include <string>
#include <vector>

#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// Samples of a curve that the page carries.
struct PageCurve {
  double start{0}, step{0};  ///< of x where it is even (step > 0)
  std::vector<double> x;     ///< of x where it is not
  std::vector<double> y;
  std::size_t of_each{1};  ///< > 1: every two are the smallest and largest of this many samples
};

/// At most `most` samples (>= 2), peaks kept at the place of their group.
[[nodiscard]] PageCurve page_curve(const std::vector<double>& x, const std::vector<double>& y,
                                   std::size_t most);

/// What the page shows, in its order.
struct PageContent {
  std::vector<const ReportPlot*> plots;
  std::vector<const ReportMap*> maps;
  std::vector<const ReportChanges*> changes;
  [[nodiscard]] bool empty() const { return plots.empty() && maps.empty() && changes.empty(); }
};

/// A JSON object of one line, "<" escaped: {"plots":[...],"maps":[...],"changes":[...]}. Numbers:
/// docs/report.md
[[nodiscard]] std::string page_data(const PageContent& content);

}  // namespace bearingdsp
