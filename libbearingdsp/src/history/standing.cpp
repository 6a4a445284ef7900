#include "bearingdsp/history/standing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <tuple>
#include <utility>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/dates.hpp"
#include "history/standing_text.hpp"

namespace bearingdsp {
namespace {

constexpr double shown_change_db = 3;

/// What the readings up to one of them say, without words.
struct Glance {
  StageJudgement stage;
  Trend trend;
};

Glance glance_at(const PointHistory& history, std::span<const TrendPoint> points,
                 std::size_t readings, const TrendOptions& options) {
  Glance g;
  g.trend = find_trend(points.first(readings), baseline_start(history), options);
  const LevelTrend* floor = g.trend.find(Indicator::floor);
  std::optional<double> rise;
  if (floor != nullptr && floor->baseline) rise = floor->change_db;
  g.stage = judge_stage(history.readings[readings - 1].stage, rise);
  return g;
}

const CauseEvidence* other_cause(const Reading& r) {
  return !r.causes.empty() && r.causes.front().probability >= other_fault_from ? &r.causes.front()
                                                                               : nullptr;
}

bool useless(const Reading& r) { return first_blocking(r.findings) != nullptr; }

// Asked so, no compiler reads a zone that is none before it asks whether there is one.
bool too_much(std::optional<Zone> zone) { return zone.value_or(Zone::a) >= Zone::c; }

/// Damage that was called twice in the three readings before, under like conditions, and is not
/// now. Bearings do not heal, and one reading may miss it; three in a row without it end the
/// matter.
bool vanished(const PointHistory& history, std::span<const TrendPoint> points,
              const TrendOptions& options) {
  constexpr std::size_t looked_at = 3;
  constexpr std::size_t enough = 2;
  if (history.readings.back().verdict != Verdict::no_fault) return false;
  const UtcTime start = baseline_start(history);
  std::size_t seen = 0;
  std::size_t faults = 0;
  for (std::size_t i = points.size() - 1; i > 0 && seen < looked_at; --i) {
    const TrendPoint& p = points[i - 1];
    if (p.time < start) break;
    if (!ran_alike(p, points.back(), options)) continue;
    ++seen;
    faults += p.verdict == Verdict::fault ? 1U : 0U;
  }
  return faults >= enough;
}

/// For a damaged bearing how far it has come; else what raised an alarm; else what the recording
/// says.
std::string why_of(const Standing& s, const Glance& g, const Reading& r,
                   const VelocityJudgement& vibration) {
  if (r.verdict == Verdict::fault) return g.stage.why;
  std::string why;
  for (const Alarm& a : g.trend.alarms) add_part(why, a.why, "; ");
  if (g.trend.alarms.empty() && too_much(s.zone))
    add_part(why,
             fmt::format("{}: zone {}, {}",
                         vibration.displacement ? level_words(vibration)
                                                : fmt::format("{:.1f} mm/s rms", *s.velocity_mm_s),
                         words(*s.zone), meaning(*s.zone)));
  return why.empty() ? r.headline : why;
}

void causes_changed(std::string& text, const Reading& previous, const Reading& last) {
  const CauseEvidence* was = other_cause(previous);
  const CauseEvidence* is = other_cause(last);
  if (was == is || (was != nullptr && is != nullptr && was->cause == is->cause)) return;
  if (is != nullptr)
    add_part(text,
             fmt::format("{} likely, was {}", words(is->cause),
                         was == nullptr ? std::string_view{"not"} : words(was->cause)),
             "; ");
  else if (!useless(last))
    add_part(text, fmt::format("{} no longer likely", words(was->cause)), "; ");
}

/// Against the latest reading before it in which the machine ran alike: a run at no load, or at
/// another speed, says nothing about what became of it.
std::string changed_since(const Standing& s, const Glance& now, const PointHistory& history,
                          std::span<const TrendPoint> points, const TrendOptions& options) {
  std::size_t n = points.size() - 1;
  while (n > 0 && !ran_alike(points[n - 1], points.back(), options)) --n;
  if (n == 0) return "";
  const Glance before = glance_at(history, points, n, options);
  const Reading& last = history.readings.back();
  const Reading& previous = history.readings[n - 1];
  std::string text;
  if (before.stage.stage != s.stage && before.stage.stage != Stage::unknown &&
      s.stage != Stage::unknown)
    add_part(text, fmt::format("{}, was {}", words(s.stage), words(before.stage.stage)), "; ");
  else if (previous.verdict != last.verdict)
    add_part(text, fmt::format("{}, was {}", words(last.verdict), words(previous.verdict)), "; ");
  if (previous.verdict == Verdict::fault && s.verdict == Verdict::fault &&
      (previous.place != s.place || previous.place_set != s.place_set))
    add_part(text,
             fmt::format("{}, was {}", damaged_component(s.place, s.place_set),
                         damaged_component(previous.place, previous.place_set)),
             "; ");
  causes_changed(text, previous, last);
  const auto zone = judge_vibration(previous, history.limits).zone;
  if (zone && s.zone && *zone != *s.zone)
    add_part(text, fmt::format("zone {}, was {}", words(*s.zone), words(*zone)), "; ");
  if (before.trend.level != now.trend.level)
    add_part(
        text,
        fmt::format("alarm level: {}, was {}", words(now.trend.level), words(before.trend.level)),
        "; ");
  const auto a = previous.levels.at(Indicator::high_band);
  const auto b = last.levels.at(Indicator::high_band);
  if (a && b && *a > 0 && *b > 0 && previous.levels.unit == last.levels.unit) {
    const double db = 20 * std::log10(*b / *a);
    if (std::abs(db) >= shown_change_db)
      add_part(text, fmt::format("level above 1 kHz {:+.0f} dB", db), "; ");
  }
  return text;
}

/// Whether an earlier reading shows what is the matter now.
bool shows_the_same(const PointHistory& history, const Standing& s, const Reading& earlier) {
  const Reading& now = history.readings.back();
  if (s.verdict == Verdict::fault) return earlier.verdict == Verdict::fault;
  if (const CauseEvidence* cause = other_cause(now)) {
    const CauseEvidence* before = other_cause(earlier);
    return before != nullptr && before->cause == cause->cause;
  }
  return too_much(s.zone) && too_much(judge_vibration(earlier, history.limits).zone);
}

/// An alarm of what the list speaks of: the overall vibration is not a sign of a damaged bearing.
bool belongs(const Alarm& alarm, const Standing& s, const Reading& now) {
  const bool overall = alarm.indicator == Indicator::velocity;
  if (s.verdict == Verdict::fault) return !overall;
  return other_cause(now) == nullptr || overall;
}

/// Readings that cannot tell neither begin nor end it.
std::optional<UtcTime> since_when(const PointHistory& history, const Standing& s,
                                  const Trend& trend) {
  if (s.assessment.urgency < Urgency::check) return std::nullopt;
  const Reading& now = history.readings.back();
  const UtcTime start = baseline_start(history);
  UtcTime since = now.taken;
  for (auto r = history.readings.rbegin(); r != history.readings.rend(); ++r) {
    if (r->taken < start) break;
    if (shows_the_same(history, s, *r))
      since = r->taken;
    else if (!useless(*r) && r->verdict != Verdict::indeterminate)
      break;
  }
  for (const Alarm& a : trend.alarms)
    if (belongs(a, s, now)) since = std::min(since, a.since);
  return since;
}

/// That reading had what is the matter now, and no less of it. What only an alarm speaks of is
/// compared by its level.
bool as_bad(const PointHistory& history, const Standing& s, const Reading& then) {
  const auto zone = judge_vibration(then, history.limits).zone;
  if (zone && s.zone && *s.zone > *zone && too_much(s.zone)) return false;
  if (s.verdict == Verdict::fault && then.place != s.place && then.place != Place::several)
    return false;
  const bool only_alarm = s.verdict != Verdict::fault && !too_much(s.zone) &&
                          other_cause(history.readings.back()) == nullptr;
  return only_alarm || shows_the_same(history, s, then);
}

/// A person has seen it, and it was as bad then. A repair or a new bearing since begins again.
bool acknowledged(const Standing& s, const Glance& now, const PointHistory& history,
                  std::span<const TrendPoint> points, const TrendOptions& options) {
  const auto seen =
      std::find_if(history.events.rbegin(), history.events.rend(),
                   [](const Event& e) { return e.kind == EventKind::alarm_acknowledged; });
  if (seen == history.events.rend() || baseline_start(history) > seen->when) return false;
  const auto then = static_cast<std::size_t>(std::count_if(
      points.begin(), points.end(), [&](const TrendPoint& p) { return p.time <= seen->when; }));
  if (then == 0) return false;
  const Glance before = glance_at(history, points, then, options);
  return before.stage.stage != Stage::unknown && s.stage <= before.stage.stage &&
         now.trend.level <= before.trend.level && as_bad(history, s, history.readings[then - 1]);
}

/// The latest reading is older than the bearing that is in there now.
const Event* replaced_since(const PointHistory& history) {
  for (auto e = history.events.rbegin(); e != history.events.rend(); ++e)
    if (e->kind == EventKind::bearing_replaced)
      return e->when > history.readings.back().taken ? &*e : nullptr;
  return nullptr;
}

void wait_for_baseline(Standing& s, const Event& event) {
  s.acknowledged = false;
  s.verdict = Verdict::indeterminate;
  s.place = Place::cannot_tell;
  s.place_set.clear();
  s.stage = Stage::unknown;
  s.alarm = AlarmLevel::none;
  s.probability_of_damage = 0.5;
  s.change_db.reset();
  s.zone.reset();
  s.no_zone = "not measured since the bearing was replaced";
  s.reach.reset();
  s.reference.reset();
  s.since.reset();
  s.changed.clear();
  s.assessment = {};
  s.assessment.verdict = Verdict::indeterminate;
  s.assessment.urgency = Urgency::measure_again;
  s.assessment.deadline = "before the next survey";
  s.assessment.headline = "New bearing, not measured yet.";
  s.assessment.bearing = "New bearing, not measured yet";
  s.assessment.actions = {"Measure: a new baseline begins."};
  s.why = fmt::format("the bearing was replaced on {}, after the latest reading",
                      format_date(event.when));
}

/// Entries of one kind of doubt; a clock that was wrong for long dates many.
class Doubted {
 public:
  void add(EntryId id, UtcTime when) {
    constexpr std::size_t max_named = 8;
    if (++count_ <= max_named)
      add_part(text_, fmt::format("{} ({})", name(id), format_date(when)));
    else
      more_ = fmt::format(" and {} more", count_ - max_named);
  }
  [[nodiscard]] std::string text() const { return text_ + more_; }

