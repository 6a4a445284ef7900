#include "bearingdsp/report/model.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "bearingdsp/report/text.hpp"
#include "support/close.hpp"
#include "support/made_diagnosis.hpp"

using namespace bearingdsp;

namespace {

const ReportSection* section(const Report& r, const std::string& id) {
  const auto found = std::find_if(r.sections.begin(), r.sections.end(),
                                  [&](const ReportSection& s) { return s.id == id; });
  return found == r.sections.end() ? nullptr : &*found;
}

}  // namespace

TEST_CASE("significant keeps the digits asked for, zeros included [src:definition]") {
  CHECK(significant(3.58479, 4) == "3.585");
  CHECK(significant(3.0, 3) == "3.00");
  CHECK(significant(0.9996, 3) == "1.00");
  CHECK(significant(999.6, 3) == "1000");
  CHECK(significant(1234.5, 3) == "1234");  // whole part is never cut
  CHECK(significant(-0.00012345, 3) == "-0.000123");
  CHECK(significant(0.0, 3) == "0");
  CHECK(significant(1.5e-9, 2) == "1.5e-09");
  CHECK(significant(12345678.0, 3) == "1.23e+07");
  CHECK(significant(std::nan("")) == "-");
  CHECK(significant(std::numeric_limits<double>::infinity()) == "-");
}

TEST_CASE("odds never say more than a million [src:definition]") {
  CHECK(odds(0.0) == "> 99 %");
  CHECK(odds(std::log10(0.5)) == "50 %");
  CHECK(odds(std::log10(1.0 / 40.0)) == "1 in 40");
  CHECK(odds(-3.0) == "1 in 1000");
  CHECK(odds(std::log10(1.0 / 123456.0)) == "1 in 120000");
  CHECK(odds(-20.0) == "< 1 in 10⁶");
}

TEST_CASE("the report of a fault: what to do, why, then a summary with the confidence") {
  const Report r = diagnosis_report(test::made_diagnosis());
  CHECK(r.title == "BEARING FAULT: outer ring");
  CHECK(r.tone == Tone::bad);
  REQUIRE(r.sections.size() >= 6);
  CHECK(r.sections[0].id == "advice");
  CHECK(r.sections[0].title == "What to do: plan, within four weeks");
  CHECK(r.sections[1].id == "why");
  CHECK(r.sections[2].id == "summary");
  CHECK(r.sections[2].figures.at(0).text == "bearing damaged 97 %, outer ring 95 %");
  // All the rest is for those who ask for more.
  for (std::size_t i = 3; i < r.sections.size(); ++i) CHECK(r.sections[i].detail);
  REQUIRE(section(r, "evidence") != nullptr);
  REQUIRE(section(r, "evidence")->table);
  const auto& rows = section(r, "evidence")->table->rows;
  REQUIRE(rows.size() == 2);
  // Found frequency: 3.5611 orders at 24.75 Hz is 88.14 Hz [src:arithmetic].
  CHECK(rows[0] == std::vector<std::string>{"outer ring", "95 %", "3.585", "3.561", "88.14",
                                            "3 + 1", "34", "< 1 in 10⁶"});
  CHECK(rows[1][3] == "-");
  CHECK(rows[1][5] == "none");
}

TEST_CASE("velocity is shown in mm/s and the gravest finding comes first [src:unit definition]") {
  const Report r = diagnosis_report(test::made_diagnosis());
  REQUIRE(section(r, "levels") != nullptr);
  CHECK(section(r, "levels")->table->rows.at(0).at(2) == "2.31");
  Diagnosis short_one = test::made_diagnosis();
  short_one.figures[0].velocity_rms.reset();
  CHECK(section(diagnosis_report(short_one), "levels")->notes.back().find("too short") !=
        std::string::npos);
  short_one.figures[0].unit = SampleUnit::volt;
  CHECK(section(diagnosis_report(short_one), "levels")->notes.back().find("--sensitivity") !=
        std::string::npos);
  REQUIRE(section(r, "findings") != nullptr);
  CHECK(section(r, "findings")->items.at(0).find("caution, radial: 12 samples") == 0);
  CHECK(section(r, "findings")->items.at(1).find("note, radial: hum") == 0);
}

