#include "bearingdsp/verdict/at_machine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/verdict/examination.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp {
namespace {

std::string title_of(const std::optional<MachineBearing>& bearing) {
  if (!bearing) return {};
  if (!bearing->designation.empty()) return bearing->designation;
  if (bearing->rolling_elements)
    return fmt::format("bearing with {} elements", *bearing->rolling_elements);
  return "bearing of the given data";
}

/// Frequencies closer than elements slip are the same to the ear of a recording.
bool same_frequencies(const DefectOrders& a, const DefectOrders& b, const SlipModel& slip) {
  const auto alike = [&](Part part) {
    const double tolerance = slip.reach + a.uncertainty(part) + b.uncertainty(part);
    const double x = a.of(part).value(), y = b.of(part).value();
    return std::abs(x - y) <= tolerance * y;
  };
  return alike(Part::outer_ring) || alike(Part::inner_ring);
}

/// Whether none of the variants of one could be taken for one of the other.
bool tell_apart(const std::vector<BearingCandidate>& here,
                const std::vector<BearingCandidate>& there, const SlipModel& slip) {
  return std::none_of(here.begin(), here.end(), [&](const BearingCandidate& a) {
    return std::any_of(there.begin(), there.end(), [&](const BearingCandidate& b) {
      return same_frequencies(a.orders, b.orders, slip);
    });
  });
}

/// How well a bearing explains the lines that are evidence for its damage: the weight that judge()
/// gives its strongest part.
double explains(const Diagnosis& d, const ModelParameters& model) {
  const SlipModel& slip = model.slip;
  const double spread = std::hypot(slip.spread, std::min(d.speed.relative_uncertainty, slip.reach));
  double best = 0;
  for (const auto& f : d.families)
    best = std::max(best, std::pow(f.strength, model.judgement.place_power) *
                              std::exp(-0.5 * std::pow(f.slip / spread, 2)));
  return best;
}

/// Takes a verdict back: the lines are those of the other end's bearing.
void give_to(const OtherEnd& o, Diagnosis& d) {
  const std::string impacts =
      d.unknown_order ? fmt::format("impacts at {:.3f}x shaft speed", d.unknown_order->value())
                      : "the signs of damage";
  d.verdict = Verdict::indeterminate;
  d.place = Place::cannot_tell;
  d.probability_of_damage = 0.5;
  d.probability_of_part = {};
  d.probability_of_place = 0;
  d.place_set.clear();
  d.headline = fmt::format(
      "Cannot tell, because {} fit the bearing at the {} ({}: {}, damaged {}) and mask this one.",
      impacts, words(o.end), o.bearing, words(o.place), percent(o.probability_of_damage));
}

/// One damaged bearing may look like two: its lines fit the other one's orders somehow.
void part_ends(Diagnosis& d, OtherEnd& o, double others, const ModelParameters& model) {
  const double clearly = model.ends.clearly;
  if (o.verdict != Verdict::fault) return;
  if ((d.verdict == Verdict::indeterminate && d.unknown_order) || d.place == Place::another_bearing)
    return give_to(o, d);
  if (d.verdict != Verdict::fault) return;
  const double own = explains(d, model);
  if (own + others <= 0) return;
  const double share = own / (own + others);
  if (share >= clearly) {
    o.verdict = Verdict::indeterminate;
    o.place = Place::cannot_tell;
    o.probability_of_damage = 0.5;
  } else if (share <= 1 - clearly) {
    give_to(o, d);
  }
}

/// What the recording says of the other end's bearing, and how well that one explains it.
struct Seen {
  OtherEnd end;
  double explains{0};
};

Seen seen_at(const Machine& machine, MachineEnd end, const Diagnosis* d,
             const ModelParameters& model) {
  Seen seen;
  OtherEnd& o = seen.end;
  o.end = end;
  o.bearing = title_of(machine.bearing(end));
  o.tells_apart = d != nullptr;
  if (d == nullptr) return seen;
  o.verdict = d->verdict;
  o.place = d->place;
  o.probability_of_damage = d->probability_of_damage;
  seen.explains = explains(*d, model);
  return seen;
}

VelocityJudgement vibration_of(const Diagnosis& d, const Machine& machine) {
  VelocityJudgement j = judge_velocity(known_limits(machine), measured_velocity(d));
  if (const Finding* spoilt = spoils_levels(d.findings)) {
    j.zone.reset();
    j.why_not = "the level cannot be judged: " + spoilt->what;
  }
  return j;
}

}  // namespace

