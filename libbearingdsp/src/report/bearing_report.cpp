#include "bearingdsp/report/bearing.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <string>
#include <utility>

#include "sections.hpp"

namespace bearingdsp {
namespace {

std::string plain(double v) { return fmt::format("{}", v); }

std::string size_text(const BoundaryDimensions& s) {
  return fmt::format("{} x {} x {}", s.bore, s.outside_diameter, s.width);
}

std::string known_size_text(const BearingSize& s) {
  return fmt::format("{} x {} x {} mm", s.bore,
                     s.outside_diameter ? plain(*s.outside_diameter) : std::string{"?"},
                     s.width ? plain(*s.width) : std::string{"?"});
}

std::string article(std::string_view next) { return next.find_first_of("aeiou") == 0 ? "An" : "A"; }

std::string closure_text(const Designation& d) {
  switch (d.closure) {
    case Closure::open:
      return "open on both sides: the seals of the machine must keep dirt out, and it is greased "
             "in the machine";
    case Closure::shield:
      return d.closed_sides == 2 ? "metal shields on both sides, greased for life"
                                 : "a metal shield on one side";
    case Closure::light_seal:
      return d.closed_sides == 2 ? "low-friction seals on both sides, greased for life"
                                 : "a low-friction seal on one side";
    case Closure::seal:
      return d.closed_sides == 2 ? "rubbing seals on both sides, greased for life"
                                 : "a rubbing seal on one side";
  }
  return {};
}

std::string clearance_text(const BearingFacts& f) {
  const auto& d = f.designation;
  std::string text{words(d.clearance)};
  if (!d.clearance_marked) text += " (normal, because no other class is marked)";
  if (f.clearance)
    return text + fmt::format(", {} to {} µm before mounting [{}]", f.clearance->low_um,
                              f.clearance->high_um, f.clearance->source);
  if (d.type == BearingType::deep_groove_ball || d.type == BearingType::cylindrical_roller)
    return text + "; its limits are not in these tables: ask the manufacturer";
  return text + "; set by mounting or by another table: ask the manufacturer";
}

ReportSection reading_section(const Designation& d) {
  ReportSection s;
  s.id = "reading";
  s.title = "Meaning of the designation";
  ReportTable t;
  t.columns = {{"Part", "", false}, {"Says", "", false}};
  if (!d.prefix.empty())
    t.rows.push_back({d.prefix, "the manufacturer's own: look it up at the manufacturer"});
  std::string series = fmt::format("{} bearing", words(d.type));
  if (!d.dimension_series.empty() && d.type != BearingType::insert_ball)
    series += ", ISO 15 dimension series " + d.dimension_series;
  if (!d.detail.empty()) series += "; " + d.detail;
  t.rows.push_back({d.letters + d.series, series});
  std::string bore = fmt::format("bore {} mm", d.bore_mm);
  if (!d.usual_bore) bore += ": unusual for ISO sizes, check the digits";
  t.rows.push_back({d.bore_code, bore});
  for (const SuffixReading& x : d.suffixes) t.rows.push_back({x.text, x.meaning});
  s.table = std::move(t);
  return s;
}

ReportSection facts_section(const BearingFacts& f) {
  const Designation& d = f.designation;
  ReportSection s;
  s.id = "facts";
  s.title = "The bearing";
  s.figures.push_back({"Size", known_size_text(f.size) + " [" + f.size.source + "]"});
  if (f.size.chamfer)
    s.figures.push_back(
        {"Corner",
         fmt::format("at least {} mm: the fillet on the shaft must be smaller", *f.size.chamfer)});
  s.figures.push_back({"Clearance", clearance_text(f)});
  if (d.type == BearingType::deep_groove_ball) s.figures.push_back({"Sides", closure_text(d)});
  if (d.contact_angle)
    s.figures.push_back({"Contact angle", fmt::format("{}°", d.contact_angle->value())});
  if (d.type == BearingType::angular_contact_ball && !d.contact_angle)
    s.figures.push_back({"Contact angle", "none marked: 30° or 40°, ask the manufacturer"});
  if (d.insulated_ring || d.ceramic_balls)
    s.figures.push_back(
        {"Current", d.insulated_ring ? "one ring is insulated" : "ceramic balls insulate"});
  const auto own = d.makers_own();
  if (!own.empty())
    s.notes.push_back(fmt::format(
        "{} {} not standard: ask the manufacturer about {} before you order.", fmt::join(own, ", "),
        own.size() == 1 ? "is" : "are", own.size() == 1 ? "it" : "them"));
  s.notes.emplace_back(
      "The designation is not a measurement: compare it with the old bearing and measure with a "
      "caliper.");
  return s;
}

ReportSection orders_section(const BearingFacts& f, std::optional<Rpm> speed) {
  ReportSection s;
  s.id = "defect-orders";
  s.title = speed ? fmt::format("Defect frequencies at {} rpm", significant(speed->value(), 5))
                  : "Defect frequencies, in events per shaft revolution";
  if (f.candidates.empty()) {
    s.notes.emplace_back(
        "Not known for this designation: give the number of elements and the diameters to "
        "'bearingdsp frequencies'.");
    return s;
  }
  ReportTable t;
  const std::string unit = speed ? "Hz" : "per revolution";
  t.columns = {{"Elements", "", true},     {"Outer ring", unit, true},
               {"Inner ring", unit, true}, {"Rolling element", unit, true},
               {"Cage", unit, true},       {"+/-", "%", true},
               {"Probability", "%", true}};
  bool estimated = false;
  for (const BearingCandidate& c : f.candidates) {
    const DefectOrders& o = c.orders;
    const double times = speed ? shaft_rate(*speed).value() : 1;
    std::vector<std::string> row{fmt::format("{}", o.rolling_elements)};
    for (const Order k : {o.bpfo, o.bpfi, o.bsf, o.ftf})
      row.push_back(significant(k.value() * times, 4));
    row.push_back(significant(100 * o.uncertainty(Part::outer_ring), 2));
    row.push_back(fmt::format("{:.0f}", 100 * c.weight));
    t.rows.push_back(std::move(row));
    estimated = estimated || o.origin == OrdersOrigin::boundary;
  }
  s.table = std::move(t);
  const auto& best = f.candidates.front().orders;
  if (best.origin != OrdersOrigin::boundary) s.notes.push_back("Known from: " + best.source + ".");
  if (estimated)
    s.notes.emplace_back("Estimated from the type and the outer dimensions if no source is known.");
  if (f.candidates.size() > 1)
    s.notes.emplace_back(
        "Manufacturers use different elements for this designation: count the elements.");
  s.notes.emplace_back(
      "+/-: for the rings, with that number of elements, any manufacturer; the value for the "
      "rolling element is less certain.");
  return s;
}

std::string measured_text(const MeasuredSize& m) {
  const auto part = [](const std::optional<double>& v) {
    return v ? fmt::format("{:.4g}", *v) : std::string{"?"};
  };
  return fmt::format("{} x {} x {} mm", part(m.bore), part(m.outside_diameter), part(m.width));
}

ReportSection sizes_section(const std::vector<SizeCandidate>& sizes) {
  ReportSection s;
  s.id = "sizes";
  ReportTable t;
  t.columns = {{"Size", "bore x outside x width, mm", false},
               {"Difference", "mm", true},
               {"Designations of that size", "", false}};
  for (const SizeCandidate& c : sizes)
    t.rows.push_back({c.width_fits
                          ? size_text(c.size)
                          : fmt::format("{} x {} x other", c.size.bore, c.size.outside_diameter),
                      c.width_fits ? fmt::format("{:.2f}", c.misfit_mm) : std::string{"-"},
                      fmt::format("{}", fmt::join(c.designations, " "))});
  s.table = std::move(t);
  return s;
}

}  // namespace

Report bearing_report(const BearingFacts& facts, std::optional<Rpm> speed) {
  const Designation& d = facts.designation;
  Report r;
  r.title = "Bearing " + d.text();
  const std::string_view type = words(d.type);
  r.headline = fmt::format("{} {} bearing with a bore of {} mm.", article(type), type, d.bore_mm);
  r.sections = {reading_section(d), facts_section(facts), orders_section(facts, speed)};
  return r;
}

Report candidates_report(std::string_view asked, const std::vector<Designation>& candidates) {
  Report r;
  r.title = fmt::format("{} fits {} bearings", asked, candidates.size());
  r.headline = "Measure bore, outside diameter and width to tell them apart.";
  ReportSection s;
  s.id = "candidates";
  ReportTable t;
  t.columns = {
      {"Number", "", false}, {"Size", "bore x outside x width", false}, {"Kind", "", false}};
  constexpr std::size_t most = 40;
  for (std::size_t i = 0; i < std::min(most, candidates.size()); ++i) {
    const Designation& d = candidates[i];
    t.rows.push_back({d.text(), known_size_text(size_of(d)), std::string{words(d.type)}});
  }
  s.table = std::move(t);
  if (candidates.size() > most)
    s.notes.push_back(fmt::format("... and {} more: find another character, or measure.",
                                  candidates.size() - most));
  const bool gaps = std::any_of(s.table->rows.begin(), s.table->rows.end(), [](const auto& row) {
    return row[1].find('?') != std::string::npos;
  });
  if (gaps) s.notes.emplace_back("? in a size: not in these tables.");
  s.notes.emplace_back("Sizes: ISO 15, ISO 355, ISO 104.");
  r.sections.push_back(std::move(s));
  return r;
}

Report size_search_report(const MeasuredSize& measured, const SizeSearch& search) {
  Report r;
  r.title = "Measured " + measured_text(measured);
  ReportSection s;
  if (!search.fitting.empty()) {
    const auto& best = search.fitting.front();
    r.headline = best.width_fits ? fmt::format("It has the size of a {} ({} mm).",
                                               best.designations.front(), size_text(best.size))
                                 : "Bore and outside diameter are ISO sizes; the width belongs to "
                                   "a series that is not in these tables.";
    s = sizes_section(search.fitting);
    s.notes.emplace_back(
        "Bearings of different types have the same size: check for balls or rollers, one or two "
        "rows, and whether one ring slides off (N, NU, NJ).");
  } else {
    r.headline = "No size in the tables is within wear and measuring error of a caliper.";
    s = sizes_section(search.nearest);
    s.title = "The nearest sizes";
    if (search.fits_in_inches)
      s.notes.emplace_back("Are these inches? Add --inch: then a size in the tables fits.");
    s.notes.emplace_back("Measure again at several positions; a worn ring is oval.");
  }
  if (!search.inch.empty())
    s.notes.push_back(search.fitting.empty()
                          ? fmt::format("It may be an inch-size bearing, {}, that is not in these "
                                        "tables: ask the manufacturer.",
                                        search.inch)
                          : fmt::format("In inches: {}.", search.inch));
  s.notes.emplace_back(
      "In the tables: bores to 340 mm of the usual series of ISO 15, ISO 355 and ISO 104, "
      "sizes R and 16xx.");
  r.sections.push_back(std::move(s));
  return r;
}

}  // namespace bearingdsp