TEST_CASE("what is the same for several channels is said once") {
  Diagnosis d = test::made_diagnosis();
  Finding other = d.findings[0];
  other.where = "axial";
  d.findings.push_back(other);
  other.where = "vertical";
  other.what = "hum of 0.3 m/s2 at 50 Hz";
  d.findings.push_back(other);
  const Report r = diagnosis_report(d);
  REQUIRE(section(r, "findings") != nullptr);
  REQUIRE(section(r, "findings")->items.size() == 2);
  CHECK(
      section(r, "findings")
          ->items.at(1)
          .find(
              "note, radial, axial: hum of 0.1 m/s2 at 50 Hz; vertical: hum of 0.3 m/s2 at 50 Hz. "
              "Consequence: ") == 0);
}

TEST_CASE("another fault whose level nobody can judge is in the headline as a pattern") {
  Diagnosis d = test::made_diagnosis();
  CHECK(diagnosis_report(d).headline.find("pattern of unbalance (62 %)") != std::string::npos);
  d.other_causes[0].probability = 0.96;
  const Report r = diagnosis_report(d);
  CHECK(r.title == "BEARING FAULT: outer ring");
  CHECK(r.headline.find("pattern of unbalance (96 %)") != std::string::npos);
}

TEST_CASE("the same curve twice is drawn once, parts of no weight show only where they would be") {
  Diagnosis d = test::made_diagnosis();
  d.curves.push_back(d.curves[1]);
  CHECK(diagnosis_report(d).plots.size() == 2);
  d.probability_of_part = {0.01, 0.0, 0.0, 0.0};
  const Report faint = diagnosis_report(d);
  for (const PlotMarker& m : faint.plots[0].markers) CHECK_FALSE(m.detected);
}

TEST_CASE("every table has as many cells as columns") {
  const Report r = diagnosis_report(test::made_diagnosis());
  for (const ReportSection& s : r.sections) {
    if (!s.table) continue;
    for (const auto& row : s.table->rows) CHECK(row.size() == s.table->columns.size());
  }
}

TEST_CASE("no fault and cannot tell are said as such") {
  Diagnosis d = test::made_diagnosis();
  d.verdict = Verdict::no_fault;
  d.place = Place::none;
  d.probability_of_damage = 0.004;
  const Report healthy = diagnosis_report(d);
  CHECK(healthy.title == "NO BEARING FAULT FOUND");
  CHECK(healthy.tone == Tone::good);
  CHECK(section(healthy, "summary")->figures.at(0).text ==
        "healthy: > 99 % on a routine survey, > 99 % if you suspect it");
  CHECK_FALSE(section(healthy, "certainty")->notes.empty());
  d.verdict = Verdict::indeterminate;
  d.place = Place::cannot_tell;
  d.orders.reset();
  d.families.clear();
  d.speed = {};
  const Report doubt = diagnosis_report(d);
  CHECK(doubt.title == "CANNOT TELL");
  CHECK(doubt.tone == Tone::doubt);
  REQUIRE(section(doubt, "evidence") != nullptr);
  CHECK(section(doubt, "evidence")->notes.at(0).find("--bearing") != std::string::npos);
}

TEST_CASE("plots: envelope first, with lines that stand and those only expected marked") {
  const Report r = diagnosis_report(test::made_diagnosis());
  REQUIRE(r.plots.size() == 2);
  CHECK(r.plots[0].x_unit == "orders");
  CHECK(r.plots[1].x_unit == "s");
  CHECK(test::close_rel(r.plots[0].x_end, 3.5 * 5.4152, 1e-12));
  const auto& m = r.plots[0].markers;
  CHECK(std::is_sorted(m.begin(), m.end(),
                       [](const PlotMarker& a, const PlotMarker& b) { return a.x < b.x; }));
  const auto count = [&](MarkerKind kind, bool detected) {
    return std::count_if(m.begin(), m.end(), [&](const PlotMarker& p) {
      return p.kind == kind && p.detected == detected;
    });
  };
  CHECK(count(MarkerKind::outer_ring, true) == 4);
  CHECK(count(MarkerKind::inner_ring, false) == 3);
  CHECK(count(MarkerKind::shaft, false) == 3);
}

