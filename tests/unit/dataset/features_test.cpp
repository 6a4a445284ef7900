// The table of features has what the diagnosis measured, a row for each recording and component.
#include "bearingdsp/dataset/features.hpp"

#include <doctest/doctest.h>

#include <charconv>
#include <cmath>
#include <string>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/simulate/simulation.hpp"
#include "support/close.hpp"

using namespace bearingdsp;

namespace {

struct Diagnosed {
  LabelledRecord record;
  Diagnosis diagnosis;
};

Diagnosed diagnosed() {
  SimulationPlan plan;
  plan.rate = Hz{12800};
  plan.duration = Seconds{2};
  const Capture capture = simulate(plan).value().capture;
  Diagnosed d;
  d.record.dataset = "made";
  d.record.file = "a, b.wav";
  d.record.label = "none";
  d.record.split = "=tuning";
  FftPlans plans;
  DiagnoseOptions options;
  options.speed = Rpm{1480};
  DefectOrders orders;
  orders.bpfo = Order{3.6};
  orders.bpfi = Order{5.4};
  orders.bsf = Order{2.4};
  orders.ftf = Order{0.4};
  options.bearings = {{orders}};
  d.diagnosis = diagnose(capture, plans, options).value();
  return d;
}

double number(const std::string& cell) {
  double value = 0;
  const auto end = cell.data() + cell.size();
  REQUIRE(std::from_chars(cell.data(), end, value).ptr == end);
  return value;
}

}  // namespace

TEST_CASE("features: a row for each component, numbers read back exactly") {
  const Diagnosed d = diagnosed();
  const RecordFeatures f = features_of(d.record, d.diagnosis);
  const auto rows = parse_csv(features_csv({f}), "features").value();
  REQUIRE(rows.size() == 1 + part_count);
  const auto cell = [&](std::size_t row, const std::string& column) {
    for (std::size_t c = 0; c < rows[0].size(); ++c)
      if (rows[0][c] == column) return rows[row].at(c);
    FAIL(column);
    return std::string{};
  };
  for (const auto& row : rows) CHECK(row.size() == rows[0].size());
  for (std::size_t part = 0; part < part_count; ++part) {
    const std::size_t row = part + 1;
    CHECK(cell(row, "component") == token(static_cast<Part>(part)));
    CHECK(cell(row, "file") == "a, b.wav");
    CHECK(cell(row, "split") == "'=tuning");  // a spreadsheet would calculate it
    REQUIRE(f.families.at(part));
    for (const FamilyEvidence& family : d.diagnosis.families)
      if (family.part == static_cast<Part>(part)) {
        CHECK(number(cell(row, "strength")) == family.strength);
        CHECK(number(cell(row, "depth")) == family.depth);
        CHECK(number(cell(row, "fitted_order")) == family.fitted.value());
        CHECK(number(cell(row, "expected_order")) == family.expected.value());
        CHECK(number(cell(row, "slip")) == family.slip);
        CHECK(number(cell(row, "band_high_hz")) == family.band.high.value());
      }
    CHECK(number(cell(row, "probability_damage")) == d.diagnosis.probability_of_damage);
    CHECK(number(cell(row, "overall_rms")) == d.diagnosis.figures[0].rms);
    CHECK(test::close_rel(number(cell(row, "velocity_rms_mm_s")),
                          1000 * d.diagnosis.figures[0].velocity_rms.value(), 1e-12));
    CHECK(cell(row, "unit") == "m/s2");
    CHECK(test::close_rel(number(cell(row, "duration_s")), 2, 1e-9));
  }
}

TEST_CASE("features: columns are those of the CSV, typed, numbers with a unit [src:contract]") {
  const RecordFeatures f = features_of_failed({});
  const auto columns = feature_columns();
  const auto header = parse_csv(features_csv({f}), "features").value().at(0);
  REQUIRE(header.size() == columns.size());
  const auto cells = feature_cells(f, Part::inner_ring);
  REQUIRE(cells.size() == columns.size());
  for (std::size_t i = 0; i < columns.size(); ++i) {
    CAPTURE(columns[i].name);
    CHECK(header[i] == columns[i].name);
    CHECK(columns[i].unit.empty() != columns[i].number);
    CHECK(std::holds_alternative<std::string>(cells[i]) != columns[i].number);
    // Nothing was measured.
    if (columns[i].number) CHECK_FALSE(std::get<std::optional<double>>(cells[i]).has_value());
  }
}

TEST_CASE(
    "features: the largest of the channels, each finding once, no numbers without a diagnosis") {
  Diagnosed d = diagnosed();
  SignalFigures second = d.diagnosis.figures[0];
  second.kurtosis = 77;
  second.rms = d.diagnosis.figures[0].rms / 2;
  d.diagnosis.figures.push_back(second);
  SignalFigures other = second;
  other.unit = SampleUnit::velocity;
  other.rms = 1e9;
  other.velocity_rms = 5;
  d.diagnosis.figures.push_back(other);
  d.diagnosis.findings.clear();
  for (const FindingKind kind : {FindingKind::clipped, FindingKind::gap, FindingKind::clipped}) {
    Finding finding;
    finding.kind = kind;
    d.diagnosis.findings.push_back(finding);
  }
  const RecordFeatures f = features_of(d.record, d.diagnosis);
  CHECK(f.kurtosis == 77);
  CHECK(f.rms == d.diagnosis.figures[0].rms);
  CHECK(f.velocity_rms == 5);
  CHECK(f.findings ==
        std::string{token(FindingKind::clipped)} + "; " + std::string{token(FindingKind::gap)});
  d.diagnosis.families.clear();
  CHECK_FALSE(features_of(d.record, d.diagnosis).families[0]);

  const RecordFeatures none = features_of_failed(d.record);
  CHECK(none.named == "failed");
  CHECK(std::isnan(none.rms));
  const auto rows = parse_csv(features_csv({none}), "features").value();
  REQUIRE(rows.size() == 1 + part_count);
  for (std::size_t c = 0; c < rows[0].size(); ++c) {
    const bool text = rows[0][c] == "dataset" || rows[0][c] == "file" || rows[0][c] == "split" ||
                      rows[0][c] == "label" || rows[0][c] == "named" || rows[0][c] == "component";
    CHECK(rows[1][c].empty() != text);
  }
}
