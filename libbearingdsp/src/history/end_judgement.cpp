#include "bearingdsp/history/end_judgement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <iterator>
#include <map>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/own_reference.hpp"
#include "bearingdsp/verdict/together.hpp"

namespace bearingdsp {
namespace {

/// A recording of the survey, as it is judged beside its own reference.
struct SurveyRecording {
  const PointHistory* point;
  Reading reading;
};

/// No recording from before the replacement says anything of the bearing that is there now.
UtcTime last_replacement(std::span<const PointHistory* const> points) {
  UtcTime last = UtcTime::min();
  for (const PointHistory* p : points)
    for (const Event& e : p->events)
      if (e.kind == EventKind::bearing_replaced) last = std::max(last, e.when);
  return last;
}

std::vector<SurveyRecording> recordings_of_survey(std::span<const PointHistory* const> points) {
  std::optional<UtcTime> latest;
  for (const PointHistory* p : points)
    for (const Reading& r : p->readings)
      if (r.doubt == DateDoubt::none && (!latest || r.taken > *latest)) latest = r.taken;
  if (!latest) return {};
  const UtcTime replaced = last_replacement(points);
  std::vector<SurveyRecording> survey;
  for (const PointHistory* p : points) {
    const TrendOptions options = with_limits({}, p->limits);
    for (std::size_t i = 0; i < p->readings.size(); ++i) {
      const Reading& r = p->readings[i];
      const double hours = 24 * days_between(r.taken, *latest);
      if (r.doubt != DateDoubt::none || r.taken < replaced || hours > hours_of_visit) continue;
      survey.push_back({p, with_reference(*p, i, options)});
    }
  }
  // Another number in the machine file since: only recordings judged with one bearing are joined.
  if (survey.empty()) return survey;
  const auto newest = std::max_element(survey.begin(), survey.end(),
                                       [](const SurveyRecording& a, const SurveyRecording& b) {
                                         return a.reading.taken < b.reading.taken;
                                       });
  const std::string number = newest->reading.bearing.number;
  std::erase_if(survey,
                [&](const SurveyRecording& v) { return v.reading.bearing.number != number; });
  return survey;
}

/// What was kept of a diagnosis, as far as a joint judgement needs it.
Diagnosis kept_of(const SurveyRecording& v) {
  const Reading& r = v.reading;
  Diagnosis d;
  d.source =
      fmt::format("{} ({})", v.point->at.point, std::filesystem::path{r.path}.filename().string());
  if (r.speed) {
    d.speed.rate = shaft_rate(*r.speed);
    d.speed.method = SpeedMethod::given;
  }
  if (!r.bearing.variants.empty()) d.orders = r.bearing.variants.front().orders;
  d.findings = r.findings;
  d.verdict = r.verdict;
  d.place = r.place;
  d.place_set = r.place_set;
  d.probability_of_damage = r.probability_of_damage;
  d.probability_of_place = r.probability_of_place;
  d.headline = r.headline;
  d.advice = r.advice;
  d.other_causes = r.causes;
  // The components by the strength of their series, as they are weighed in one recording; what is
  // known of the named ones counts.
  const auto share = [&](Part part) -> double& {
    return d.probability_of_part.at(static_cast<std::size_t>(part));
  };
  const std::array named{std::pair{Place::outer_ring, Part::outer_ring},
                         std::pair{Place::inner_ring, Part::inner_ring},
                         std::pair{Place::rolling_element, Part::rolling_element},
                         std::pair{Place::cage, Part::cage}};
  for (const auto& [place, part] : named)
    if (r.place == place) share(part) = r.probability_of_place;
  for (const Part part : r.place_set) share(part) = r.probability_of_place / 2;
  if (r.place == Place::several)
    share(Part::outer_ring) = share(Part::inner_ring) = r.probability_of_place / 2;
  return d;
}

PointEvidence joint_evidence(const SurveyRecording& shown, const Diagnosis& joint) {
  PointEvidence e = point_evidence(shown.reading, shown.point->limits);
  e.verdict = joint.verdict;
  e.place = joint.place;
  e.place_set = joint.place_set;
  e.probability_of_damage = joint.probability_of_damage;
  e.probability_of_place = joint.probability_of_place;
  e.causes = joint.other_causes;
  if (joint.verdict != Verdict::fault) {
    StageEvidence none;
    none.verdict = joint.verdict;
    e.stage = judge_stage(none);
  }
  e.cannot_tell = joint.verdict == Verdict::indeterminate ? joint.headline : "";
  e.how_to_record = joint.advice;
  return e;
}

/// The more urgent one first; both are assessed by the same table.
const SurveyRecording& shown_by(const std::vector<SurveyRecording>& survey,
                                const Diagnosis& joint) {
  return *std::max_element(
      survey.begin(), survey.end(), [&](const SurveyRecording& a, const SurveyRecording& b) {
        const bool x = a.reading.verdict == joint.verdict;
        const bool y = b.reading.verdict == joint.verdict;
        if (x != y) return y;
        return a.reading.probability_of_damage < b.reading.probability_of_damage;
      });
}

}  // namespace

std::optional<EndStanding> judge_end(std::span<const PointHistory* const> points, MachineEnd end) {
  const std::vector<SurveyRecording> survey = recordings_of_survey(points);
  if (survey.size() < 2) return std::nullopt;
  std::vector<Diagnosis> kept;
  kept.reserve(survey.size());
  for (const SurveyRecording& v : survey) kept.push_back(kept_of(v));
  const auto joint = judge_together(kept);
  if (!joint) return std::nullopt;
  const SurveyRecording& shown = shown_by(survey, *joint);
  EndStanding s;
  s.machine = points.front()->at.machine;
  s.end = end;
  s.verdict = joint->verdict;
  s.place = joint->place;
  s.place_set = joint->place_set;
  s.probability_of_damage = joint->probability_of_damage;
  s.probability_of_place = joint->probability_of_place;
  s.shown = shown.point->at.point;
  s.assessment = assess(joint_evidence(shown, *joint));
  for (std::size_t i = 0; i < survey.size(); ++i)
    s.recordings.push_back(
        {survey[i].point->at.point, survey[i].reading.taken, joint->recordings.at(i)});
  return s;
}

Result<std::vector<EndStanding>> judge_ends(const Route& route, History& history) {
  std::vector<std::pair<std::size_t, MachineEnd>> order;
  std::map<std::pair<std::size_t, MachineEnd>, std::vector<PointKey>> points;
  for (const RoutePoint& p : route.points) {
    const std::pair key{p.machine, route.point_of(p).end};
    const PointKey at{route.machine_of(p).name, route.point_of(p).name};
    auto& keys = points[key];
    if (keys.empty()) order.push_back(key);
    if (std::find(keys.begin(), keys.end(), at) == keys.end()) keys.push_back(at);
  }
  std::vector<EndStanding> ends;
  for (const auto& key : order) {
    std::vector<PointHistory> histories;
    for (const PointKey& at : points[key]) {
      auto found = history.point(at);
      if (!found && found.error().code == Errc::not_found) continue;
      if (!found) return found.error();
      histories.push_back(std::move(*found));
    }
    std::vector<const PointHistory*> all;
    for (const PointHistory& h : histories) all.push_back(&h);
    if (auto end = judge_end(all, key.second)) ends.push_back(std::move(*end));
  }
  return ends;
}

void raise_by_ends(std::vector<Standing>& standings, std::span<const EndStanding> ends) {
  for (const EndStanding& end : ends) {
    const auto of_end = [&](const Standing& s) {
      return std::any_of(end.recordings.begin(), end.recordings.end(), [&](const EndRecording& r) {
        return same_point(s.at, {end.machine, r.point});
      });
    };
    Urgency worst = Urgency::none;
    Standing* shown = nullptr;
    for (Standing& s : standings) {
      if (!of_end(s)) continue;
      worst = std::max(worst, s.assessment.urgency);
      if (same_point(s.at, {end.machine, end.shown})) shown = &s;
    }
    if (shown == nullptr || end.assessment.urgency <= worst) continue;
    shown->assessment = end.assessment;
    shown->acknowledged = false;
    shown->why = fmt::format("{} recordings of one survey together: {}", end.recordings.size(),
                             end.assessment.headline);
  }
  sort_worst_first(standings);
}

}  // namespace bearingdsp