TEST_CASE(
    "plots: an envelope spectrum in Hz gets its markers at order times shaft rate "
    "[src:closed-form]") {
  Diagnosis d = test::made_diagnosis();
  d.curves.erase(d.curves.begin());
  d.curves[0].x_unit = "Hz";
  for (double& x : d.curves[0].x) x *= 24.75;
  const Report r = diagnosis_report(d);
  REQUIRE_FALSE(r.plots[0].markers.empty());
  CHECK(std::any_of(r.plots[0].markers.begin(), r.plots[0].markers.end(), [](const PlotMarker& m) {
    return m.kind == MarkerKind::outer_ring && test::close_rel(m.x, 3.5611 * 24.75, 1e-12);
  }));
  d.speed = {};
  CHECK(diagnosis_report(d).plots[0].markers.empty());
}

TEST_CASE(
    "frequencies of 6205 at 1797 rpm: 107.4, 162.2, 70.6, 11.9 Hz [src:smith2015, the "
    "dataset's page: confirmed]") {
  const Report r = frequencies_report("6205", test::made_orders(), Rpm{1797});
  const auto& rows = r.sections.at(0).table->rows;
  REQUIRE(rows.size() == 5);
  CHECK(rows[0].at(3).substr(0, 5) == "107.3");  // 107.365, printed as 107.4 in the source
  CHECK(rows[1].at(3).substr(0, 5) == "162.1");  // 162.186, printed as 162.2
  CHECK(rows[2].at(3).substr(0, 4) == "70.5");   // 70.585, printed as 70.6
  CHECK(rows[4].at(3).substr(0, 4) == "11.9");
  CHECK(frequencies_report("6205", test::made_orders(), std::nullopt)
            .sections.at(0)
            .table->columns.size() == 3);
}

TEST_CASE("contents: the headline follows the gravest finding") {
  Capture c;
  c.rate = Hz{1000};
  c.channels.push_back({"x", SampleUnit::acceleration, {1, 2, 3}, {}});
  Contents file;
  file.source = "a.mat";
  file.items.push_back({1, "x", "double", {3}, "", true, false, {}});
  file.items.push_back({2, "RPM", "double", {1, 1}, "", false, false, 1796});
  CHECK(contents_report(file, nullptr, {}).tone == Tone::doubt);
  const Report good = contents_report(file, &c, {});
  CHECK(good.tone == Tone::good);
  CHECK(good.source == "a.mat");
  REQUIRE(section(good, "listing") != nullptr);
  CHECK(section(good, "listing")->table->rows.at(1).at(3) == "= 1796.00");
  Finding f;
  f.weight = Weight::caution;
  CHECK(contents_report(file, &c, {f}).tone == Tone::doubt);
  f.weight = Weight::blocking;
  CHECK(contents_report(file, &c, {f}).tone == Tone::bad);
}

TEST_CASE("maps: the tree of bands by rows, the strongest marked, what stands in each in words") {
  const Report r = diagnosis_report(test::made_diagnosis_with_maps());
  REQUIRE(r.maps.size() == 2);
  const ReportMap& m = r.maps[0];
  REQUIRE(m.rows.size() == 3);
  CHECK(m.rows[0].name == "whole");
  CHECK(m.rows[1].name == "1/2");
  CHECK(m.rows[2].name.empty());
  CHECK(m.rows[1].y == std::vector<double>{0.1, 0.9});
  CHECK(m.rows[1].step == 6250);
  CHECK(m.rows[2].start == 3125);
  CHECK(m.rows[1].notes[0] == "inner ring, kurtosis 0.250");
  CHECK(m.rows[2].notes[0] == "nothing detected");
  REQUIRE(m.marks.size() == 1);
  CHECK(m.marks[0].row == 1);
  CHECK(m.marks[0].cell == 1);
  CHECK(m.after == 1);  // behind the one envelope spectrum
  Diagnosis none = test::made_diagnosis_with_maps();
  for (BandTried& b : none.bands_tried) {
    b.strength = 0;
    b.chosen = false;
  }
  CHECK(diagnosis_report(none).maps[0].notes[1].find(
            "No harmonic series is detected in any band") == 0);
}

