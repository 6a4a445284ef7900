#include "bearingdsp/bearing/size.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/naming.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {
namespace {

struct Row {
  std::string series;  ///< dimension series: 10, 02, 03
  std::string code;    ///< bore code
  BoundaryDimensions size;
  double chamfer{0};
};

/// Dimension series of the deep groove bearings that the table lists.
constexpr std::pair<std::string_view, std::string_view> listed[] = {
    {"60", "10"}, {"62", "02"}, {"63", "03"}};

const std::vector<Row>& rows() {
  // The data file is part of the build and a test reads it, so value() does not throw here.
  static const std::vector<Row> all = [] {
    const auto t = table::read(data::boundary_dimensions, "boundary dimensions",
                               {"name", "bore", "outside_diameter", "width", "chamfer"})
                       .value();
    std::vector<Row> list;
    for (const auto& r : t.rows) {
      const std::string name{t.field(r, "name")};
      Row row;
      for (const auto& [deep_groove, series] : listed)
        if (name.substr(0, 2) == deep_groove) row.series = series;
      row.code = name.substr(2);
      row.size = {t.number(r, "bore").value(), t.number(r, "outside_diameter").value(),
                  t.number(r, "width").value()};
      row.chamfer = t.number(r, "chamfer").value();
      list.push_back(std::move(row));
    }
    return list;
  }();
  return all;
}

const Row* row_of(std::string_view dimension_series, std::string_view code) {
  for (const Row& r : rows())
    if (r.series == dimension_series && r.code == code) return &r;
  return nullptr;
}

/// Row with the diameter series of this dimension series (its second figure).
const Row* row_of_diameter(std::string_view dimension_series, std::string_view code) {
  for (const Row& r : rows())
    if (dimension_series.size() == 2 && r.series[1] == dimension_series[1] && r.code == code)
      return &r;
  return nullptr;
}

/// Inserts up to bore 17 mm all have the outer ring of the next sizes, so the code says nothing.
bool insert_with_own_size(BearingType type, const Row& row) {
  return type == BearingType::insert_ball && row.size.bore < 20;
}

double squared(double v) { return v * v; }

/// Square of the difference, or infinity if it is out of tolerance.
double misfit(const std::optional<double>& measured, double nominal, double under, double over) {
  if (!measured) return 0;
  const double difference = *measured - nominal;
  return difference < -under || difference > over ? HUGE_VAL : squared(difference);
}

/// The designations of the ISO plan's size, by naming series.
std::vector<std::string> designations(std::string_view dimension_series, const Row& row,
                                      bool any_width) {
  std::vector<std::string> found;
  for (const auto& s : naming::series()) {
    if (s.dimension_series.size() != 2 || s.type == BearingType::insert_ball) continue;
    const bool same = any_width ? s.dimension_series[1] == row.series[1] &&
                                      row_of(s.dimension_series, row.code) == nullptr
                                : s.dimension_series == dimension_series;
    if (same && s.detail.find("also written") == std::string::npos)
      found.push_back(s.letters + s.figures + row.code);
  }
  return found;
}

Error refuse(std::string what, std::string advice) {
  return {Errc::bad_argument, "measured size", std::move(what), std::move(advice)};
}

Result<void> sensible(const MeasuredSize& m) {
  int given = 0;
  for (const auto& v : {m.bore, m.outside_diameter, m.width}) {
    if (!v) continue;
    ++given;
    if (!(std::isfinite(*v) && *v > 0 && *v <= 2000))
      return refuse(fmt::format("{:g} mm is not a size of a bearing", *v),
                    "give millimetres, or add --inch");
  }
  if (given < 2)
    return refuse("fewer than two sizes given", "give two or three of --bore, --outside, --width");
  if (m.bore && m.outside_diameter && *m.bore >= *m.outside_diameter)
    return refuse(
        fmt::format("bore {:g} is not below outside diameter {:g}", *m.bore, *m.outside_diameter),
        "check that the two are not swapped");
  if (m.outside_diameter && m.width && *m.width > *m.outside_diameter)
    return refuse(
        fmt::format("width {:g} is above outside diameter {:g}", *m.width, *m.outside_diameter),
        "check that the two are not swapped");
  return {};
}

/// "1 1/8" for a whole number of sixteenths of an inch; empty if the size is none within 0.04 mm.
std::string sixteenths(double mm) {
  const double exact = mm / 25.4 * 16;
  const double whole = std::round(exact);
  if (whole < 1 || std::abs(exact - whole) * 25.4 / 16 > 0.04) return {};
  auto n = static_cast<std::int64_t>(whole);
  std::int64_t below = 16;
  const std::int64_t inches = n / 16;
  n %= 16;
  while (n != 0 && n % 2 == 0) {
    n /= 2;
    below /= 2;
  }
  if (n == 0) return fmt::format("{}", inches);
  return inches == 0 ? fmt::format("{}/{}", n, below) : fmt::format("{} {}/{}", inches, n, below);
}

std::string as_inches(const MeasuredSize& m) {
  std::string text;
  for (const auto& v : {m.bore, m.outside_diameter, m.width}) {
    if (!v) continue;
    const std::string part = sixteenths(*v);
    if (part.empty()) return {};
    text += (text.empty() ? "" : " x ") + part;
  }
  return text + " in";
}

SizeCandidate candidate(const Row& row, double misfit_squared, bool width_fits) {
  SizeCandidate c;
  c.size = row.size;
  c.width_fits = width_fits;
  if (width_fits) c.dimension_series = row.series;
  c.designations = designations(row.series, row, !width_fits);
  c.misfit_mm = std::sqrt(misfit_squared);
  return c;
}

std::vector<SizeCandidate> three_nearest(const MeasuredSize& m) {
  std::vector<std::pair<double, const Row*>> all;
  for (const Row& r : rows()) {
    const auto part = [](const std::optional<double>& v, double nominal) {
      return v ? squared(*v - nominal) : 0.0;
    };
    all.emplace_back(part(m.bore, r.size.bore) + part(m.outside_diameter, r.size.outside_diameter) +
                         part(m.width, r.size.width),
                     &r);
  }
  std::sort(all.begin(), all.end());
  std::vector<SizeCandidate> nearest;
  for (std::size_t i = 0; i < 3; ++i)
    nearest.push_back(candidate(*all[i].second, all[i].first, true));
  return nearest;
}

}  // namespace

