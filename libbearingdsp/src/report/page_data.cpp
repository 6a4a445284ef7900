#include "page_data.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <utility>

#include "json_parts.hpp"
#include "map_shades.hpp"
#include "markup.hpp"

namespace bearingdsp {
namespace {

constexpr std::size_t all_samples = std::size_t{1} << 21U;  // of a page
constexpr std::size_t short_curve = 4096;                   // kept as floats
constexpr double steps = 65533;                             // of 16 bits: codes 1 .. 65534
constexpr double map_decades = 4, byte_steps = 253;         // of a large map: codes 1 .. 254

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

/// A byte a cell: 0 is zero or less than four decades below the highest, 255 no value.
Json cells(const std::vector<double>& values) {
  if (values.size() <= short_curve) return {{"as", "f32"}, {"data", floats(values)}};
  double high = 0;
  for (const double v : values)
    if (std::isfinite(v)) high = std::max(high, v);
  const double low = std::log(high > 0 ? high : 1) - map_decades * std::numbers::ln10;
  const double step = map_decades * std::numbers::ln10 / byte_steps;
  Bytes bytes;
  for (const double v : values) {
    std::uint8_t code = 255;
    if (std::isfinite(v))
      code = v > 0 && std::log(v) >= low
                 ? static_cast<std::uint8_t>(1 + std::lround((std::log(v) - low) / step))
                 : 0;
    bytes.add(code);
  }
  return {{"as", "log8"}, {"low", low}, {"step", step}, {"data", bytes.text()}};
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
    case PlotKind::rates:
      return "rates";
  }
  return "line";
}

Json markers_json(const std::vector<PlotMarker>& markers) {
  Json marks = Json::array();
  for (const PlotMarker& m : markers)
    marks.push_back({m.x, static_cast<int>(m.kind), m.harmonic, m.sideband, m.detected ? 1 : 0});
  return marks;
}

void put_curve(Json& json, const PageCurve& curve) {
  if (curve.step > 0) {
    json["start"] = curve.start;
    json["step"] = curve.step;
  } else {
    json["at"] = doubles(curve.x);
  }
  json["values"] = column(curve.y);
}

Json map_json(const ReportMap& map) {
  const MapShades range{map};
  Json json = {{"title", map.title},      {"x", axis(map.x_label, map.x_unit)},
               {"rowLabel", map.y_label}, {"value", axis(map.value_label, map.value_unit)},
               {"end", map.x_end},        {"shaftHz", map.shaft_hz},
               {"inDb", map.in_db},       {"low", range.low()},
               {"high", range.high()},    {"span", map.span_db}};
  std::vector<double> all;
  Json rows = Json::array();
  for (const MapRow& row : map.rows) {
    Json one = {
        {"name", row.name}, {"start", row.start}, {"step", row.step}, {"count", row.y.size()}};
    if (!row.notes.empty()) one["notes"] = row.notes;
    rows.push_back(std::move(one));
    all.insert(all.end(), row.y.begin(), row.y.end());
  }
  json["rows"] = std::move(rows);
  json["values"] = cells(all);
  json["markers"] = markers_json(map.markers);
  json["marks"] = Json::array();
  for (const MapMark& m : map.marks)
    json["marks"].push_back({{"row", m.row}, {"cell", m.cell}, {"name", m.name}});
  json["breaks"] = Json::array();
  for (const MapBreak& b : map.breaks) json["breaks"].push_back({{"row", b.row}, {"name", b.name}});
  return json;
}

Json changes_json(const ReportChanges& changes) {
  Json rows = Json::array();
  for (const ChangeRow& r : changes.rows)
    rows.push_back(
        {r.name, r.before, r.after, r.own_unit, r.change, r.chance, r.beyond, r.harmless});
  return {{"title", changes.title},
          {"x", axis(changes.label, changes.unit)},
          {"rows", std::move(rows)}};
}

Json plot_json(const ReportPlot& plot, std::size_t most) {
  const PageCurve curve = page_curve(plot.x, plot.y, most);
  Json json = {{"title", plot.title},
               {"kind", word(plot.kind)},
               {"x", axis(plot.x_label, plot.x_unit)},
               {"y", axis(plot.y_label, plot.y_unit)},
               {"end", plot.x_end},
               {"shaftHz", plot.shaft_hz},
               {"count", curve.y.size()},
               {"ofEach", curve.of_each}};
  put_curve(json, curve);
  json["markers"] = markers_json(plot.markers);
  if (plot.behind) {
    const PageCurve other = page_curve(plot.behind->x, plot.behind->y, most);
    Json behind = {{"name", plot.behind->name}, {"ofEach", other.of_each}};
    put_curve(behind, other);
    json["behind"] = std::move(behind);
    json["name"] = plot.name;
  }
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
  for (const ReportPlot* p : plots) {
    sizes.push_back(p->y.size());
    if (p->behind) sizes.push_back(p->behind->y.size());
  }
  std::sort(sizes.begin(), sizes.end());
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    const std::size_t each = left / (sizes.size() - i);
    if (sizes[i] > each) return std::max<std::size_t>(each, 2);
    left -= sizes[i];
  }
  return all_samples;
}

}  // namespace

PageCurve page_curve(const std::vector<double>& x, const std::vector<double>& y, std::size_t most) {
  PageCurve c;
  const std::size_t n = std::min(x.size(), y.size());
  const bool regular = even(x);
  if (regular) {
    c.start = x.front();
    c.step = (x.back() - x.front()) / static_cast<double>(x.size() - 1);
  }
  if (n <= most) {
    c.y = y;
    if (!regular) c.x = x;
    return c;
  }
  const std::size_t pairs = std::max<std::size_t>(most / 2, 1);
  c.of_each = (n + pairs - 1) / pairs;
  for (std::size_t begin = 0; begin < n; begin += c.of_each) {
    const std::size_t end = std::min(n, begin + c.of_each);
    // What is not finite must not hide what is: it compares as neither smaller nor larger.
    std::size_t low = begin, high = begin;
    for (std::size_t i = begin; i < end; ++i) {
      if (!std::isfinite(y[i])) continue;
      if (!std::isfinite(y[low]) || y[i] < y[low]) low = i;
      if (!std::isfinite(y[high]) || y[i] > y[high]) high = i;
    }
    for (const std::size_t i : {std::min(low, high), std::max(low, high)}) {
      c.y.push_back(y[i]);
      if (!regular) c.x.push_back(x[i]);
    }
  }
  // Places within a group are given up for an even axis.
  if (regular) c.step *= static_cast<double>(c.of_each) / 2;
  return c;
}

std::string page_data(const PageContent& content) {
  Json json = {{"plots", Json::array()}, {"maps", Json::array()}, {"changes", Json::array()}};
  const std::size_t most = share(content.plots);
  for (const ReportPlot* p : content.plots) json["plots"].push_back(plot_json(*p, most));
  for (const ReportMap* m : content.maps) json["maps"].push_back(map_json(*m));
  for (const ReportChanges* c : content.changes) json["changes"].push_back(changes_json(*c));
  if (!content.maps.empty()) json["shades"] = palette();
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
