#include "bearingdsp/bearing/candidates.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <string>
#include <utility>
#include <vector>

#include "bearingdsp/bearing/size.hpp"
#include "paths.hpp"
#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

std::vector<BearingCandidate> candidates(std::string_view text, const BearingHints& hints = {}) {
  const auto found = bearing_candidates(text, hints);
  REQUIRE_MESSAGE(found, text);
  return *found;
}

double bore_of(const std::string& text) {
  double mm = 0;
  std::from_chars(text.data(), text.data() + text.size(), mm);
  return mm;
}

int likeliest(std::string_view text) { return candidates(text).front().orders.rolling_elements; }

bool offers(const std::vector<BearingCandidate>& list, int z) {
  return std::any_of(list.begin(), list.end(),
                     [&](const auto& c) { return c.orders.rolling_elements == z; });
}

bool holds(const DefectOrders& estimate, Part part, double order) {
  const double k = estimate.of(part).value();
  return std::abs(order - k) <= estimate.uncertainty(part) * k;
}

/// Rows of a file of the repository whose first columns hold no quotes.
std::vector<std::vector<std::string>> rows_of(const std::string& path) {
  std::ifstream file{std::string{TESTS_SOURCE_DIR} + path};
  REQUIRE(file);
  std::vector<std::vector<std::string>> rows;
  bool header = true;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.front() == '#') continue;
    std::vector<std::string> fields(1);
    for (const char c : line) {
      if (c == ',')
        fields.emplace_back();
      else
        fields.back() += c;
    }
    if (!std::exchange(header, false)) rows.push_back(std::move(fields));
  }
  return rows;
}

}  // namespace

TEST_CASE(
    "designations as people write them: none is refused, none becomes another bearing [src:typed "
    "from the trade's conventions, tests/reference/designations.csv]") {
  const auto rows = rows_of("/reference/designations.csv");
  CHECK(rows.size() >= 150);
  for (const auto& row : rows) {
    const std::string& text = row.at(0);
    CAPTURE(text);
    const auto readings = read_designation(text);
    REQUIRE(readings);
    REQUIRE(readings->size() == 1);
    CHECK(readings->front().basic() == row.at(1));
    CHECK(close_abs(readings->front().bore_mm, bore_of(row.at(2)), 1e-3));
    const auto list = candidates(text);
    double sum = 0;
    for (const auto& c : list) {
      sum += c.weight;
      CHECK(c.weight > 0);
      CHECK_FALSE(c.basis.empty());
      const auto& o = c.orders;
      CHECK(close_rel((o.bpfo + o.bpfi).value(), o.rolling_elements, 1e-3));
      CHECK(close_rel(o.bpfo.value(), o.rolling_elements * o.ftf.value(), 2e-3));
      CHECK(o.uncertainty(Part::outer_ring) > 0);
      CHECK(o.uncertainty(Part::outer_ring) < 0.15);
    }
    CHECK(close_rel(sum, 1.0, 1e-9));
    CHECK(std::is_sorted(list.begin(), list.end(),
                         [](const auto& a, const auto& b) { return a.weight > b.weight; }));
  }
}

TEST_CASE("suffixes of closure, clearance, grease, noise, packing and heat change nothing inside") {
  const auto plain = candidates("6309");
  const std::vector<std::string> harmless{"closure", "clearance", "grease",   "noise",  "packing",
                                          "heat",    "tolerance", "electric", "groove", "quality"};
  std::size_t tried = 0;
  for (const auto& s : rows_of("/../libbearingdsp/data/designation_suffixes.csv")) {
    if (s.at(1) != "any" || std::find(harmless.begin(), harmless.end(), s.at(2)) == harmless.end())
      continue;
    ++tried;
    CAPTURE(s.at(0));
    const auto list = candidates("6309 " + s.at(0));
    REQUIRE(list.size() == plain.size());
    CHECK(list.front().orders.bpfo == plain.front().orders.bpfo);
    CHECK(list.front().orders.relative_uncertainty == plain.front().orders.relative_uncertainty);
  }
  CHECK(tried > 80);
}