std::optional<BoundaryDimensions> BearingSize::boundary() const {
  if (!outside_diameter || !width) return std::nullopt;
  return BoundaryDimensions{bore, *outside_diameter, *width};
}

MeasuredSize from_inches(const MeasuredSize& inches) {
  const auto mm = [](const std::optional<double>& v) {
    return v ? std::optional<double>{25.4 * *v} : std::nullopt;
  };
  return {mm(inches.bore), mm(inches.outside_diameter), mm(inches.width)};
}

BearingSize size_of(const Designation& d) {
  BearingSize s;
  s.bore = d.bore_mm;
  const Row* row = row_of(d.dimension_series, d.bore_code);
  const bool insert = d.type == BearingType::insert_ball;
  if (row != nullptr && !insert) {
    s.outside_diameter = row->size.outside_diameter;
    s.width = row->size.width;
    s.chamfer = row->chamfer;
    s.source = fmt::format("ISO 15 dimension series {}, four makers' tables agree", row->series);
    return s;
  }
  if (row == nullptr) row = row_of_diameter(d.dimension_series, d.bore_code);
  if (row != nullptr && !insert_with_own_size(d.type, *row)) {
    s.outside_diameter = row->size.outside_diameter;
    s.source = fmt::format(
        "ISO 15 diameter series {} (outside diameter); the width is not in the tables here: look "
        "it up at the maker",
        row->series.substr(1));
    return s;
  }
  s.source =
      "the bore follows from its code; outside diameter and width are not in the tables here: look "
      "them up at the maker";
  return s;
}

namespace {

/// Sizes of the tables that the measures may be, best first.
std::vector<SizeCandidate> fitting_sizes(const MeasuredSize& m, const SizeTolerance& t) {
  std::vector<SizeCandidate> fitting;
  for (const Row& r : rows()) {
    const double rings =
        misfit(m.bore, r.size.bore, t.bore_under, t.bore_over) +
        misfit(m.outside_diameter, r.size.outside_diameter, t.outside_under, t.outside_over);
    const double width = misfit(m.width, r.size.width, t.width_under, t.width_over);
    if (!std::isfinite(rings)) continue;
    if (std::isfinite(width))
      fitting.push_back(candidate(r, rings + width, true));
    else if (m.bore && m.outside_diameter)
      fitting.push_back(candidate(r, rings + squared(*m.width - r.size.width), false));
  }
  std::stable_sort(fitting.begin(), fitting.end(), [](const auto& a, const auto& b) {
    return a.width_fits != b.width_fits ? a.width_fits : a.misfit_mm < b.misfit_mm;
  });
  return fitting;
}

}  // namespace

Result<SizeSearch> find_by_size(const MeasuredSize& m, const SizeTolerance& t) {
  if (auto ok = sensible(m); !ok) return ok.error();
  SizeSearch search;
  search.fitting = fitting_sizes(m, t);
  // A tenth of a millimetre off in all: a metric size explains the measures as well as an inch one.
  constexpr double good = 0.1;
  const bool metric = !search.fitting.empty() && search.fitting.front().width_fits &&
                      search.fitting.front().misfit_mm <= good;
  const std::string inch = as_inches(m);
  if (!metric) search.inch = inch;
  if (search.fitting.empty()) {
    search.nearest = three_nearest(m);
    search.fits_in_inches = !fitting_sizes(from_inches(m), t).empty();
  }
  return search;
}

}  // namespace bearingdsp