 private:
  std::size_t count_{0};
  std::string text_, more_;
};

/// Every date that cannot be true.
std::string doubtful_dates(const PointHistory& history) {
  Doubted ahead;
  Doubted behind;
  for (const Reading& r : history.readings_ahead) ahead.add({false, r.id}, r.taken);
  for (const Reading& r : history.readings)
    if (r.doubt == DateDoubt::behind && r.verdict == Verdict::fault)
      behind.add({false, r.id}, r.taken);
  for (const Event& e : history.events_ahead) ahead.add({true, e.id}, e.when);
  std::string text;
  if (!history.readings.empty() && history.readings.front().doubt == DateDoubt::ahead)
    text = "every reading is dated in the future: check this computer's clock";
  if (!ahead.text().empty())
    add_part(text, "dated in the future, so not counted: " + ahead.text(), "; ");
  if (!behind.text().empty())
    add_part(text, "damage found in recordings of doubtful date: " + behind.text(), "; ");
  return text;
}

/// Damage in a recording whose date is in doubt may be the latest state of the bearing: a healthy
/// reading that is dated later does not end it.
void look_at_doubtful(Standing& s, const PointHistory& history) {
  s.dates = doubtful_dates(history);
  const auto damage = doubtful_damage(history);
  if (damage.empty() || s.verdict == Verdict::fault || s.assessment.urgency > Urgency::check)
    return;
  const Reading& r = *damage.front();
  const std::string number = name(EntryId{false, r.id});
  Assessment& a = s.assessment;
  a.urgency = Urgency::check;
  a.deadline = "within a week";
  a.verdict = Verdict::indeterminate;
  s.acknowledged = false;
  s.since.reset();
  a.bearing = fmt::format("{} damaged in a recording dated {}, a date in doubt",
                          damaged_subject(r.place, r.place_set), format_date(r.taken));
  a.headline = full_stop(a.bearing);
  const std::string what_to_do = fmt::format(
      "Find out when {} was recorded. Correct its date: bearingdsp history edit {} --time DAY; if "
      "it is right: bearingdsp history edit {} --confirm-date.",
      number, number, number);
  a.actions.insert(a.actions.begin(), what_to_do);
  s.why = r.doubt == DateDoubt::ahead
              ? fmt::format("{} is dated after the day on which it was added", number)
              : fmt::format(
                    "{} is dated before other readings, but was added after them or lies years "
                    "before them, as after a reset of the recorder's clock",
                    number);
  s.why += "; it says: " + r.headline;
}

bool worse(const Standing& a, const Standing& b) {
  const Urgency urgency = a.assessment.urgency;
  if (urgency != b.assessment.urgency) return urgency > b.assessment.urgency;
  if (a.acknowledged != b.acknowledged) return b.acknowledged;
  if (a.stage != b.stage) return a.stage > b.stage;
  if (a.zone != b.zone && (too_much(a.zone) || too_much(b.zone))) return a.zone > b.zone;
  if (urgency == Urgency::check && a.velocity_mm_s != b.velocity_mm_s)
    return a.velocity_mm_s > b.velocity_mm_s;
  if (a.probability_of_damage != b.probability_of_damage)
    return a.probability_of_damage > b.probability_of_damage;
  const double x = a.change_db.value_or(0);
  const double y = b.change_db.value_or(0);
  return x != y ? x > y : std::tie(a.at.machine, a.at.point) < std::tie(b.at.machine, b.at.point);
}

}  // namespace

VelocityJudgement judge_vibration(const Reading& r, const KnownLimits& limits) {
  MeasuredVelocity measured;
  measured.unit = r.levels.unit;
  measured.rate = r.rate;
  measured.from = r.levels.velocity_from;
  if (const auto& s = r.levels.displacement) measured.displacement = DisplacementRms{*s};
  if (const auto& v = r.levels.at(Indicator::velocity)) measured.rms = VelocityRms{*v};
  VelocityJudgement judged = judge_velocity(limits, measured);
  if (const Finding* spoilt = spoils_levels(r.findings)) {
    judged.zone.reset();
    judged.why_not = "the level cannot be judged: " + spoilt->what;
  }
  return judged;
}

PointEvidence point_evidence(const Reading& r, const KnownLimits& limits) {
  PointEvidence e;
  e.verdict = r.verdict;
  e.place = r.place;
  e.place_set = r.place_set;
  e.probability_of_damage = r.probability_of_damage;
  e.probability_of_place = r.probability_of_place;
  e.bearing_known = !r.bearing.variants.empty();
  e.stage = judge_stage(r.stage);
  e.causes = r.causes;
  e.vibration = judge_vibration(r, limits);
  e.findings = r.findings;
  e.other_end = r.other_end;
  e.excluded_depth = r.excluded_depth;
  if (r.verdict == Verdict::indeterminate) e.cannot_tell = r.headline;
  e.how_to_record = r.advice;
  return e;
}

VelocityJudgement judge_vibration(const PointHistory& history) {
  if (history.readings.empty()) {
    VelocityJudgement none;
    none.why_not = "not measured yet";
    return none;
  }
  return judge_vibration(history.readings.back(), history.limits);
}

namespace {

/// The latest reading and its trend, as assess() takes them. An alarm by the standard's limits says
/// the same as zone C or D, which counts by itself.
PointEvidence evidence_of(const PointHistory& history, const Glance& now,
                          const VelocityJudgement& vibration, bool damage_disappeared) {
  PointEvidence e = point_evidence(history.readings.back(), history.limits);
  e.stage = now.stage;
  for (const Alarm& a : now.trend.alarms) {
    if (a.rule == AlarmRule::standard && too_much(vibration.zone)) continue;
    e.change = std::max(
        e.change, a.level == AlarmLevel::alarm ? LevelChangeSeen::alarm : LevelChangeSeen::alert);
    e.why_changed.push_back(a.why);
  }
  e.damage_disappeared = damage_disappeared;
  if (damage_disappeared)
    e.disappeared_advice =
        "Was the bearing changed? Then note it: bearingdsp history event " + history.at.machine +
        " bearing-replaced --time DAY. If not, measure again within a week: damage does not heal.";
  return e;
}

}  // namespace

namespace {

/// Why the verdict is not that of the reading by itself.
void tell_reference(Standing& s) {
  if (!s.reference || s.reference->by_itself == s.verdict) return;
  s.assessment.doubts.push_back(fmt::format("by itself the latest reading says \"{}\": {}",
                                            words(s.reference->by_itself), s.reference->why));
  add_part(s.why, s.reference->why, "; ");
}

Standing standing_of(const PointHistory& history, const TrendOptions& options) {
  Standing s;
  s.at = history.at;
  s.readings = history.readings.size();
  const std::vector<TrendPoint> points = trend_points(history);
  const Reading& r = history.readings.back();
  const Glance now = glance_at(history, points, points.size(), options);
  s.latest = r.taken;
  s.verdict = r.verdict;
  s.place = r.place;
  s.place_set = r.place_set;
  s.probability_of_damage = r.probability_of_damage;
  s.stage = now.stage.stage;
  s.alarm = now.trend.level;
  if (const LevelTrend* high = now.trend.find(Indicator::high_band); high && high->baseline) {
    s.change_db = high->change_db;
    s.reach = forecast(*high).reach;
  }
  if (const auto& v = r.levels.at(Indicator::velocity)) s.velocity_mm_s = in_mm_per_s(*v);
  const VelocityJudgement vibration = judge_vibration(history);
  s.zone = vibration.zone;
  s.no_zone = vibration.why_not;
  const bool gone = vanished(history, points, options);
  s.assessment = assess(evidence_of(history, now, vibration, gone));
  if (s.assessment.urgency == Urgency::measure_again && useless(r)) {
    s.stage = Stage::unknown;
    s.velocity_mm_s.reset();
  }
  s.order = history.bearing;
  const bool only_gone = gone && other_cause(r) == nullptr && !too_much(s.zone);
  s.since = only_gone ? std::optional{r.taken} : since_when(history, s, now.trend);
  s.why = why_of(s, now, r, vibration);
  if (points.size() > 1) s.changed = changed_since(s, now, history, points, options);
  s.acknowledged = s.assessment.urgency > Urgency::measure_again &&
                   acknowledged(s, now, history, points, options);
  return s;
}

}  // namespace

Standing find_standing(const PointHistory& given, const TrendOptions& given_options) {
  const TrendOptions options = with_limits(given_options, given.limits);
  if (given.readings.empty()) {
    Standing s;
    s.at = given.at;
    look_at_doubtful(s, given);
    return s;
  }
  const PointHistory history = with_references(given, options);
  Standing s = standing_of(history, options);
  s.reference = own_reference(given, given.readings.size() - 1, options);
  tell_reference(s);
  if (const Event* event = replaced_since(history)) wait_for_baseline(s, *event);
  look_at_doubtful(s, history);
  return s;
}

void sort_worst_first(std::vector<Standing>& standings) {
  std::stable_sort(standings.begin(), standings.end(), worse);
}

Result<std::vector<Standing>> worst_first(History& history, const TrendOptionsOf& options_of) {
  auto known = history.kept_standings();
  if (!known) return known.error();
  std::vector<Standing> standings;
  for (const auto& [at, text] : *known) {
    const TrendOptions options = options_of ? options_of(at) : TrendOptions{};
    if (auto kept = standing_text::read(text, at, options)) {
      standings.push_back(std::move(*kept));
      continue;
    }
    const auto point = history.point(at);
    if (!point) return point.error();
    standings.push_back(find_standing(*point, options));
    const std::string note = standing_text::write(standings.back(), options);
    // Not to be kept is no failure of the list: the store may be one that can only be read.
    static_cast<void>(history.keep_standing(*point, note));
  }
  sort_worst_first(standings);
  return standings;
}

}  // namespace bearingdsp