TEST_CASE(
    "maps: a healthy machine has pale shades, and the scale is the same for every recording") {
  Diagnosis d = test::made_diagnosis_with_maps();
  for (BandTried& b : d.bands_tried) b.strength = 0.01;  // measured on simulated healthy bearings
  const Report quiet = diagnosis_report(d);
  CHECK(quiet.maps[0].min_top == 0.5);
  CHECK(quiet.maps[0].notes.back() ==
        "The darkest shade is 0.5 or the highest value, whichever is larger.");
  for (BandTried& b : d.bands_tried) b.strength = 0.45;
  CHECK(diagnosis_report(d).maps[0].min_top == quiet.maps[0].min_top);
  // Stationary noise, 0.03, stays within the lowest tenth of the coherence.
  CHECK(quiet.maps[1].min_top >= 10 * 0.03);
}

TEST_CASE("maps: coherence over orders, high carriers on top, expected lines marked") {
  const Diagnosis d = test::made_diagnosis_with_maps();
  const Report r = diagnosis_report(d);
  const ReportMap& m = r.maps[1];
  REQUIRE(m.rows.size() == 2);
  CHECK(m.rows[0].name == "6250-12500");
  CHECK(test::close_rel(m.rows[0].step, 0.1, 1e-12));
  CHECK(m.rows[0].y[35] == 0.45);
  CHECK(m.markers.size() == r.plots[0].markers.size());
  CHECK(m.x_end == r.plots[0].x_end);
  CHECK(m.notes[0].find("0.012 in one cell of 1000") != std::string::npos);
}

TEST_CASE("diagnosis: the short answer fits 25 lines of 80 columns, whatever is the matter") {
  Diagnosis d = test::made_diagnosis();
  d.other_causes = {
      {OtherCause::electrical_erosion, 0.9, std::string(150, 'a') + " " + std::string(60, 'b')},
      {OtherCause::rotor_bars, 0.8, "sidebands"},
      {OtherCause::poor_lubrication, 0.75, "noise"}};
  for (const FindingKind kind :
       {FindingKind::speed_implausible, FindingKind::ambiguous, FindingKind::unit_disagrees})
    d.findings.push_back({kind, Weight::caution, "",
                          "something about the recording that takes a line and a half of text " +
                              std::string{token(kind)},
                          "it matters", "do something"});
  const Report r = diagnosis_report(d);
  const std::string text = to_text(r);
  CHECK(std::count(text.begin(), text.end(), '\n') <= 25);
  // What gave way is among the details, and every action is kept.
  CHECK(r.sections[0].items.size() == 3);
  TextOptions all;
  all.details = true;
  CHECK(to_text(r, all).find("Electrical erosion (90 %") != std::string::npos);
  all.width = 400;
  CHECK(to_text(r, all).find("takes a line and a half of text ambiguous") != std::string::npos);
}

TEST_CASE("plots: an envelope is read as depth, and in the unit of the samples") {
  Diagnosis d = test::made_diagnosis();
  d.curves = {{"envelope spectrum", "", "orders", "modulation depth", {1, 2, 3}, {1, 2, 1}},
              {"envelope spectrum, amplitude", "DE", "orders", "m/s2 rms", {1, 2, 3}, {1, 3, 1}},
              {"envelope spectrum, amplitude", "NDE", "orders", "1 rms", {1, 2, 3}, {1, 4, 1}}};
  const Report r = diagnosis_report(d);
  REQUIRE(r.plots.size() == 3);
  CHECK(r.plots[0].y_label == "modulation depth");
  CHECK(r.plots[0].y_unit.empty());
  CHECK(r.plots[1].y_label == "envelope");
  CHECK(r.plots[1].y_unit == "m/s² rms");
  CHECK(r.plots[1].title == "envelope spectrum, amplitude, DE");
  CHECK(r.plots[1].x_unit == "orders");
  CHECK(r.plots[1].markers.size() == r.plots[0].markers.size());
  CHECK(r.plots[2].y_label == "envelope, rms, uncalibrated");
}

TEST_CASE("plots: an axis without a known unit says so instead of a 1") {
  Diagnosis d = test::made_diagnosis();
  d.curves[0].y_unit = "1";
  d.curves[1] = {"spectrum", "radial", "Hz", "1 rms", {1, 2, 3}, {1, 2, 1}};
  const Report r = diagnosis_report(d);
  REQUIRE(r.plots.size() == 2);
  CHECK(r.plots[0].y_label == "amplitude, rms, uncalibrated");
  CHECK(r.plots[1].y_label == "vibration, uncalibrated");
  CHECK(r.plots[1].y_unit.empty());
}