void judge_vibration_again(Diagnosis& d, const Machine& machine) {
  if (!d.machine) return;
  d.machine->vibration = vibration_of(d, machine);
}

MeasuredVelocity measured_velocity(const Diagnosis& d) {
  MeasuredVelocity m;
  m.rate = d.rate;
  for (const SignalFigures& f : d.figures) {
    m.from = f.velocity_from;
    if (f.displacement_rms && (!m.displacement || m.displacement->value() < *f.displacement_rms))
      m.displacement = DisplacementRms{*f.displacement_rms};
    if (!m.rms) m.unit = f.unit;
    if (!f.velocity_rms || (m.rms && m.rms->value() >= *f.velocity_rms)) continue;
    m.rms = VelocityRms{*f.velocity_rms};
    m.unit = f.unit;
  }
  return m;
}

Result<PointSetup> point_setup(const Machine& machine, const MeasuringPoint& point,
                               std::optional<Rpm> speed) {
  PointSetup s;
  s.reading = reading_options(point);
  if (speed) {
    s.diagnosis.speed = speed;
  } else if (machine.speed_range) {
    s.diagnosis.speed_low = machine.speed_range->lowest;
    s.diagnosis.speed_high = machine.speed_range->highest;
  } else {
    s.diagnosis.speed = machine.rated_speed;
  }
  s.diagnosis.line_frequency = machine.line_frequency;
  s.diagnosis.pole_pairs = pole_pairs(machine);
  s.diagnosis.on_converter = machine.drive == Drive::vfd;
  s.diagnosis.velocity_from = velocity_from(machine);
  s.diagnosis.tacho_channel = point.tacho;
  s.diagnosis.pulses_per_revolution = point.pulses_per_revolution;
  if (const auto& bearing = machine.bearing(point.end)) {
    auto variants = bearing_variants(*bearing);
    if (!variants) return variants.error();
    s.diagnosis.bearings = std::move(*variants);
  }
  if (const auto& bearing = machine.bearing(other_end(point.end)))
    if (auto variants = bearing_variants(*bearing)) s.other_end = std::move(*variants);
  return s;
}

Result<Diagnosis> diagnose_at(const Capture& capture, FftPlans& plans, const Machine& machine,
                              const MeasuringPoint& point, const PointSetup& setup) {
  // Judged before the call returns, so nothing outlives the caller's capture.
  const std::shared_ptr<const Capture> borrowed{std::shared_ptr<void>{}, &capture};
  const auto examination = examine(borrowed, plans, setup.diagnosis);
  if (!examination) return examination.error();
  const auto& here = setup.diagnosis.bearings;
  const ModelParameters& model = setup.diagnosis.model;
  const bool both = !here.empty() && !setup.other_end.empty();
  std::vector<std::vector<BearingCandidate>> positions{here};
  if (both && tell_apart(here, setup.other_end, model.slip)) positions.push_back(setup.other_end);
  auto judged = judge_positions(*examination, plans, positions);
  if (!judged) return judged.error();
  Diagnosis d = std::move(judged->front());
  DiagnosedMachine m;
  m.machine = machine.name;
  m.description = machine.description;
  m.where = machine.where;
  m.point = point.name;
  m.end = point.end;
  m.bearing = title_of(machine.bearing(point.end));
  m.vibration = vibration_of(d, machine);
  if (both) {
    Seen seen =
        seen_at(machine, other_end(point.end), judged->size() > 1 ? &(*judged)[1] : nullptr, model);
    part_ends(d, seen.end, seen.explains, model);
    m.other_end = std::move(seen.end);
  }
  d.machine = std::move(m);
  return d;
}

Result<Diagnosis> diagnose_known(const Capture& capture, FftPlans& plans,
                                 const DiagnoseOptions& options,
                                 const std::optional<KnownPoint>& at) {
  PointSetup setup;
  setup.diagnosis = options;
  if (!at) return diagnose(capture, plans, setup.diagnosis);
  setup.other_end = at->other_end;
  return diagnose_at(capture, plans, at->machine, at->point, setup);
}

}  // namespace bearingdsp
