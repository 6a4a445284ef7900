#include "bearingdsp/report/bearing.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "support/close.hpp"

using namespace bearingdsp;
using nlohmann::json;

namespace {

BearingFacts facts(std::string_view text) {
  return facts_of(read_designation(text).value().front());
}

ReportSection section(const Report& r, std::string_view id) {
  const auto at = std::find_if(r.sections.begin(), r.sections.end(),
                               [&](const ReportSection& s) { return s.id == id; });
  REQUIRE(at != r.sections.end());
  return *at;
}

/// What stands beside a label; empty where there is no such line.
std::string figure(const Report& r, std::string_view label) {
  const auto figures = section(r, "facts").figures;
  const auto at = std::find_if(figures.begin(), figures.end(),
                               [&](const KeyFigure& k) { return k.label == label; });
  return at == figures.end() ? std::string{} : at->text;
}

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

bool noted(const ReportSection& s, std::string_view part) {
  return std::any_of(s.notes.begin(), s.notes.end(),
                     [&](const std::string& n) { return has(n, part); });
}

}  // namespace

TEST_CASE(
    "a bearing's number, part by part, with sizes and clearance [src:iso15] [src:iso5753-1]") {
  const Report r = bearing_report(facts("6205-2Z C3"));
  CHECK(r.headline == "A deep groove ball bearing with a bore of 25 mm.");
  const auto parts = section(r, "reading").table->rows;
  REQUIRE(parts.size() == 4);
  CHECK(parts[1][0] == "05");
  CHECK(parts[3][0] == "C3");
  CHECK(has(figure(r, "Size"), "25 x 52 x 15 mm"));
  CHECK(has(figure(r, "Corner"), "at least 1 mm"));
  CHECK(has(figure(r, "Clearance"), "C3, 13 to 28 µm"));
  CHECK(figure(r, "Sides") == "metal shields on both sides, greased for life");
  CHECK(figure(r, "Contact angle").empty());
  CHECK(figure(r, "Current").empty());
  CHECK(bearing_report(facts("7205B")).headline.starts_with("An angular"));
}

TEST_CASE("what closes the sides, what the current meets, what only the manufacturer knows") {
  const auto sides = [](std::string_view text) {
    return figure(bearing_report(facts(text)), "Sides");
  };
  CHECK(has(sides("6205"), "open on both sides"));
  CHECK(sides("6205-Z") == "a metal shield on one side");
  CHECK(sides("6205-RS") == "a rubbing seal on one side");
  CHECK(sides("6205-2RS") == "rubbing seals on both sides, greased for life");
  CHECK(sides("6205-VV") == "low-friction seals on both sides, greased for life");
  CHECK(sides("NU205").empty());  // its rings come apart

  CHECK(figure(bearing_report(facts("6205 VL0241")), "Current") == "one ring is insulated");
  CHECK(figure(bearing_report(facts("7205B")), "Contact angle") == "40°");
  CHECK(has(figure(bearing_report(facts("7205")), "Contact angle"), "none marked"));

  const Report one = bearing_report(facts("6205-QX"));
  CHECK(noted(section(one, "facts"), "QX is not standard: ask the manufacturer about it"));
  const Report two = bearing_report(facts("GJN6205-QX"));
  CHECK(noted(section(two, "facts"), "GJN, QX are not standard: ask the manufacturer about them"));
  CHECK(section(two, "reading").table->rows.front()[0] == "GJN");
}

TEST_CASE("what the tables do not hold is said, not guessed") {
  const Report thrust = bearing_report(facts("29412"));
  CHECK(has(figure(thrust, "Size"), "60 x ? x ? mm"));
  CHECK(figure(thrust, "Corner").empty());
  CHECK(has(figure(thrust, "Clearance"), "set by mounting"));
  CHECK(noted(section(thrust, "defect-orders"), "count the elements"));
  // A class whose limits are not tabulated.
  CHECK(has(figure(bearing_report(facts("6205 C1")), "Clearance"), "not in these tables"));
  CHECK(has(section(bearing_report(facts("6223")), "reading").table->rows[1][1],
            "bore 115 mm: unusual for ISO sizes"));
}

TEST_CASE("defect orders become Hz at a speed [src:closed-form f = order x rpm / 60]") {
  const BearingFacts f = facts("6205");
  REQUIRE(f.candidates.size() == 1);
  const auto by_turn = section(bearing_report(f), "defect-orders");
  CHECK(by_turn.table->rows[0][0] == "9");
  CHECK(by_turn.table->rows[0][1] == "3.579");
  const auto at_speed = section(bearing_report(f, Rpm{1200}), "defect-orders");
  CHECK(at_speed.title == "Defect frequencies at 1200.0 rpm");
  CHECK(at_speed.table->columns[1].unit == "Hz");
  CHECK(at_speed.table->rows[0][1] ==
        fmt::format("{:.2f}", 20 * f.candidates[0].orders.bpfo.value()));
  CHECK(noted(by_turn, "Known from: 6205 in the catalogue"));
  // A suffix of the manufacturer's own does not hide the row.
  CHECK(facts("6205-QX").candidates.size() == 1);
  // Without a row of the catalogue they are estimates, one for each count of balls that fits.
  const BearingFacts estimated = facts("6040");
  REQUIRE(estimated.candidates.size() > 1);
  const auto s = section(bearing_report(estimated), "defect-orders");
  CHECK(s.table->rows.size() == estimated.candidates.size());
  CHECK(noted(s, "Estimated from the type and the outer dimensions"));
  CHECK_FALSE(noted(s, "Known from"));
}

