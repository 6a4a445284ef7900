#include "bearingdsp/bearing/size.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "bearing/naming.hpp"
#include "bearing/size_table.hpp"
#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {
namespace {

using size_table::Row;

/// The series of the size table that lists a designation.
std::string table_series(const Designation& d) {
  return d.dimension_series == "inch" ? d.letters + d.series : d.dimension_series;
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

/// The basic number of a series and size: the plan's code, or the name of an inch size.
std::string number_of(const naming::Series& s, const Row& row) {
  return s.letters + s.figures + row.code;
}

/// Written for a size: not another number for the same bearing, nor another trade's numbering.
bool own_number(const naming::Series& s) {
  return s.type != BearingType::insert_ball && s.suffix.empty() && !s.other_number;
}

/// The designations of a size, by naming series. `any_width`: only the diameters are of the row.
std::vector<std::string> designations(const Row& row, bool any_width) {
  std::vector<std::string> found;
  for (const auto& s : naming::series()) {
    if (!own_number(s) && !s.offered_by_size) continue;
    const std::string series =
        s.dimension_series == "inch" ? s.letters + s.figures : s.dimension_series;
    const bool closed = row.series == series + "+";
    bool same = series == row.series || closed;
    if (any_width)
      same = row.iso15() && s.dimension_series.size() == 2 && s.dimension_series != "inch" &&
             s.dimension_series[1] == row.series[1] &&
             size_table::find(s.dimension_series, row.code) == nullptr;
    if (same) found.push_back(number_of(s, row) + (closed ? "-2Z" : ""));
  }
  return found;
}

Error refuse_measured(std::string what, std::string advice) {
  return {Errc::bad_argument, "measured size", std::move(what), std::move(advice)};
}

Result<void> sensible(const MeasuredSize& m) {
  int given = 0;
  for (const auto& v : {m.bore, m.outside_diameter, m.width}) {
    if (!v) continue;
    ++given;
    if (!(std::isfinite(*v) && *v > 0 && *v <= 2000))
      return refuse_measured(fmt::format("{:g} mm is not a valid bearing size", *v),
                             "give millimetres, or add --inch");
  }
  if (given < 2)
    return refuse_measured("fewer than two sizes are given",
                           "give two or three of --bore, --outside, --width");
  if (m.bore && m.outside_diameter && *m.bore >= *m.outside_diameter)
    return refuse_measured(
        fmt::format("bore {:g} is not below outside diameter {:g}", *m.bore, *m.outside_diameter),
        "check that the two are not swapped");
  if (m.outside_diameter && m.width && *m.width > *m.outside_diameter)
    return refuse_measured(
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
    add_part(text, part, " x ");
  }
  return text + " in";
}

SizeCandidate candidate(const Row& row, double misfit_squared, bool width_fits) {
  SizeCandidate c;
  c.size = row.size;
  c.width_fits = width_fits;
  if (width_fits && row.iso15()) c.dimension_series = row.series;
  c.designations = designations(row, !width_fits);
  c.misfit_mm = std::sqrt(misfit_squared);
  return c;
}

std::vector<SizeCandidate> three_nearest(const MeasuredSize& m) {
  std::vector<std::pair<double, const Row*>> all;
  for (const Row& r : size_table::rows()) {
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

namespace {

std::string source_of(const Row& row) {
  const std::string plan = row.iso15()            ? "ISO 15 dimension series " + row.series
                           : row.series[0] == '3' ? "ISO 355"
                           : row.series[0] == '5' ? "ISO 104"
                                                  : "a table of inch sizes";
  if (row.seen == "four") return plan + ", four manufacturers' tables agree";
  if (row.seen == "memory") return plan + ", from memory: measure it";
  return plan + ", in a manufacturer's table (" + row.seen + ")";
}

/// Series with `+` lists what shields or seals make wider.
const Row* row_of(const Designation& d) {
  const std::string series = table_series(d);
  if (d.closure != Closure::open)
    if (const Row* closed = size_table::find(series + "+", d.bore_code)) return closed;
  return size_table::find(series, d.bore_code);
}

}  // namespace

BearingSize size_of(const Designation& d) {
  BearingSize s;
  s.bore = d.bore_mm;
  const Row* row = row_of(d);
  const bool insert = d.type == BearingType::insert_ball;
  if (row != nullptr && !insert) {
    s.outside_diameter = row->size.outside_diameter;
    s.width = row->size.width;
    s.chamfer = row->chamfer;
    s.source = source_of(*row);
    return s;
  }
  if (row == nullptr) row = size_table::find_diameter(d.dimension_series, d.bore_code);
  if (row != nullptr && !insert_with_own_size(d.type, *row)) {
    s.outside_diameter = row->size.outside_diameter;
    s.source = fmt::format(
        "ISO 15 diameter series {} (outside diameter); the width is not in these tables: ask the "
        "manufacturer",
        row->series.substr(1));
    return s;
  }
  s.source =
      "the bore follows from its code; outside diameter and width are not in these tables: ask the "
      "manufacturer";
  return s;
}

namespace {

/// Sizes of the tables that the measures may be, best first.
std::vector<SizeCandidate> fitting_sizes(const MeasuredSize& m, const SizeTolerance& t) {
  std::vector<SizeCandidate> fitting, other_width;
  for (const Row& r : size_table::rows()) {
    const double rings =
        misfit(m.bore, r.size.bore, t.bore_under, t.bore_over) +
        misfit(m.outside_diameter, r.size.outside_diameter, t.outside_under, t.outside_over);
    const double width = misfit(m.width, r.size.width, t.width_under, t.width_over);
    if (!std::isfinite(rings)) continue;
    if (std::isfinite(width))
      fitting.push_back(candidate(r, rings + width, true));
    else if (m.bore && m.outside_diameter && r.iso15())
      other_width.push_back(candidate(r, rings + squared(*m.width - r.size.width), false));
  }
  // Numbers whose width the tables do not know, where no size fits in all three.
  if (fitting.empty() && !other_width.empty()) {
    const auto nearest =
        std::min_element(other_width.begin(), other_width.end(),
                         [](const auto& a, const auto& b) { return a.misfit_mm < b.misfit_mm; });
    fitting.push_back(*nearest);
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
                      !search.fitting.front().dimension_series.empty() &&
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
