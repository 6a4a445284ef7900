#include "bearingdsp/bearing/catalogue.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <string>

#include "support/close.hpp"

using namespace bearingdsp;
using test::close_abs;
using test::close_rel;

namespace {

std::string refusal(const std::string& text) {
  const auto c = parse_catalogue(text, "mine.csv");
  REQUIRE_FALSE(c);
  CHECK(c.error().code == Errc::corrupt_file);
  CHECK(c.error().message().find('\n') == std::string::npos);
  return c.error().message();
}

}  // namespace

TEST_CASE("every row of the catalogue stands: source, status, identities") {
  const auto& entries = built_in_catalogue().entries;
  CHECK(entries.size() >= 900);
  for (const auto& e : entries) {
    CAPTURE(e.name);
    CHECK_FALSE(e.source.empty());
    CHECK(e.status != EntryStatus::user);
    CHECK(e.orders.origin == OrdersOrigin::catalogue);
    const double z = e.orders.rolling_elements;
    CHECK(close_rel((e.orders.bpfo + e.orders.bpfi).value(), z, 3e-4));
    CHECK(close_rel(e.orders.bpfo.value(), z * e.orders.ftf.value(), 2e-3));
    const double x = 1 - 2 * e.orders.bpfo.value() / z;
    const bool thrust = e.geometry && e.geometry->contact_angle == Degrees{90};
    CHECK((thrust ? x == 0.0 : x > 0.05));
    CHECK(x < 0.35);
  }
}

TEST_CASE(
    "table of frequency orders agrees with its own identities to its rounding "
    "[src:a manufacturer's housed-unit catalogue, confirmed]") {
  int rows = 0;
  for (const auto& e : built_in_catalogue().entries) {
    if (e.envelope.empty()) continue;
    ++rows;
    CAPTURE(e.name);
    const double z = e.orders.rolling_elements;
    const double x = 1 - 2 * e.orders.bpfo.value() / z;
    CHECK(close_abs(e.orders.bpfo.value() + e.orders.bpfi.value(), z, 1.01e-3));
    CHECK(close_abs(e.orders.ftf.value(), e.orders.bpfo.value() / z, 0.6e-3));
    CHECK(close_rel(e.orders.bsf.value(), (1 - x * x) / (2 * x), 3e-3));
  }
  CHECK(rows == 26);
}

TEST_CASE(
    "computed orders of a manufacturer's printed geometry [src:catalogue of high-precision "
    "bearings, "
    "geometry confirmed, orders computed]") {
  struct Row {
    const char* name;
    double bpfo, bpfi, ftf, bsf;
  };
  for (const auto& r : std::array{
           Row{"608", 2.5550, 4.4450, 0.3650, 1.7169}, Row{"6001", 3.0476, 4.9524, 0.3810, 1.9809},
           Row{"6006", 4.5755, 6.4245, 0.4160, 2.8905}, Row{"6202", 3.0588, 4.9412, 0.3824, 2.0073},
           Row{"6207", 3.5653, 5.4347, 0.3961, 2.3035}}) {
    CAPTURE(r.name);
    const auto o = find_bearing(r.name).value().front().orders;
    CHECK(close_abs(o.bpfo.value(), r.bpfo, 6e-5));
    CHECK(close_abs(o.bpfi.value(), r.bpfi, 6e-5));
    CHECK(close_abs(o.ftf.value(), r.ftf, 6e-5));
    CHECK(close_abs(o.bsf.value(), r.bsf, 6e-5));
  }
}

TEST_CASE("designations are understood as people write them") {
  const auto plain = find_bearing("6205").value();
  CHECK(plain.size() >= 3);
  for (const char* text :
       {"6205-2RS", "6205 ZZ C3", "6205-2Z/C3", "6205.2rsr.c3", " 6205 ", "6205-2RS1/C3", "6205zz",
        "6205-2RS JEM", "6205_2Z", "6205 M P6 C4", "6205NR"}) {
    CAPTURE(text);
    const auto rows = find_bearing(text);
    REQUIRE(rows);
    CHECK(rows->size() == plain.size());
    CHECK(rows->front().name == "6205");
  }
  // 2Z could be taken off 6202Z as well, leaving a name that is not meant.
  CHECK(find_bearing("6202Z").value().front().name == "6202");
  CHECK(find_bearing("er-16k").value().front().name == "ER16K");
  CHECK(find_bearing("za 2115").value().front().orders.rolling_elements == 16);
  CHECK(find_bearing("KH 6006 C").value().front().geometry->contact_angle == Degrees{17});
}

TEST_CASE("a bearing that is not known is refused, only names are suggested, never a number") {
  const auto r = find_bearing("6025");
  REQUIRE_FALSE(r);
  CHECK(r.error().code == Errc::not_found);
  CHECK(r.error().message().find("6205") == std::string::npos);
  CHECK(find_bearing("pronostai").error().advice == "did you mean PRONOSTIA?");
  CHECK(find_bearing("").error().code == Errc::bad_argument);
  CHECK(find_bearing(" - / ").error().code == Errc::bad_argument);
  CHECK(find_bearing("pump").error().message().find("number of elements") != std::string::npos);
  CHECK_FALSE(find_bearing(std::string(1000000, 'Z')));
  // An angular contact or high-capacity letter is not a suffix to drop.
  CHECK_FALSE(find_bearing("6205E"));
  CHECK_FALSE(find_bearing("6205B"));
}