TEST_CASE("the count of large motor bearings [src:catalogue G, load ratings inverted: 8 balls]") {
  for (const char* text :
       {"6314", "6315", "6316", "6317", "6318", "6319 C3", "6322 M/C3", "6324"}) {
    CAPTURE(text);
    CHECK(likeliest(text) == 8);
  }
  CHECK(likeliest("6209") == 9);
  CHECK(offers(candidates("6209"), 10));
  CHECK(offers(candidates("6305"), 7));
  CHECK(offers(candidates("6305"), 8));
}

TEST_CASE(
    "one manufacturer's row covers what others build at the same count [src:catalogue A inverted "
    "against the table of orders of catalogue K: 6208 3.607 and 3.547, 6307 3.061 and 3.006, 6308 "
    "3.072 and 3.023]") {
  struct {
    const char* name;
    double one, other;
  } const rows[] = {{"6208", 3.6071, 3.547}, {"6307", 3.0613, 3.006}, {"6308", 3.0719, 3.023}};
  for (const auto& r : rows) {
    CAPTURE(r.name);
    const auto best = candidates(r.name).front().orders;
    CHECK(holds(best, Part::outer_ring, r.one));
    CHECK(holds(best, Part::outer_ring, r.other));
    // From the row of catalogue A alone.
    std::vector<CatalogueEntry> only;
    for (const auto& e : built_in_catalogue().entries)
      if (e.name == r.name && e.source.find("catalogue A") != std::string::npos) only.push_back(e);
    REQUIRE(only.size() == 1);
    CHECK(holds(weighted_variants(only).front().orders, Part::outer_ring, r.other));
  }
}

TEST_CASE("a hint joins the designation") {
  const auto counted = candidates("6319", {8, std::nullopt});
  REQUIRE(counted.size() == 1);
  CHECK(counted.front().orders.rolling_elements == 8);
  CHECK(counted.front().weight == 1.0);
  const auto other = candidates("6319", {11, std::nullopt}).front().orders;
  CHECK(other.rolling_elements == 11);
  CHECK(other.origin == OrdersOrigin::element_count);
  CHECK(candidates("6205", {{}, BoundaryDimensions{25, 52, 15}}).front().orders.rolling_elements ==
        9);
  CHECK_FALSE(bearing_candidates("6205", {{}, BoundaryDimensions{24, 52, 15}}));
  CHECK_FALSE(bearing_candidates("6205", {{}, BoundaryDimensions{25, 62, 17}}));
  CHECK_FALSE(bearing_candidates("6205", {2, std::nullopt}));
  CHECK_FALSE(bearing_candidates("6205", {{}, BoundaryDimensions{52, 25, 15}}));
  // Nothing readable, but counted or measured.
  CHECK(candidates("scratched", {9, std::nullopt}).front().orders.rolling_elements == 9);
  CHECK(candidates("scratched", {{}, BoundaryDimensions{25, 52, 15}})
            .front()
            .orders.rolling_elements == 9);
  CHECK_FALSE(bearing_candidates("scratched"));
  CHECK(bearing_candidates("62?5").error().message().find("6215") != std::string::npos);
  CHECK(candidates("6205-2?").size() == candidates("6205").size());
}

TEST_CASE("another bearing is never suggested for a number") {
  for (const char* text : {"62055", "6025x9", "99", "123456"}) {
    CAPTURE(text);
    const auto r = find_bearing(text);
    if (!r) CHECK(r.error().message().find("did you mean") == std::string::npos);
  }
}

