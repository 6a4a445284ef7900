#include "bearingdsp/triage/triage.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "triage/tables.hpp"

namespace bearingdsp {
namespace {

namespace tt = triage_tables;
using tt::FaultRow;
using tt::Rule;

constexpr std::string_view healthy = "healthy";
constexpr std::string_view damage = "damage";
constexpr std::string_view wrong_bearing = "another bearing";

bool is_damage(const FaultRow& f) {
  return std::find(f.spectrum.begin(), f.spectrum.end(), damage) != f.spectrum.end();
}

const TriageAnswer* given(const std::vector<TriageAnswer>& answers, std::string_view name) {
  const auto at = std::find_if(answers.begin(), answers.end(),
                               [&](const TriageAnswer& a) { return a.name == name; });
  return at == answers.end() ? nullptr : &*at;
}

/// The reasons for a fault of one question; of answers that overlap the strongest counts, and all
/// others together one point, for and against by themselves.
void add_reasons(std::vector<TriageReason> found, AnswerKind kind,
                 std::vector<TriageReason>& reasons) {
  std::stable_sort(found.begin(), found.end(), [](const TriageReason& a, const TriageReason& b) {
    return std::abs(a.points) > std::abs(b.points);
  });
  std::size_t pro = 0, contra = 0;
  for (TriageReason& r : found) {
    std::size_t& rank = r.points > 0 ? pro : contra;
    if (kind == AnswerKind::alike && rank > 0)
      r.points = rank == 1 ? std::copysign(1.0, r.points) : 0;
    ++rank;
    if (r.points != 0) reasons.push_back(std::move(r));
  }
}

std::vector<TriageReason> reasons_of(const FaultRow& fault,
                                     const std::vector<TriageAnswer>& answers) {
  std::vector<TriageReason> reasons;
  for (const TriageQuestion& q : triage_questions()) {
    std::vector<TriageReason> found;
    for (const Rule& rule : tt::rules()) {
      if (rule.fault != fault.name) continue;
      const TriageAnswer* a = given(answers, rule.answer);
      if (a != nullptr && a->question == q.name)
        found.push_back({rule.answer, rule.points, rule.why, triage_source_words(rule.source)});
    }
    add_reasons(std::move(found), q.kind, reasons);
  }
  return reasons;
}

double limited(double points) {
  const double most = tt::limit("spectrum_max_points");
  return std::clamp(points, -most, most);
}

/// Probability of another fault in a diagnosis, and whether its level makes it matter.
struct FaultSeen {
  double probability{0};
  bool acceptable{false};
};

FaultSeen seen_in(const Diagnosis& d, const Assessment& a, std::string_view fault) {
  FaultSeen seen;
  for (const CauseEvidence& c : d.other_causes)
    if (token(c.cause) == fault) seen.probability = c.probability;
  for (const OtherFault& o : a.others)
    if (token(o.cause) == fault) seen.acceptable = o.level == LevelJudged::acceptable;
  return seen;
}

bool usable(const Diagnosis& d) { return first_blocking(d.findings) == nullptr; }

/// Points of another fault: its odds over those that are evidence neither way. One that is not in
/// the list has less than the least that a diagnosis states; without a speed it may not have been
/// looked for.
std::optional<TriageReason> other_fault_reason(const Diagnosis& d, const Assessment& a,
                                               std::string_view fault) {
  const FaultSeen seen = seen_in(d, a, fault);
  if (seen.probability == 0 && d.speed.confidence <= 0) return std::nullopt;
  const double p = std::max(seen.probability, CausesModel{}.min_probability);
  const double neutral = tt::limit("spectrum_neutral");
  const double points = limited(std::log2(p / (1 - p) * (1 - neutral) / neutral));
  if (seen.acceptable && points > 0) return std::nullopt;
  return TriageReason{"recording", points,
                      seen.probability > 0
                          ? fmt::format("{}: {} in the spectrum", fault, percent(p))
                          : fmt::format("{} is not in the spectrum", fault),
                      "docs/theory/other-causes.md"};
}

/// Impacts at none of the frequencies of the bearing given count half for damage of that bearing.
std::optional<TriageReason> damage_reason(const Diagnosis& d) {
  if (d.verdict == Verdict::indeterminate) return std::nullopt;
  const double points =
      limited(std::log2(damage_likelihood_ratio(d.probability_of_damage, d.calibrated_share)));
  if (d.place == Place::another_bearing)
    return TriageReason{"recording", points / 2,
                        "impacts in the recording, but not those of the bearing given",
                        "docs/theory/diagnosis.md"};
  return TriageReason{
      "recording", points,
      d.verdict == Verdict::fault
          ? fmt::format("bearing damage in the recording ({})", percent(d.probability_of_damage))
          : "no bearing damage in the recording",
      "docs/theory/diagnosis.md"};
}

/// What the recording adds to a fault: of several things it may show, the strongest.
std::optional<TriageReason> spectrum_reason(const FaultRow& fault, const Diagnosis& d,
                                            const Assessment& a) {
  std::optional<TriageReason> best;
  const auto take = [&](std::optional<TriageReason> r) {
    if (r && (!best || r->points > best->points)) best = std::move(r);
  };
  for (const std::string& what : fault.spectrum) {
    if (what == damage)
      take(damage_reason(d));
    else if (what == wrong_bearing && d.place == Place::another_bearing)
      take(TriageReason{"recording", tt::limit("spectrum_max_points"),
                        "the impacts are at none of the frequencies of the bearing given",
                        "docs/theory/diagnosis.md"});
    else if (what != healthy && what != wrong_bearing)
      take(other_fault_reason(d, a, what));
  }
  return best;
}

void add_place(MotorPlace place, std::vector<MotorPlace>& places) {
  if (std::find(places.begin(), places.end(), place) == places.end()) places.push_back(place);
}

std::vector<MotorPlace> places_of(const FaultRow& fault, std::optional<MachineEnd> end) {
  using P = MotorPlace;
  const bool de = end != MachineEnd::non_drive_end;
  std::vector<P> places;
  for (const std::string& word : fault.points) {
    if (word == "bearing") {
      add_place(de ? P::de_horizontal : P::nde_horizontal, places);
      // Not known which: both.
      if (!end) add_place(P::nde_horizontal, places);
    } else if (word == "other end") {
      add_place(de ? P::nde_horizontal : P::de_horizontal, places);
    } else if (word == "axial") {
      add_place(de ? P::de_axial : P::nde_axial, places);
    } else if (word == "feet") {
      add_place(P::feet, places);
    } else if (word == "base") {
      add_place(P::base, places);
    } else {
      add_place(P::frame, places);
    }
  }
  return places;
}

/// Its own, or that of the other fault in the spectrum.
std::string remedy_of(const FaultRow& fault) {
  if (!fault.remedy.empty()) return fault.remedy;
  for (const OtherCause c :
       {OtherCause::unbalance, OtherCause::misalignment_or_bent_shaft, OtherCause::looseness,
        OtherCause::rubbing, OtherCause::twice_line_frequency, OtherCause::rotor_bars,
        OtherCause::electrical_erosion, OtherCause::poor_lubrication})
    for (const std::string& what : fault.spectrum)
      if (token(c) == what) return std::string{remedy(c)};
  return {};
}

TriageFault weighed(const FaultRow& row, const TriageInquiry& inquiry, const Diagnosis* d,
                    const Assessment& a) {
  TriageFault f;
  f.name = row.name;
  f.share = row.share;
  f.reasons = reasons_of(row, inquiry.answers);
  if (d != nullptr && usable(*d))
    if (auto r = spectrum_reason(row, *d, a); r && r->points != 0) f.reasons.push_back(*r);
  std::stable_sort(f.reasons.begin(), f.reasons.end(),
                   [](const auto& one, const auto& other) { return one.points > other.points; });
  for (const TriageReason& r : f.reasons) f.points += r.points;
  f.confirm = row.confirm;
  f.cautions = row.cautions;
  f.remedy = remedy_of(row);
  f.record = row.record;
  f.places = places_of(row, inquiry.end);
  return f;
}

/// Probabilities of share x 2^points; shares are normalised too.
void normalise(std::vector<TriageFault>& faults) {
  double shares = 0, all = 0;
  double most = -1e9;
  for (const TriageFault& f : faults) most = std::max(most, f.points);
  for (TriageFault& f : faults) {
    shares += f.share;
    all += f.probability = f.share * std::exp2(f.points - most);
  }
  for (TriageFault& f : faults) {
    f.share /= shares;
    f.probability /= all;
  }
}

std::vector<TriageFault> ranked(const TriageInquiry& inquiry, const Diagnosis* d,
                                const Assessment& a) {
  std::vector<TriageFault> faults;
  for (const FaultRow& row : tt::faults()) faults.push_back(weighed(row, inquiry, d, a));
  normalise(faults);
  std::stable_sort(faults.begin(), faults.end(), [](const TriageFault& x, const TriageFault& y) {
    return x.probability > y.probability;
  });
  return faults;
}

const FaultRow& row_of(const std::string& name) {
  const auto& all = tt::faults();
  return *std::find_if(all.begin(), all.end(), [&](const FaultRow& f) { return f.name == name; });
}

double damage_share(const std::vector<TriageFault>& faults) {
  double sum = 0;
  for (const TriageFault& f : faults)
    if (is_damage(row_of(f.name))) sum += f.probability;
  return sum;
}

/// Whether it follows from numbers, which are then its meaning.
bool measured(const TriageAnswer& a) { return triage_question(a.question).option.empty(); }

/// The worst of what was noticed, and of the first fault where it is likely; a suspicion where
/// normal noise has become unlikely.
Observation noticed(const TriageInquiry& inquiry, const std::vector<TriageFault>& faults) {
  const TriageFault& first = faults.front();
  const bool abnormal = std::any_of(faults.begin(), faults.end(), [](const TriageFault& f) {
    return row_of(f.name).spectrum == std::vector<std::string>{std::string{healthy}} &&
           f.probability < tt::limit("abnormal_below") * f.share;
  });
  Observation o;
  for (const TriageAnswer& a : inquiry.answers)
    if (a.state > o.state) o.state = a.state;
  for (const TriageAnswer& a : inquiry.answers)
    if (a.state == o.state && o.state != ObservedState::nothing)
      add_part(o.what, measured(a) ? a.meaning : a.name, "; ");
  o.action = first.confirm;
  const ObservedState of_fault = row_of(first.name).state;
  if (first.probability >= tt::limit("likely_from") && of_fault > o.state) {
    o.state = of_fault;
    o.what = first.name + " likely";
  } else if (abnormal && o.state == ObservedState::nothing) {
    o.state = ObservedState::suspicion;
  }
  return o;
}

std::string first_words(const TriageFault& first) {
  return first.probability >= tt::limit("likely_from")
             ? fmt::format("Most likely {} ({})", first.name, percent(first.probability))
             : fmt::format("Not clear yet; {} is first ({})", first.name,
                           percent(first.probability));
}

std::string record_next(const TriageFault& first) {
  std::string places;
  for (const MotorPlace p : first.places) add_part(places, words(p));
  return fmt::format("Record at {}: {}.", places, first.record);
}

/// assess() of the recording, if there is one, with the share of damage by the answers, and of what
/// was noticed.
Assessment assess_all(const Triage& t, const Diagnosis* d) {
  constexpr double least = 1e-3;
  PointEvidence e;
  if (d != nullptr) {
    e = point_evidence(*d);
    e.prior = std::clamp(t.damage_by_answers, least, 1 - least);
  } else {
    e.cannot_tell = first_words(t.faults.front()) + ", not measured";
    e.vibration.why_not = "not measured";
    e.how_to_record = {record_next(t.faults.front())};
  }
  e.observed = noticed(t.inquiry, t.faults);
  return assess(e);
}

std::vector<TriageConflict> conflicts_in(const std::vector<TriageAnswer>& answers) {
  std::vector<TriageConflict> out;
  for (const tt::Conflict& c : tt::conflicts())
    if (given(answers, c.one) != nullptr && given(answers, c.other) != nullptr)
      out.push_back({c.one, c.other, c.why});
  return out;
}

}  // namespace

std::size_t triage_rule_count() { return tt::rules().size(); }

std::string triage_source_words(std::string_view key) {
  if (key == "practice") return "common practice, no source";
  if (key == "physics") return "follows from how it works";
  return fmt::format("workshop practice {}", key);
}

Result<Triage> triage(const TriageInquiry& inquiry, const Diagnosis* recording) {
  if (inquiry.answers.empty() && recording == nullptr)
    return Error{Errc::bad_argument, "triage", "no observation is given",
                 "say what you hear with --heard, or see 'bearingdsp triage' for the words"};
  Triage t;
  t.inquiry = inquiry;
  t.recorded = recording != nullptr;
  if (recording != nullptr) {
    t.assessment = assess(*recording);
    t.recording = fmt::format("{}: {}", recording->source, t.assessment.headline);
  }
  t.damage_by_answers = damage_share(ranked(inquiry, nullptr, {}));
  t.faults = ranked(inquiry, recording, t.assessment);
  t.conflicts = conflicts_in(inquiry.answers);
  t.assessment = assess_all(t, recording);
  return t;
}

}  // namespace bearingdsp
