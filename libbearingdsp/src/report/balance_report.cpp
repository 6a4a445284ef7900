#include <fmt/format.h>

#include <algorithm>
#include <complex>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/report/balance.hpp"
#include "report/balance_parts.hpp"

namespace bearingdsp {
namespace {

using namespace balance_parts;

std::string plane_name(const BalanceJob& job, std::size_t plane) {
  return plane < job.planes.size() ? job.planes[plane].name : fmt::format("plane {}", plane + 1);
}

std::string polar_words(std::complex<double> v) {
  return fmt::format("{} at {:.0f}°", significant(std::abs(v)), angle_of(v).value());
}

std::string plus_minus(const PlaneCorrection& c) {
  const std::string mass = significant(c.mass_uncertainty.value(), 2);
  return c.angle_uncertainty.value() >= 180
             ? fmt::format("± {} g, any angle", mass)
             : fmt::format("± {} g, ± {:.0f}°", mass, c.angle_uncertainty.value());
}

ReportSection weights_section(const BalanceResult& r) {
  ReportSection s;
  s.id = "advice";
  s.title = "Weights";
  const auto& planes = r.answer.planes;
  for (std::size_t p = 0; p < planes.size(); ++p) {
    const std::string plane = plane_name(r.job, p);
    s.figures.push_back(
        {plane, fmt::format("{} ({})", weight_words(planes[p].weight), plus_minus(planes[p]))});
    if (r.splits.at(p))
      s.figures.push_back({plane + ", split", split_words(*r.splits[p])});
    else if (r.job.step > Grams{0})
      s.figures.push_back({plane + ", rounded", weight_words(r.mounted.at(p))});
  }
  s.notes.emplace_back("For the rotor as found: all trial weights are taken off.");
  const auto& last = r.job.runs.back();
  for (std::size_t p = 0; p < planes.size(); ++p)
    if (last.weights.at(p).mass.value() > 0)
      s.notes.push_back(fmt::format("If the weights of run '{}' stay on {}: add {} instead.",
                                    last.name, plane_name(r.job, p),
                                    weight_words(planes[p].added)));
  s.notes.emplace_back(
      "± is the 95 % range. Material taken away instead: the same mass, on the opposite side.");
  return s;
}

ReportSection prediction_section(const BalanceResult& r) {
  ReportSection s;
  s.id = "prediction";
  s.title = "What to expect";
  ReportTable t;
  t.columns = {{"Sensor", "", false},
               {"As found", r.job.unit, false},
               {"After", r.job.unit, true},
               {"At most (95 %)", r.job.unit, true}};
  for (std::size_t m = 0; m < r.predicted.size(); ++m) {
    const RowPrediction& row = r.predicted[m];
    // What is left of rounding in the computer is nothing.
    const bool nothing = std::abs(row.after) < 1e-9 * std::abs(row.found);
    t.rows.push_back({row_name(r.job, m), polar_words(row.found),
                      nothing ? "0" : significant(std::abs(row.after), 2),
                      significant(row.at_most, 2)});
  }
  s.table = std::move(t);
  s.notes.push_back(
      fmt::format("1x vibration. The range assumes that each run repeats within {:g} % (one "
                  "standard deviation) "
                  "and counts the scatter of recordings.",
                  100 * r.job.options.repeatability));
  for (const std::string& note : r.answer.notes) s.notes.push_back(note);
  return s;
}

ReportSection unbalance_section(const BalanceResult& r) {
  ReportSection s;
  s.id = "unbalance";
  s.title = "Residual unbalance";
  const UnbalanceJudgement& u = r.unbalance;
  for (std::size_t p = 0; p < u.planes.size(); ++p)
    s.figures.push_back(
        {plane_name(r.job, p), fmt::format("{} g·mm as found, at most {} g·mm after (95 %)",
                                           significant(u.planes[p].found.value()),
                                           significant(u.planes[p].remains_at_most.value(), 2))});
  if (u.permissible) {
    s.figures.push_back(
        {"Allowed", fmt::format("{} g·mm for the whole rotor (G{:g}, ISO 21940-11)",
                                significant(u.permissible->value()), r.job.grade->value())});
    s.figures.push_back({"As found", fmt::format("G{}", significant(u.found_grade->value(), 2))});
    s.figures.push_back(
        {"After",
         fmt::format("at most G{}: {}", significant(u.grade_at_most->value(), 2),
                     *u.met ? "allowed" : "not shown to be allowed; measure again and correct")});
  } else {
    s.notes.push_back(fmt::format("Not compared with a grade: {}.", u.why_not));
  }
  return s;
}

ReportSection runs_section(const BalanceResult& r) {
  ReportSection s;
  s.id = "runs";
  s.title = "Runs";
  ReportTable t;
  t.columns = {{"Run", "", false},
               {"Weights", "", false},
               {"Sensor", "", false},
               {"Vibration", r.job.unit, false}};
  for (const BalanceJobRun& run : r.job.runs) {
    std::string weights;
    for (const BalanceWeight& w : run.weights)
      add_part(weights, w.mass.value() > 0 ? weight_words(w) : std::string{"none"});
    std::size_t row = 0;
    for (const RunAtSpeed& at : run.at)
      for (const auto& v : at.vibration) {
        const bool first = row == 0;
        t.rows.push_back(
            {first ? run.name : "", first ? weights : "", row_name(r.job, row), polar_words(v)});
        ++row;
      }
  }
  s.table = std::move(t);
  for (const TrialChange& c : r.answer.changes)
    s.items.push_back(fmt::format("'{}' against '{}', {}: amplitude {:+.0f} %, phase {:.0f}°{}",
                                  r.job.runs[c.run].name, r.job.runs[c.against].name,
                                  row_name(r.job, c.row), 100 * c.ratio, c.turn.value(),
                                  c.enough ? "" : " (below 30 % and 30°)"));
  return s;
}

ReportSection influence_section(const BalanceResult& r) {
  ReportSection s;
  s.id = "influence";
  s.title = "Influence coefficients";
  s.detail = true;
  ReportTable t;
  t.columns = {{"Sensor", "", false}};
  for (std::size_t p = 0; p < r.job.planes.size(); ++p)
    t.columns.push_back({plane_name(r.job, p), r.job.unit + " per g", false});
  for (std::size_t m = 0; m < r.answer.rows.size(); ++m) {
    std::vector<std::string> row{row_name(r.job, m)};
    for (const auto& a : r.answer.rows[m].influence) row.push_back(polar_words(a));
    t.rows.push_back(std::move(row));
  }
  s.table = std::move(t);
  s.notes.push_back(
      fmt::format("Condition number {}. They hold for this speed, these sensors and "
                  "the same mark: keep them for the next balancing.",
                  significant(r.answer.condition, 2)));
  if (r.answer.misfit)
    s.notes.push_back(
        fmt::format("The runs agree with one linear rotor within {} standard deviations.",
                    significant(*r.answer.misfit, 2)));
  return s;
}

ReportSection steps_section(const BalanceResult& r) {
  ReportSection s;
  s.id = "steps";
  s.title = "Steps";
  s.numbered = true;
  s.items.push_back(cautioned(StepKind::rotor_weight, "Take off all trial weights.", true));
  for (std::size_t p = 0; p < r.answer.planes.size(); ++p)
    s.items.push_back(fmt::format(
        "Mount on {}: {}{}.", plane_name(r.job, p),
        r.splits.at(p) ? split_words(*r.splits[p]) : weight_words(r.mounted.at(p)),
        r.job.planes[p].radius ? fmt::format(", at {:g} mm radius", r.job.planes[p].radius->value())
                               : ", at the radius of the trial weight"));
  s.items.push_back(cautioned(StepKind::trial_run, "Start.", true));
  s.items.emplace_back("Measure at the same speed, load and temperature as before.");
  s.items.emplace_back(
      "If it is above the value to expect, write this run with its weights as another [[run]] and "
      "solve again: it then counts too.");
  s.items.emplace_back("Note the weights, the mark and the influence coefficients for next time.");
  return s;
}

std::string force_words(const BalanceResult& r) {
  double most = 0;
  if (!r.job.speed) return {};
  for (std::size_t p = 0; p < r.job.planes.size(); ++p) {
    if (!r.job.planes[p].radius) continue;
    const auto force = [&](const BalanceWeight& w) {
      most = std::max(
          most,
          unbalance_force(unbalance_of(w.mass, *r.job.planes[p].radius), *r.job.speed).value());
    };
    for (const BalanceJobRun& run : r.job.runs) force(run.weights.at(p));
    if (p < r.mounted.size()) force(r.mounted[p]);
  }
  return most > 0 ? significant(most, 2) + " N" : std::string{};
}

ReportPolar vectors_of_row(const BalanceResult& r, std::size_t row) {
  ReportPolar p;
  p.title = "1x vibration: " + row_name(r.job, row);
  p.unit = r.job.unit;
  p.rotation_clockwise = r.job.sense == AngleSense::with_rotation;
  double most = 0;
  std::complex<double> found;
  for (std::size_t i = 0; i < r.job.runs.size(); ++i) {
    std::vector<std::complex<double>> all;
    for (const RunAtSpeed& at : r.job.runs[i].at)
      all.insert(all.end(), at.vibration.begin(), at.vibration.end());
    const std::complex<double> v = all.at(row);
    most = std::max(most, std::abs(v));
    if (i == 0) found = v;
    p.arrows.push_back({std::to_string(i + 1), 0, Degrees{0}, std::abs(v), angle_of(v), 0});
    if (i > 0)
      p.arrows.push_back({"", std::abs(found), angle_of(found), std::abs(v), angle_of(v), 1});
  }
  p.full = most > 0 ? 1.1 * most : 1;
  p.notes = {"Numbers: the runs in their order.",
             "Solid: measured. Dashed: the effect of the weights."};
  if (r.answer.usable()) {
    const std::complex<double> after = r.predicted.at(row).after;
    if (std::abs(after) > 0.02 * p.full)
      p.arrows.push_back({"after", 0, Degrees{0}, std::abs(after), angle_of(after), 3});
  }
  return p;
}

void draw(Report& report, const BalanceResult& r) {
  constexpr std::size_t max_rows = 4;
  for (std::size_t m = 0; m < std::min(max_rows, r.answer.rows.size()); ++m)
    report.polars.push_back(vectors_of_row(r, m));
  for (std::size_t p = 0; p < r.answer.planes.size(); ++p) {
    std::vector<BalanceWeight> trial;
    for (const BalanceJobRun& run : r.job.runs)
      if (run.weights.at(p).mass.value() > 0 && trial.empty()) trial.push_back(run.weights[p]);
    report.polars.push_back(plane_drawing("Where the weight goes: " + plane_name(r.job, p),
                                          r.job.sense, trial, r.answer.planes[p].weight,
                                          r.job.planes[p].positions, r.splits.at(p)));
  }
}

std::string weights_headline(const BalanceResult& r) {
  std::string text;
  for (std::size_t p = 0; p < r.answer.planes.size(); ++p)
    text += fmt::format("{}{}: {}", text.empty() ? "Mount on " : "; on ", plane_name(r.job, p),
                        r.splits.at(p) ? split_words(*r.splits[p]) : weight_words(r.mounted.at(p)));
  return text + ".";
}

}  // namespace

Report balance_report(const BalanceResult& r) {
  Report report;
  report.source = r.job.machine;
  if (!r.answer.usable()) {
    report.title = "CANNOT TELL";
    report.tone = Tone::doubt;
    report.headline = "No balance weight, because " + r.answer.why_not.front() + ".";
    ReportSection why;
    why.id = "why";
    why.title = "Why not";
    for (const std::string& reason : r.answer.why_not) why.items.push_back(reason + ".");
    report.sections = {std::move(why),  first_checks(),       cautions(force_words(r)),
                       runs_section(r), influence_section(r), angle_section(r.job.sense)};
  } else {
    report.title = r.answer.planes.size() > 1 ? "BALANCE WEIGHTS" : "BALANCE WEIGHT";
    report.headline = weights_headline(r);
    report.sections = {cautions(force_words(r)), weights_section(r),  prediction_section(r),
                       unbalance_section(r),     steps_section(r),    angle_section(r.job.sense),
                       runs_section(r),          influence_section(r)};
  }
  draw(report, r);
  return report;
}

namespace {

Json vector_json(std::complex<double> v) {
  return {{"amplitude", std::abs(v)}, {"phase_deg", angle_of(v).value()}};
}

Json planes_json(const BalanceResult& r) {
  Json planes = Json::array();
  for (std::size_t p = 0; p < r.answer.planes.size(); ++p) {
    const PlaneCorrection& c = r.answer.planes[p];
    const bool judged = p < r.unbalance.planes.size();
    planes.push_back(
        {{"plane", plane_name(r.job, p)},
         {"weight", weight_json(c.weight)},
         {"mass_uncertainty_g", c.mass_uncertainty.value()},
         {"angle_uncertainty_deg", c.angle_uncertainty.value()},
         {"added_to_last_run", weight_json(c.added)},
         {"split", r.splits.at(p) ? split_json(*r.splits[p]) : Json{}},
         {"mounted", weight_json(r.mounted.at(p))},
         {"unbalance_found_g_mm", judged ? Json(r.unbalance.planes[p].found.value()) : Json{}},
         {"unbalance_after_at_most_g_mm",
          judged ? Json(r.unbalance.planes[p].remains_at_most.value()) : Json{}}});
  }
  return planes;
}

Json rows_json(const BalanceResult& r) {
  Json rows = Json::array();
  for (std::size_t m = 0; m < r.predicted.size(); ++m) {
    const RowPrediction& row = r.predicted[m];
    Json influence = Json::array();
    for (const auto& a : row.influence) influence.push_back(vector_json(a));
    rows.push_back({{"sensor", row_name(r.job, m)},
                    {"found", vector_json(row.found)},
                    {"after", r.answer.usable() ? vector_json(row.after) : Json{}},
                    {"after_at_most", r.answer.usable() ? Json(row.at_most) : Json{}},
                    {"influence_per_g", std::move(influence)}});
  }
  return rows;
}

}  // namespace

std::string balance_json(const BalanceResult& r, const JsonOptions& options) {
  Json j = headed("bearingdsp.balance/1");
  j["machine"] = or_null(r.job.machine);
  j["usable"] = r.answer.usable();
  j["cannot_tell_because"] = r.answer.why_not.empty() ? Json::array() : Json(r.answer.why_not);
  j["unit"] = r.job.unit;
  j["angles"] = token(r.job.sense);
  j["planes"] = planes_json(r);
  j["sensors"] = rows_json(r);
  Json changes = Json::array();
  for (const TrialChange& c : r.answer.changes)
    changes.push_back({{"run", r.job.runs[c.run].name},
                       {"against", r.job.runs[c.against].name},
                       {"plane", plane_name(r.job, c.plane)},
                       {"sensor", row_name(r.job, c.row)},
                       {"amplitude_change", c.ratio},
                       {"phase_change_deg", c.turn.value()},
                       {"enough", c.enough}});
  j["changes"] = std::move(changes);
  j["condition_number"] = r.answer.condition;
  j["misfit_sigmas"] = or_null(r.answer.misfit);
  const UnbalanceJudgement& u = r.unbalance;
  j["permissible_unbalance_g_mm"] = u.permissible ? Json(u.permissible->value()) : Json{};
  j["grade_found"] = u.found_grade ? Json(u.found_grade->value()) : Json{};
  j["grade_after_at_most"] = u.grade_at_most ? Json(u.grade_at_most->value()) : Json{};
  j["grade_met"] = u.met ? Json(*u.met) : Json{};
  j["grade_absent_because"] = or_null(u.why_not);
  j["notes"] = r.answer.notes.empty() ? Json::array() : Json(r.answer.notes);
  j["cautions"] = cautions(force_words(r)).items;
  return dumped(j, options.pretty);
}

}  // namespace bearingdsp