TEST_CASE(
    "rollers: design and count [src:an open simulation template prints NU206 E with 13 rollers, "
    "raceways 37.5 and 55.5, catalogue D prints the raceways of NU316 EC 101 and 151]") {
  const auto nu206 = candidates("NU206 ECP").front();
  CHECK(nu206.orders.rolling_elements == 13);
  CHECK(close_abs(nu206.orders.bpfo.value(), 6.5 * (1 - 9 / 46.5), 2e-3));
  const auto nu316 = candidates("NU316 ECJ").front();
  CHECK(close_rel(1 - 2 * nu316.orders.bpfo.value() / nu316.orders.rolling_elements, 25.0 / 126,
                  0.02));
  // NJ, NUP and N hold the rollers of NU; NU23 those of NU3.
  for (const char* text : {"NJ316 ECJ", "NUP316 ECJ", "N316 ECJ", "NU2316 ECJ"})
    CHECK(candidates(text).front().orders.bpfo == nu316.orders.bpfo);
  CHECK(candidates("NU206").size() > candidates("NU206 ECP").size());
  CHECK(likeliest("NU206 V") > 14);  // no cage
}

TEST_CASE("contact angles: only the first letter is one, unmarked may be 30 or 40 degrees") {
  for (const char* text : {"7309 BEGAP", "7309 BECBM", "7309 BECBP", "7309 BEP", "7309B"}) {
    CAPTURE(text);
    CHECK(read_designation(text)->front().contact_angle == Degrees{40});
    CHECK(likeliest(text) == likeliest("7309B"));
  }
  CHECK_FALSE(read_designation("7309")->front().contact_angle);
  CHECK(candidates("7309").front().orders.relative_uncertainty >
        candidates("7309B").front().orders.relative_uncertainty);
  // [src:catalogue I, printed: 14 balls of 11.11 at 15 or 25 degrees on 40 x 80]
  CHECK(likeliest("7208 C") == 14);
}

TEST_CASE(
    "thrust bearings pass Z / 2 elements a revolution on both rings [src:closed form, 90 "
    "degrees]") {
  const auto o = candidates("51105").front().orders;
  CHECK(close_rel(o.bpfo.value(), 0.5 * o.rolling_elements, 1e-9));
  CHECK(close_rel(o.bpfi.value(), 0.5 * o.rolling_elements, 1e-9));
  CHECK(close_rel(o.ftf.value(), 0.5, 1e-9));
}

TEST_CASE(
    "estimates hold the known insides: count among the candidates and orders within the "
    "half-widths for 95 % of the deep groove and cylindrical rows") {
  std::size_t total = 0, counts = 0, within = 0, offered = 0;
  for (const auto& e : built_in_catalogue().entries) {
    if (e.weight < 0.5) continue;
    const std::string name = e.envelope.empty() ? e.name : e.envelope;
    const auto readings = read_designation(name);
    if (!readings || readings->front().basic() != name) continue;
    const Designation& d = readings->front();
    const bool ball = d.type == BearingType::deep_groove_ball;
    if (!ball && d.type != BearingType::cylindrical_roller) continue;
    const auto size = size_of(d).boundary();
    if (!size || d.dimension_series == "inch") continue;
    const auto list = estimated_candidates(d, e.inside);
    ++total;
    offered += list.size();
    const auto it = std::find_if(list.begin(), list.end(), [&](const auto& c) {
      return c.orders.rolling_elements == e.orders.rolling_elements;
    });
    if (it == list.end()) continue;
    ++counts;
    if (holds(it->orders, Part::outer_ring, e.orders.bpfo.value()) &&
        holds(it->orders, Part::inner_ring, e.orders.bpfi.value()) &&
        holds(it->orders, Part::rolling_element, e.orders.bsf.value()))
      ++within;
  }
  MESSAGE(total << " rows, count offered for " << counts << ", orders held for " << within
                << ", candidates a row "
                << static_cast<double>(offered) / static_cast<double>(total));
  REQUIRE(total > 250);
  CHECK(static_cast<double>(counts) >= 0.95 * static_cast<double>(total));
  CHECK(static_cast<double>(within) >= 0.95 * static_cast<double>(counts));
  CHECK(offered < 5 * total);
}