TEST_CASE("candidates: each with its size, the first forty, and what is missing") {
  const auto few = read_designation("62?5").value();
  const Report r = candidates_report("62?5", few);
  CHECK(r.title == "62?5 fits 2 bearings");
  REQUIRE(r.sections[0].table->rows.size() == 2);
  CHECK(r.sections[0].table->rows[0] ==
        std::vector<std::string>{"6205", "25 x 52 x 15 mm", "deep groove ball"});
  CHECK_FALSE(noted(r.sections[0], "more"));
  CHECK_FALSE(noted(r.sections[0], "? in a size"));
  const auto many = read_designation("6???").value();
  const Report long_list = candidates_report("6???", many);
  CHECK(long_list.sections[0].table->rows.size() == 40);
  CHECK(noted(long_list.sections[0], std::to_string(many.size() - 40) + " more"));
  CHECK(noted(candidates_report("294?2", read_designation("294?2").value()).sections[0],
              "? in a size"));
}

TEST_CASE("a measured size: the bearing that has it, a width of another series, none, inches") {
  const auto shown = [](const MeasuredSize& m) {
    return size_search_report(m, find_by_size(m).value());
  };
  const Report fits = shown({25.1, 51.9, 15.0});
  CHECK(fits.title == "Measured 25.1 x 51.9 x 15 mm");
  CHECK(fits.headline == "It has the size of a 6205 (25 x 52 x 15 mm).");
  // sqrt(0.1^2 + 0.1^2)
  CHECK(fits.sections[0].table->rows[0][1] == "0.14");
  CHECK(has(fits.sections[0].table->rows[0][2], "NU205"));

  const Report other = shown({25.0, 52.0, 30.0});
  CHECK(has(other.headline, "the width belongs to a series"));
  CHECK(other.sections[0].table->rows[0][0] == "25 x 52 x other");
  CHECK(other.sections[0].table->rows[0][1] == "-");

  const Report none = shown({31.0, 52.0, {}});
  CHECK(none.title == "Measured 31 x 52 x ? mm");
  CHECK(has(none.headline, "No size in the tables"));
  CHECK(none.sections[0].title == "The nearest sizes");
  CHECK_FALSE(noted(none.sections[0], "inch"));
  CHECK(noted(shown({0.9843, 2.0472, 0.5906}).sections[0], "Add --inch"));
  CHECK(noted(shown(from_inches({1.0, 2.5, 0.5})).sections[0],
              "It may be an inch-size bearing, 1 x 2 1/2 x 1/2 in"));
  CHECK(
      noted(shown(from_inches({0.5, 1.125, 0.25})).sections[0], "In inches: 1/2 x 1 1/8 x 1/4 in"));
}

TEST_CASE("a bearing as JSON: units in the keys, null where nothing is known") {
  const auto j =
      json::parse(bearing_json("6205-2Z C3", {facts("6205-2Z C3"), facts("29405-QX")}, Rpm{1200}));
  CHECK(j["schema"] == "bearingdsp.bearing/1");
  CHECK(j["asked"] == "6205-2Z C3");
  CHECK(j["speed_rpm"] == 1200);
  REQUIRE(j["readings"].size() == 2);
  const auto& ball = j["readings"][0];
  CHECK(ball["designation"] == "6205-2Z/C3");
  CHECK(ball["basic"] == "6205");
  CHECK(ball["outside_diameter_mm"] == 52);
  CHECK(ball["clearance"] == "C3");
  CHECK(ball["clearance_low_um"] == 13);
  CHECK(ball["clearance_high_um"] == 28);
  CHECK(ball["closed_sides"] == 2);
  CHECK(ball["suffixes"].size() == 2);
  const auto& orders = ball["variants"][0];
  CHECK(test::close_rel(orders["bpfo_hz"].get<double>(), 20 * orders["bpfo_orders"].get<double>(),
                        1e-12));
  CHECK(test::close_rel(orders["bpfo_orders"].get<double>() + orders["bpfi_orders"].get<double>(),
                        9, 1e-9));
  const auto& roller = j["readings"][1];
  CHECK(roller["width_mm"].is_null());
  CHECK(roller["clearance_low_um"].is_null());
  CHECK(roller["contact_angle_deg"].is_null());
  CHECK(roller["variants"].size() > 3);
  double sum = 0;
  for (const auto& v : roller["variants"]) sum += v["probability"].get<double>();
  CHECK(test::close_rel(sum, 1, 1e-9));
  CHECK(roller["makers_own"] == json{"QX"});
  CHECK(roller["suffixes"][0]["group"].is_null());
  // Without a speed there are no Hz.
  const auto still = json::parse(bearing_json("6205", {facts("6205")}));
  CHECK(still["speed_rpm"].is_null());
  CHECK(still["readings"][0]["variants"][0]["bpfo_hz"].is_null());
}

TEST_CASE("a search by sizes as JSON") {
  const MeasuredSize m{25.0, 52.0, {}};
  const auto j = json::parse(size_search_json(m, find_by_size(m).value()));
  CHECK(j["schema"] == "bearingdsp.bearing-size/1");
  CHECK(j["bore_mm"] == 25);
  CHECK(j["width_mm"].is_null());
  CHECK(j["fitting"][0]["designations"][0] == "6205");
  CHECK(j["fitting"][0]["misfit_mm"] == 0);
  CHECK(j["nearest"].empty());
  CHECK(j["inch_size"].is_null());
  const MeasuredSize inch = from_inches({1.0, 2.5, 0.5});
  const auto i = json::parse(size_search_json(inch, find_by_size(inch).value()));
  CHECK(i["fitting"].empty());
  CHECK(i["nearest"].size() == 3);
  CHECK(i["inch_size"] == "1 x 2 1/2 x 1/2 in");
}