TEST_CASE(
    "designations that manufacturers fill differently give all variants "
    "[src:load ratings inverted and a table of orders, 6209 4.084 against 3.621, 6306 3.066 "
    "against 2.574]") {
  const auto of_6209 = variants(find_bearing("6209").value());
  REQUIRE(of_6209.size() == 2);
  CHECK(of_6209[0].rolling_elements == 9);
  CHECK(close_abs(of_6209[0].bpfo.value(), 3.621, 1e-3));
  CHECK(of_6209[1].rolling_elements == 10);
  CHECK(close_abs(of_6209[1].bpfo.value(), 4.084, 1e-3));
  const auto of_6306 = variants(find_bearing("6306").value());
  REQUIRE(of_6306.size() == 2);
  CHECK(close_abs(of_6306[0].bpfo.value(), 3.066, 1e-3));
  CHECK(close_abs(of_6306[1].bpfo.value(), 2.574, 1e-3));
}

TEST_CASE("rows that agree become one variant whose uncertainty covers them all") {
  const auto rows = find_bearing("6205").value();
  const auto merged = variants(rows);
  REQUIRE(merged.size() == 1);
  for (const auto& r : rows)
    for (const Part p : {Part::outer_ring, Part::inner_ring, Part::rolling_element, Part::cage}) {
      CAPTURE(token(p));
      const double centre = merged[0].of(p).value();
      CHECK(std::abs(r.orders.of(p).value() - centre) <= merged[0].uncertainty(p) * centre);
    }
  // [src:catalogue A against K: 1.6 to 1.8 % among manufacturers]
  CHECK(merged[0].uncertainty(Part::outer_ring) > 0.012);
  CHECK(merged[0].uncertainty(Part::outer_ring) < 0.02);
  CHECK(merged[0].relative_uncertainty >= merged[0].uncertainty(Part::rolling_element));
  const auto single = variants(find_bearing("UER204").value());
  REQUIRE(single.size() == 1);
  CHECK(close_abs(single[0].bpfo.value(), 3.0831, 1e-4));
  CHECK(variants({}).empty());
}

TEST_CASE("a user's list: inches, quotes, comments, byte order mark, CRLF") {
  const auto c = parse_catalogue(
      "\xEF\xBB\xBF# mine\r\n"
      "name,rolling_elements,element_diameter,pitch_diameter,contact_angle_deg,unit,source\r\n"
      "fan,8,0.235,1.245,0,in,\"said, by \"\"me\"\"\"\r\n"
      "\r\n"
      "saw , 16 , 8.4 , 71.5 , 15.17\r\n",
      "mine.csv");
  REQUIRE(c);
  REQUIRE(c->entries.size() == 2);
  CHECK(c->entries[0].source == "said, by \"me\"");
  CHECK(c->entries[0].status == EntryStatus::user);
  CHECK(c->entries[0].orders.relative_uncertainty == 0.0);
  CHECK(close_rel(c->entries[0].geometry->pitch_diameter, 31.623, 1e-12));
  // [src:MFPT data description; 81.125 Hz at 25 Hz from memory]
  CHECK(close_abs(c->entries[0].orders.bpfo.value() * 25, 81.125, 0.01));
  CHECK(c->entries[1].geometry->contact_angle == Degrees{15.17});
  CHECK(find_bearing("FAN", *c).value().size() == 1);
  CHECK_FALSE(find_bearing("6205", *c));
}

TEST_CASE("errors in a user's list name line and column") {
  const std::string head = "name,rolling_elements,element_diameter,pitch_diameter,unit\n";
  const auto has = [](const std::string& text, const char* word) {
    return text.find(word) != std::string::npos;
  };
  auto m = refusal(head + "a,9,7.94,x39,mm\n");
  CHECK(has(m, "mine.csv:2"));
  CHECK(has(m, "pitch_diameter"));
  CHECK(has(m, "x39"));
  m = refusal(head + "a,9,7.94,39.04,mm\nb,9.5,7.94,39.04,mm\n");
  CHECK(has(m, "mine.csv:3"));
  CHECK(has(m, "rolling_elements"));
  CHECK(has(refusal(head + "a,9,39.04,7.94,mm\n"), "swapped"));
  CHECK(has(refusal(head + "a,9,7.94,39.04,cm\n"), "unit"));
  CHECK(has(refusal(head + ",9,7.94,39.04,mm\n"), "name"));
  CHECK(has(refusal(head + "a,9,,39.04,mm\n"), "element_diameter"));
  CHECK(has(refusal(head + "a,9,7.94,39.04,mm,6\n"), "6 fields"));
  CHECK(has(refusal(head + "\"a,9,7.94,39.04,mm\n"), "quote"));
  CHECK(has(refusal("name,rolling_element,element_diameter,pitch_diameter\n"),
            "did you mean rolling_elements"));
  CHECK(has(refusal("name,name\n"), "twice"));
  CHECK(has(refusal("name,element_diameter,pitch_diameter\n"), "rolling_elements"));
  CHECK(has(refusal("name,rolling_elements\n"), "neither sizes nor orders"));
  CHECK(has(refusal(""), "column names"));
  const std::string orders = "name,rolling_elements,bpfo,bpfi,bsf,ftf\n";
  CHECK(has(refusal(orders + "a,9,3.5,5.4,2.3,0.39\n"), "bpfi"));
  CHECK(has(refusal(orders + "a,9,3.6,5.4,2.3,0.3\n"), "ftf"));
  CHECK(has(refusal(orders + "a,9,3.6,5.4,-2.3,0.4\n"), "bsf"));
  CHECK(has(refusal(orders + "a,9,nan,5.4,2.3,0.4\n"), "bpfo"));
  CHECK(parse_catalogue(orders + "a,9,3.6,5.4,2.3,0.4\n", "x"));
}
