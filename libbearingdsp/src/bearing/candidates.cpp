#include "bearingdsp/bearing/candidates.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <unordered_map>
#include <utility>

#include "bearing/compact_name.hpp"
#include "bearing/inside_of.hpp"
#include "bearing/naming.hpp"
#include "bearing/size_table.hpp"
#include "bearing/type_and_bore.hpp"
#include "bearing/usual_inside.hpp"
#include "bearingdsp/bearing/size.hpp"

namespace bearingdsp {
namespace {

using Candidates = std::vector<BearingCandidate>;

Error refuse(std::string what, std::string advice) {
  return {Errc::bad_argument, "bearing", std::move(what), std::move(advice)};
}

/// Rows of the built-in catalogue by compact name: those of the name itself, then those that have
/// its size.
const std::unordered_map<std::string, std::vector<const CatalogueEntry*>>& rows_by_name() {
  static const auto index = [] {
    std::unordered_map<std::string, std::vector<const CatalogueEntry*>> by_name;
    const auto& all = built_in_catalogue().entries;
    for (const auto& e : all) by_name[compact_designation(e.name)].push_back(&e);
    for (const auto& e : all)
      if (!e.envelope.empty()) by_name[compact_designation(e.envelope)].push_back(&e);
    return by_name;
  }();
  return index;
}

/// Rows of the built-in catalogue for basic numbers, whatever their inside.
std::vector<CatalogueEntry> rows_named(const std::vector<std::string>& names) {
  std::vector<CatalogueEntry> rows;
  for (const std::string& name : names)
    if (const auto it = rows_by_name().find(name); it != rows_by_name().end())
      for (const CatalogueEntry* e : it->second) rows.push_back(*e);
  return rows;
}

bool angular(BearingType t) { return t == BearingType::angular_contact_ball; }

/// Rows that fit the design and the contact angle of the designation.
std::vector<CatalogueEntry> catalogue_rows(const Designation& d, const naming::Series& kin) {
  // A product that is listed under its own number, though it has the elements of another.
  if (kin.letters + kin.figures != d.letters + d.series)
    if (auto own = rows_named({compact_designation(d.basic())}); !own.empty()) return own;
  std::vector<std::string> names;
  for (const std::string& code : size_codes(d)) {
    const std::string basic = kin.letters + kin.figures + code;
    const std::string compact = compact_designation(basic);
    names.push_back(compact);
    if (angular(d.type))
      for (const char* letter : {"B", "C", "AC"}) names.push_back(compact + letter);
  }
  auto rows = rows_named(names);
  const std::string design = design_of(d);
  std::erase_if(rows, [&](const CatalogueEntry& e) {
    if (angular(d.type) && e.geometry) {
      const double angle = e.geometry->contact_angle.value();
      // Unmarked: an industrial bearing of 30 or 40 degrees.
      constexpr double precision = 30;
      return d.contact_angle ? std::abs(angle - d.contact_angle->value()) > 0.5 : angle < precision;
    }
    return !design.empty() &&
           (d.type == BearingType::cylindrical_roller || design == "full complement") &&
           e.inside != design;
  });
  if (angular(d.type) && !d.contact_angle)
    for (auto& e : rows) e.spread = std::max(e.spread, 0.14);  // cos 30 / cos 40
  return rows;
}

usual_inside::Known known_of(const Designation& d, const naming::Series& kin,
                             const BearingHints& hints) {
  usual_inside::Known k;
  k.type = kin.type;
  k.series = kin.figures;
  k.design = design_of(d);
  k.contact_angle = d.contact_angle;
  const size_table::Row* row = size_table::find(
      kin.dimension_series == "inch" ? kin.letters + kin.figures : kin.dimension_series,
      size_codes(d).front());
  const size_table::Row* plan =
      row != nullptr ? row : size_table::find_diameter(kin.dimension_series, d.bore_code);
  if (plan != nullptr) k.sizes = plan->size;
  if (!k.sizes) k.sizes = hints.sizes;
  return k;
}

// A caliper and wear; 1 mm is another bearing.
constexpr double caliper_mm = 0.7;

/// Measured sizes that are not those of the number: one of them is wrong.
Result<void> agree(const Designation& d, const BearingHints& hints) {
  if (!hints.sizes) return {};
  const BearingSize listed = size_of(d);
  const bool bore = std::abs(hints.sizes->bore - listed.bore) > caliper_mm;
  const bool outside = listed.outside_diameter && std::abs(hints.sizes->outside_diameter -
                                                           *listed.outside_diameter) > caliper_mm;
  if (!bore && !outside) return {};
  return refuse(
      fmt::format("{:g} x {:g} mm measured, but {} is {:g} x {} mm", hints.sizes->bore,
                  hints.sizes->outside_diameter, d.basic(), listed.bore,
                  listed.outside_diameter ? fmt::format("{:g}", *listed.outside_diameter) : "?"),
      "check the designation, or give only the sizes");
}

Result<void> sensible(const BearingHints& hints) {
  if (hints.rolling_elements && (*hints.rolling_elements < 3 || *hints.rolling_elements > 200))
    return refuse(fmt::format("{} rolling elements", *hints.rolling_elements),
                  "count the elements of one row: 3 to 200");
  if (!hints.sizes) return {};
  const auto& s = *hints.sizes;
  for (const double v : {s.bore, s.outside_diameter, s.width})
    if (!(std::isfinite(v) && v > 0))
      return refuse(fmt::format("{:g} is not a valid size", v),
                    "give bore, outside diameter and width");
  if (s.bore >= s.outside_diameter)
    return refuse(
        fmt::format("bore {:g} is not below outside diameter {:g}", s.bore, s.outside_diameter),
        "check that the two are not swapped");
  return {};
}

/// Rows of the catalogue, joined by estimates where the rows are weak (weights below 1) or a suffix
/// says that the inside is not theirs.
Candidates mixed(const std::vector<CatalogueEntry>& rows, const usual_inside::Known& known,
                 double trust) {
  Candidates list = weighted_variants(rows);
  if (trust >= 0.999) return list;
  for (auto& c : list) c.weight *= trust;
  Candidates others;
  for (auto& c : usual_inside::candidates(known)) {
    c.weight *= 1 - trust;
    const auto same = std::find_if(list.begin(), list.end(), [&](const auto& l) {
      return l.orders.rolling_elements == c.orders.rolling_elements;
    });
    // The spread of a listed bearing covers what others build with its count, where the list is
    // trusted: `trust` of half and less is a weak source or another inside.
    if (same != list.end() && trust > 0.6)
      same->weight += c.weight;
    else
      others.push_back(std::move(c));
  }
  std::erase_if(others, [](const BearingCandidate& c) {
    constexpr double least = 0.02;
    return c.weight < least;
  });
  list.insert(list.end(), others.begin(), others.end());
  if (trust <= 0.6) return usual_inside::by_count(std::move(list));
  double total = 0;
  for (const auto& c : list) total += c.weight;
  for (auto& c : list) c.weight /= total;
  std::stable_sort(list.begin(), list.end(),
                   [](const auto& a, const auto& b) { return a.weight > b.weight; });
  return list;
}

/// How far the rows are evidence for a bearing of unknown manufacturer.
double trust_in(const std::vector<CatalogueEntry>& rows, const Designation& d) {
  double sources = 0;
  for (const auto& e : rows) sources += e.weight;
  double votes = sources > 0.9 ? 1.0 : sources;  // rounded weights of one source add up to 1
  if (d.type == BearingType::insert_ball &&
      compact_designation(rows.front().name) == compact_designation(d.basic()))
    return votes;  // this very product
  // Of 28 deep groove sizes with three sources or more, 6 are made with another count (6209, 6214,
  // 6215, 6216, 6305, 6306): as much as a quarter of a source is left for those not seen.
  constexpr double unseen = 0.25;
  if (d.type == BearingType::deep_groove_ball || d.type == BearingType::insert_ball)
    votes *= sources / (sources + unseen);
  const bool larger = d.type == BearingType::deep_groove_ball && design_of(d) == "reinforced";
  constexpr double other_inside = 0.5;  // "more or larger elements": the plain row is one of two
  return larger ? other_inside * votes : votes;
}

Candidates with_count(Candidates list, int z, const usual_inside::Known& known) {
  std::erase_if(list, [&](const auto& c) { return c.orders.rolling_elements != z; });
  // The count of the person who opened the bearing is worth more than the list.
  if (list.empty()) return {usual_inside::counted(known, z)};
  double total = 0;
  for (const auto& c : list) total += c.weight;
  for (auto& c : list) c.weight /= total > 0 ? total : 1;
  return list;
}

/// Names that are no designation of the trade's plan: data sets, a user's own.
Result<Candidates> from_list(std::string_view text, const Catalogue& catalogue,
                             const BearingHints& hints) {
  const auto rows = find_bearing(text, catalogue);
  if (!rows) return rows.error();
  Candidates list = weighted_variants(*rows);
  if (!hints.rolling_elements) return list;
  usual_inside::Known known;
  known.sizes = hints.sizes;
  return with_count(std::move(list), *hints.rolling_elements, known);
}

bool exact_name(std::string_view text) {
  const auto it = rows_by_name().find(compact_designation(text));
  return it != rows_by_name().end() && compact_designation(it->second.front()->name) == it->first;
}

/// What hints alone say of a bearing whose number cannot be read.
Result<Candidates> from_hints(const BearingHints& hints, const Error& unreadable) {
  if (hints.sizes)
    return candidates_from_sizes(*hints.sizes, BearingType::deep_groove_ball,
                                 hints.rolling_elements);
  if (!hints.rolling_elements) return unreadable;
  auto orders = orders_from_element_count(*hints.rolling_elements);
  if (!orders) return orders.error();
  return Candidates{{std::move(*orders), 1, "counted"}};
}

/// Typical of diameter series 2: the outside diameter is twice the bore (6205: 52 to 25, 6220: 180
/// to 100).
BoundaryDimensions usual_sizes(double bore) { return {bore, 1.95 * bore, 0.5 * bore}; }

/// What is known where type and bore are given in words, perhaps with a count or sizes.
Result<Candidates> of_type(const TypeAndBore& t, const BearingHints& hints) {
  if (hints.sizes) {
    if (std::abs(hints.sizes->bore - t.bore_mm) > caliper_mm)
      return refuse(
          fmt::format("bore {:g} mm given, but {:g} mm measured", t.bore_mm, hints.sizes->bore),
          "check both");
    return candidates_from_sizes(*hints.sizes, t.type, hints.rolling_elements);
  }
  auto list = candidates_from_type(t.type, t.bore_mm);
  if (!list || !hints.rolling_elements) return list;
  usual_inside::Known known;
  known.type = t.type;
  known.sizes = usual_sizes(t.bore_mm);
  return with_count(std::move(*list), *hints.rolling_elements, known);
}

}  // namespace

Candidates estimated_candidates(const Designation& d, std::string_view design) {
  auto known = known_of(d, inside_series(d), {});
  if (!design.empty()) known.design = design;
  return usual_inside::candidates(known);
}

Result<Candidates> candidates_of(const Designation& d, const BearingHints& hints) {
  if (auto ok = sensible(hints); !ok) return ok.error();
  if (auto ok = agree(d, hints); !ok) return ok.error();
  const naming::Series& kin = inside_series(d);
  const auto known = known_of(d, kin, hints);
  const auto rows = catalogue_rows(d, kin);
  Candidates list =
      rows.empty() ? usual_inside::candidates(known) : mixed(rows, known, trust_in(rows, d));
  if (list.empty() && !hints.rolling_elements)
    return Error{Errc::not_found, d.basic(),
                 "is understood, but the tables list no bearing of this type and size",
                 "check the digits; or measure it and give --sizes, or count the elements and give "
                 "--elements"};
  if (hints.rolling_elements) return with_count(std::move(list), *hints.rolling_elements, known);
  return list;
}

Result<Candidates> bearing_candidates(std::string_view text, const BearingHints& hints,
                                      const Catalogue& catalogue) {
  if (auto ok = sensible(hints); !ok) return ok.error();
  if (compact_designation(text).empty())
    return refuse("the designation is empty", "give one like 6205");
  const bool own = &catalogue != &built_in_catalogue();
  if (own)
    if (auto listed = from_list(text, catalogue, hints)) return listed;
  if (const auto described = find_type_and_bore(text)) {
    if (!*described) return described->error();
    return of_type(**described, hints);
  }
  const auto readings = read_designation(text);
  const bool named = exact_name(text);
  // A name of the catalogue that is also a number (6205, NU206) is read as the number.
  if (named &&
      (!readings || compact_designation(readings->front().basic()) != compact_designation(text)))
    return from_list(text, built_in_catalogue(), hints);
  if (!readings) {
    if (auto listed = from_list(text, built_in_catalogue(), hints)) return listed;
    return from_hints(hints, readings.error());
  }
  for (const Designation& d : *readings)
    if (d.basic() != readings->front().basic())
      return refuse(fmt::format("'{}' fits {} bearings: {}, {} ...", text.substr(0, 60),
                                readings->size(), readings->front().basic(), d.basic()),
                    "read the digits again, or measure the bearing and give --sizes");
  return candidates_of(readings->front(), hints);
}

Result<Candidates> candidates_from_sizes(const BoundaryDimensions& s, BearingType type,
                                         std::optional<int> z) {
  const BearingHints hints{z, s};
  if (auto ok = sensible(hints); !ok) return ok.error();
  // The ring sizes of the plan belong to one bearing of the type; a tenth more than a caliper errs.
  constexpr double same = 0.15;
  for (const auto& row : size_table::rows()) {
    if (std::abs(row.size.bore - s.bore) > same ||
        std::abs(row.size.outside_diameter - s.outside_diameter) > same ||
        std::abs(row.size.width - s.width) > 2 * same)
      continue;
    for (const auto& series : naming::series()) {
      if (series.type != type || series.dimension_series != row.series) continue;
      if (const auto readings = read_designation(series.letters + series.figures + row.code))
        if (readings->front().type == type && readings->front().dimension_series == row.series)
          return candidates_of(readings->front(), {z, std::nullopt});
    }
  }
  usual_inside::Known known;
  known.type = type;
  known.sizes = s;
  if (z) return Candidates{usual_inside::counted(known, *z)};
  return usual_inside::candidates(known);
}

Result<Candidates> candidates_from_type(BearingType type, double bore) {
  if (!(bore > 0 && bore <= 2000))
    return refuse(fmt::format("bore {:g} mm", bore), "give the bore in mm");
  Candidates all;
  // Thin sizes (160 of deep groove) are rare in motors.
  for (const std::string_view plan : {"02", "03", "10"})
    for (const auto& series : naming::series()) {
      if (series.type != type || !series.inside_of.empty() || series.dimension_series != plan)
        continue;
      for (const auto& row : size_table::rows()) {
        if (row.series != plan || std::abs(row.size.bore - bore) > 0.5) continue;
        const auto readings = read_designation(series.letters + series.figures + row.code);
        if (!readings) continue;
        if (auto list = candidates_of(readings->front()))
          for (auto& c : *list) all.push_back(std::move(c));
      }
    }
  if (!all.empty()) return usual_inside::by_count(std::move(all));
  usual_inside::Known known;
  known.type = type;
  known.sizes = usual_sizes(bore);
  return usual_inside::candidates(known);
}

std::vector<DefectOrders> orders_of(const std::vector<BearingCandidate>& candidates) {
  std::vector<DefectOrders> orders;
  orders.reserve(candidates.size());
  for (const auto& c : candidates) orders.push_back(c.orders);
  return orders;
}

}  // namespace bearingdsp
