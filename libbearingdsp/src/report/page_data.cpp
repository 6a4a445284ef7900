#include "page_data.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

#include "json_parts.hpp"
#include "markup.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t all_samples = std::size_t{1} << 21U;  // of a page
constexpr std::size_t short_curve = 4096;                   // kept as floats
constexpr double steps = 65533;                             // of 16 bits: codes 1 .. 65534

class Bytes {
 public:
  template <class Word>
  void add(Word word) {
    for (unsigned k = 0; k < sizeof(Word); ++k)
      bytes_.push_back(static_cast<std::uint8_t>((word >> (8U * k)) & 0xFFU));
  }
  [[nodiscard]] std::string text() const { return base64(bytes_); }

 private:
  std::vector<std::uint8_t> bytes_;
};

std::string doubles(const std::vector<double>& values) {
  Bytes bytes;
  for (const double v : values) bytes.add(std::bit_cast<std::uint64_t>(v));
  return bytes.text();
}

std::string floats(const std::vector<double>& values) {
  Bytes bytes;
  for (const double v : values) bytes.add(std::bit_cast<std::uint32_t>(static_cast<float>(v)));
  return bytes.text();
}

/// Codes 1 .. 65534 over what scale() makes of the values; 65535 is no value, 0 is zero where the
/// scale has none.
template <class Scale>
Json in_16_bits(const std::vector<double>& values, bool (*fits)(double), Scale scale) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const double v : values) {
    if (!std::isfinite(v) || !fits(v)) continue;
    low = std::min(low, scale(v));
    high = std::max(high, scale(v));
  }
  if (!(low <= high)) low = high = 0;
  const double step = high > low ? (high - low) / steps : 1;
  Bytes bytes;
  for (const double v : values) {
    std::uint16_t code = 65535;
    if (std::isfinite(v))
      code = fits(v) ? static_cast<std::uint16_t>(1 + std::lround((scale(v) - low) / step)) : 0;
    bytes.add(code);
  }
  return {{"low", low}, {"step", step}, {"data", bytes.text()}};
}

/// Levels go by their logarithm, so that a small line is as true as a large one.
Json column(const std::vector<double>& values) {
  if (values.size() <= short_curve) return {{"as", "f32"}, {"data", floats(values)}};
  const bool levels = std::none_of(values.begin(), values.end(), [](double v) { return v < 0; });
  Json json =
      levels ? in_16_bits(
                   values, [](double v) { return v > 0; }, [](double v) { return std::log(v); })
             : in_16_bits(
                   values, [](double) { return true; }, [](double v) { return v; });
  json["as"] = levels ? "log16" : "lin16";
  return json;
}

bool even(const std::vector<double>& x) {
  if (x.size() < 2) return false;
  const double step = (x.back() - x.front()) / static_cast<double>(x.size() - 1);
  if (!(step > 0)) return false;
  for (std::size_t i = 0; i < x.size(); ++i)
    if (!(std::abs(x[i] - x.front() - static_cast<double>(i) * step) <= 1e-4 * step)) return false;
  return true;
}

Json axis(const std::string& label, const std::string& unit) {
  return {{"label", label}, {"unit", unit}};
}

Json ranges_json(const std::vector<PlotRange>& ranges) {
  Json json = Json::array();
  for (const PlotRange& r : ranges)
    json.push_back({{"from", r.from}, {"to", r.to}, {"name", r.name}});
  return json;
}

std::string_view word(PlotKind kind) {
  switch (kind) {
    case PlotKind::line:
      return "line";
    case PlotKind::spectrum:
      return "spectrum";
    case PlotKind::readings:
      return "readings";
  }
  return "line";
}

Json plot_json(const ReportPlot& plot, std::size_t most) {
  const PageCurve curve = page_curve(plot, most);
  Json json = {{"title", plot.title},
               {"kind", word(plot.kind)},
               {"x", axis(plot.x_label, plot.x_unit)},
               {"y", axis(plot.y_label, plot.y_unit)},
               {"end", plot.x_end},
               {"shaftHz", plot.shaft_hz},
               {"count", curve.y.size()},
               {"ofEach", curve.of_each}};
  if (curve.step > 0) {
    json["start"] = curve.start;
    json["step"] = curve.step;
  } else {
    json["at"] = doubles(curve.x);
  }
  json["values"] = column(curve.y);
  Json marks = Json::array();
  for (const PlotMarker& m : plot.markers)
    marks.push_back({m.x, static_cast<int>(m.kind), m.harmonic, m.sideband, m.stands ? 1 : 0});
  json["markers"] = std::move(marks);
  Json limits = Json::array();
  for (const PlotLimit& l : plot.limits) limits.push_back({{"y", l.y}, {"name", l.name}});
  json["limits"] = std::move(limits);
  json["ranges"] = ranges_json(plot.ranges);
  Json spacings = Json::array();
  for (const PlotSpacing& s : plot.spacings)
    spacings.push_back({{"name", s.name}, {"spacing", s.spacing}});
  json["spacings"] = std::move(spacings);
  return json;
}

/// How many samples each plot may keep: what short ones leave is shared by the long ones.
std::size_t share(const std::vector<const ReportPlot*>& plots) {
  std::size_t left = all_samples;
  std::vector<std::size_t> sizes;
  sizes.reserve(plots.size());
  for (const ReportPlot* p : plots) sizes.push_back(p->y.size());
  std::sort(sizes.begin(), sizes.end());
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    const std::size_t each = left / (sizes.size() - i);
    if (sizes[i] > each) return std::max<std::size_t>(each, 2);
    left -= sizes[i];
  }
  return all_samples;
}

}  // namespace

PageCurve page_curve(const ReportPlot& plot, std::size_t most) {
  PageCurve c;
  const std::size_t n = std::min(plot.x.size(), plot.y.size());
  const bool regular = even(plot.x);
  if (regular) {
    c.start = plot.x.front();
    c.step = (plot.x.back() - plot.x.front()) / static_cast<double>(plot.x.size() - 1);
  }
  if (n <= most) {
    c.y = plot.y;
    if (!regular) c.x = plot.x;
    return c;
  }
  const std::size_t pairs = std::max<std::size_t>(most / 2, 1);
  c.of_each = (n + pairs - 1) / pairs;
  for (std::size_t begin = 0; begin < n; begin += c.of_each) {
    const std::size_t end = std::min(n, begin + c.of_each);
    // What is not finite must not hide what is: it compares as neither smaller nor larger.
    std::size_t low = begin, high = begin;
    for (std::size_t i = begin; i < end; ++i) {
      if (!std::isfinite(plot.y[i])) continue;
      if (!std::isfinite(plot.y[low]) || plot.y[i] < plot.y[low]) low = i;
      if (!std::isfinite(plot.y[high]) || plot.y[i] > plot.y[high]) high = i;
    }
    for (const std::size_t i : {std::min(low, high), std::max(low, high)}) {
      c.y.push_back(plot.y[i]);
      if (!regular) c.x.push_back(plot.x[i]);
    }
  }
  // Places within a group are given up for an even axis.
  if (regular) c.step *= static_cast<double>(c.of_each) / 2;
  return c;
}

std::string page_data(const std::vector<const ReportPlot*>& plots) {
  Json json = {{"plots", Json::array()}};
  const std::size_t most = share(plots);
  for (const ReportPlot* p : plots) json["plots"].push_back(plot_json(*p, most));
  std::string text;
  // "<" cannot end the script element or begin a comment in it when it is not written.
  for (const char c : dumped(json, false))
    if (c == '<')
      text += "\\u003c";
    else
      text += c;
  return text;
}

}  // namespace bearingdsp