TEST_CASE("only sizes, or only type and bore, are known") {
  const auto by_size = candidates_from_sizes({25, 52, 15}).value();
  CHECK(by_size.front().orders.bpfo == candidates("6205").front().orders.bpfo);
  CHECK(candidates_from_sizes({40, 80, 18}, BearingType::cylindrical_roller)
            .value()
            .front()
            .orders.rolling_elements == likeliest("NU208"));
  const auto odd = candidates_from_sizes({26, 57, 15}).value();
  CHECK(odd.front().orders.origin == OrdersOrigin::boundary);
  CHECK_FALSE(candidates_from_sizes({52, 25, 15}));
  const auto by_bore = candidates_from_type(BearingType::deep_groove_ball, 25).value();
  for (const char* text : {"6005", "6205", "6305"}) CHECK(offers(by_bore, likeliest(text)));
  CHECK_FALSE(candidates_from_type(BearingType::deep_groove_ball, 0));
}

TEST_CASE("type and bore in words are the same bearings, whatever the writing") {
  const auto same = [](std::string_view text, BearingType type, double bore) {
    const auto list = bearing_candidates(text);
    const auto wanted = candidates_from_type(type, bore).value();
    if (!list || list->size() != wanted.size()) return false;
    for (std::size_t i = 0; i < wanted.size(); ++i)
      if (!((*list)[i].orders.bpfo == wanted[i].orders.bpfo)) return false;
    return true;
  };
  for (const char* text :
       {"deep groove, bore 45", "Deep groove ball bearing, bore 45 mm", "ball bore 45mm",
        "deep-groove; 45 mm bore", "DEEP GROOVE BALL BORE=45.0"}) {
    CAPTURE(text);
    CHECK(same(text, BearingType::deep_groove_ball, 45));
  }
  CHECK(same("cylindrical roller, bore 80", BearingType::cylindrical_roller, 80));
  CHECK(same("roller bearing bore 80", BearingType::cylindrical_roller, 80));
  CHECK(same("angular contact, bore 45", BearingType::angular_contact_ball, 45));
  CHECK(same("spherical, bore 90", BearingType::spherical_roller, 90));
  CHECK(same("tapered roller, bore 40", BearingType::tapered_roller, 40));
  double total = 0;
  const auto list = candidates("deep groove, bore 45");
  for (const auto& c : list) total += c.weight;
  CHECK(close_abs(total, 1, 1e-9));
  for (const char* text : {"6009", "6209", "6309"}) CHECK(offers(list, likeliest(text)));
}

TEST_CASE("type and bore go with a count and with sizes, and what cannot be is refused") {
  const auto eight = candidates("deep groove, bore 45", {8, std::nullopt});
  for (const auto& c : eight) CHECK(c.orders.rolling_elements == 8);
  const auto sized =
      bearing_candidates("deep groove, bore 45", {std::nullopt, BoundaryDimensions{45, 100, 25}});
  CHECK(sized.value().front().orders.bpfo == candidates("6309").front().orders.bpfo);
  const auto refused = [](std::string_view text, const BearingHints& hints = {}) {
    const auto list = bearing_candidates(text, hints);
    return !list && list.error().code == Errc::bad_argument && !list.error().advice.empty();
  };
  CHECK(refused("deep groove, bore 45", {std::nullopt, BoundaryDimensions{50, 110, 27}}));
  CHECK(refused("deep groove, bore"));
  CHECK(refused("deep groove, bore 0"));
  CHECK(refused("square, bore 45"));
  CHECK(refused("bore 45"));
}

TEST_CASE("a user's list comes before the built-in one") {
  const auto own = parse_catalogue(
      "name,rolling_elements,element_diameter,pitch_diameter\n6205,10,7,39\nfan,8,6,31\n",
      "mine.csv");
  REQUIRE(own);
  const auto listed = bearing_candidates("6205-2RS", {}, *own).value();
  REQUIRE(listed.size() == 1);
  CHECK(listed.front().orders.rolling_elements == 10);
  CHECK(bearing_candidates("fan", {}, *own)->front().orders.rolling_elements == 8);
  CHECK(bearing_candidates("6319", {}, *own)->front().orders.rolling_elements == 8);
}
