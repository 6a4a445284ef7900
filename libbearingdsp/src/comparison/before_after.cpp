#include "bearingdsp/comparison/before_after.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <stdexcept>

#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/standing.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp {
namespace {

// A side whose recordings end this much lower is what limits both.
constexpr double same_reach = 0.8;
constexpr double rate_over_reach = 2.5;
constexpr std::size_t max_readings = 5;

/// The rate at which all captures hold the same band.
Hz common_rate(const CapturedSide& before, const CapturedSide& after) {
  Hz rate = before.captures.front().rate;
  for (const CapturedSide* side : {&before, &after})
    for (const Capture& c : side->captures) rate = std::min(rate, c.rate);
  return rate;
}

Hz lowest_reach(const Side& side) {
  Hz reach = side.front().reach;
  for (const ComparedRecording& r : side) reach = std::min(reach, r.reach);
  return reach;
}

Result<Side> measure_side(const CapturedSide& side, const std::vector<BearingCandidate>& bearings,
                          Hz rate, FftPlans& plans) {
  Side out;
  for (const Capture& c : side.captures) {
    DiagnoseOptions options = side.diagnosis;
    options.bearings = bearings;
    if (rate < c.rate && !options.tacho_channel.empty()) {
      const auto d = diagnose(c, plans, options);
      if (!d) return d.error();
      options.tacho_channel.clear();
      if (d->speed.found()) options.speed = shaft_speed(d->speed.rate);
    }
    // No copy of one that has the rate already.
    const Capture slow = rate < c.rate ? at_rate(c, rate) : Capture{};
    auto r = measure_recording(rate < c.rate ? slow : c, options, side.at, side.facts, plans);
    if (!r) return r.error();
    r->recorded_rate = c.rate;
    out.push_back(std::move(*r));
  }
  return out;
}

bool names(const Event& event, const std::optional<UtcTime>& when) {
  if (!when) return begins_baseline(event.kind);
  return begins_baseline(event.kind) &&
         (event.when == *when || format_date(event.when) == format_date(*when));
}

/// The event asked for; without a time the latest replacement before the latest of the others.
const Event* chosen_event(const PointHistory& history, const std::optional<UtcTime>& when) {
  const Event* found = nullptr;
  for (const Event& e : history.events) {
    if (!names(e, when)) continue;
    const bool better = found == nullptr || when || e.kind == EventKind::bearing_replaced ||
                        found->kind != EventKind::bearing_replaced;
    if (better) found = &e;
  }
  return found;
}

Error no_event(const PointHistory& history, const std::optional<UtcTime>& when) {
  std::string known;
  for (const Event& e : history.events)
    if (begins_baseline(e.kind))
      add_part(known, format_date(e.when) + " " + std::string{words(e.kind)}, "; ");
  const std::string where = history.at.machine + ", " + history.at.point;
  if (when && !known.empty())
    return {Errc::not_found, where, "nothing was done on " + format_date(*when), "noted: " + known};
  return {
      Errc::not_found, where, "no work on it is noted",
      "note it: bearingdsp history event " + history.at.machine + " bearing-replaced --time DAY"};
}

}  // namespace

std::string_view token(Change change) noexcept {
  switch (change) {
    case Change::cured:
      return "cured";
    case Change::improved:
      return "improved";
    case Change::unchanged:
      return "unchanged";
    case Change::no_change_seen:
      return "no change seen";
    case Change::worse:
      return "worse";
    case Change::new_problem:
      return "new problem";
    case Change::cannot_tell:
      return "cannot tell";
    case Change::not_comparable:
      return "not comparable";
  }
  return "cannot tell";
}

std::string_view token(DifferenceKind kind) noexcept {
  switch (kind) {
    case DifferenceKind::speed:
      return "speed";
    case DifferenceKind::load:
      return "load";
    case DifferenceKind::unit:
      return "unit";
    case DifferenceKind::sensor:
      return "sensor";
    case DifferenceKind::fixing:
      return "fixing of the sensor";
    case DifferenceKind::range:
      return "range";
    case DifferenceKind::rate:
      return "rate";
    case DifferenceKind::bandwidth:
      return "bandwidth";
    case DifferenceKind::recording:
      return "recording";
  }
  return "speed";
}

std::string_view token(Bar bar) noexcept {
  switch (bar) {
    case Bar::noted:
      return "noted";
    case Bar::allowed:
      return "allowed for";
    case Bar::levels:
      return "levels not compared";
    case Bar::blocks:
      return "not comparable";
  }
  return "noted";
}

std::string_view token(ScatterSource source) noexcept {
  switch (source) {
    case ScatterSource::recordings:
      return "several recordings a side";
    case ScatterSource::pieces:
      return "pieces of single recordings";
    case ScatterSource::assumed:
      return "assumed";
  }
  return "assumed";
}

std::string_view token(FamilyFate fate) noexcept {
  switch (fate) {
    case FamilyFate::absent:
      return "not there";
    case FamilyFate::gone:
      return "gone";
    case FamilyFate::reduced:
      return "reduced";
    case FamilyFate::still_there:
      return "still there";
    case FamilyFate::grown:
      return "grown";
    case FamilyFate::fresh:
      return "new";
  }
  return "not there";
}

BeforeAfter compare_sides(const Side& before, const Side& after, const CompareOptions& options) {
  if (before.empty() || after.empty())
    throw std::invalid_argument{"compare_sides: a side without a recording"};
  BeforeAfter r;
  r.before = comparing::summary_of(before);
  r.after = comparing::summary_of(after);
  const Side b = comparing::usable_of(before);
  const Side a = comparing::usable_of(after);
  if (!b.empty() && !a.empty()) {
    r.differences = comparing::differences_of(b, a, options);
    r.taken_alike = comparing::taken_alike(b, a);
    comparing::compare_levels(r, b, a, options);
    const Side was = comparing::latest_state(b, r, &LevelChange::before_drift_db);
    const Side is = comparing::latest_state(a, r, &LevelChange::after_drift_db);
    comparing::set_state(r.before, was);
    comparing::set_state(r.after, is);
    r.families = comparing::family_changes(was, is);
    r.hits = comparing::hits_change(was, is);
  }
  if (!a.empty()) r.present = assess(point_evidence(a.back().reading, options.limits));
  r.change = comparing::decide(r);
  r.sensitivity = comparing::sensitivity_of(r);
  r.suspicions = comparing::suspicions_of(r);
  comparing::explain(r);
  return r;
}

Result<BeforeAfter> compare_captures(const CapturedSide& before, const CapturedSide& after,
                                     const std::vector<BearingCandidate>& bearings, FftPlans& plans,
                                     const CompareOptions& options) {
  if (before.captures.empty() || after.captures.empty())
    return Error{Errc::bad_argument, before.captures.empty() ? "before" : "after", "no recording",
                 "give one or more on each side"};
  const Hz rate = common_rate(before, after);
  auto b = measure_side(before, bearings, rate, plans);
  if (!b) return b.error();
  auto a = measure_side(after, bearings, rate, plans);
  if (!a) return a.error();
  const Hz low = std::min(lowest_reach(*b), lowest_reach(*a));
  const Hz high = std::max(lowest_reach(*b), lowest_reach(*a));
  if (low < same_reach * high && rate_over_reach * low < rate) {
    const Side first_b = *b;
    const Side first_a = *a;
    b = measure_side(before, bearings, rate_over_reach * low, plans);
    if (!b) return b.error();
    a = measure_side(after, bearings, rate_over_reach * low, plans);
    if (!a) return a.error();
    for (std::size_t i = 0; i < b->size(); ++i) (*b)[i].reach = first_b[i].reach;
    for (std::size_t i = 0; i < a->size(); ++i) (*a)[i].reach = first_a[i].reach;
  }
  for (std::size_t i = 0; i < b->size(); ++i)
    for (std::size_t k = 0; k < a->size(); ++k)
      if (same_signal(before.captures[i], after.captures[k]))
        (*b)[i].same_as = (*a)[k].reading.path;
  return compare_sides(*b, *a, options);
}

Result<Event> event_meant(const PointHistory& history, std::optional<UtcTime> when) {
  const Event* event = chosen_event(history, when);
  if (event == nullptr) return no_event(history, when);
  return *event;
}

CompareOptions options_around(const Event& event) {
  CompareOptions options;
  if (event.kind == EventKind::greased) options.rebuilding_db = 0;
  return options;
}

namespace {

/// Whether readings so far apart could be compared at all.
bool comparable(const Reading& a, const Reading& b) {
  const CompareOptions o;
  if (a.speed && b.speed && std::abs(*a.speed / *b.speed - 1) > o.speed_correctable) return false;
  return !a.load_percent || !b.load_percent ||
         std::abs(*a.load_percent - *b.load_percent) <= o.load_tolerance;
}

using Readings = std::vector<const Reading*>;

/// A run at no load after the work, or a reading at another speed, is not what the machine is
/// compared by: of both sides those alike to the latest one before that has a like after. If there
/// is none, all, so that the comparison says why it cannot be made.
void keep_comparable(Readings& before, Readings& after) {
  for (auto reference = before.rbegin(); reference != before.rend(); ++reference) {
    const Reading& as = **reference;
    const auto like = [&](const Reading* r) { return comparable(*r, as); };
    if (std::none_of(after.begin(), after.end(), like)) continue;
    const auto unlike = [&](const Reading* r) { return !comparable(*r, as); };
    before.erase(std::remove_if(before.begin(), before.end(), unlike), before.end());
    after.erase(std::remove_if(after.begin(), after.end(), unlike), after.end());
    return;
  }
}

}  // namespace

Result<std::pair<Side, Side>> sides_of_event(const PointHistory& history,
                                             std::optional<UtcTime> when) {
  const auto event = event_meant(history, when);
  if (!event) return event.error();
  std::pair<Side, Side> sides;
  std::optional<UtcTime> previous;
  std::optional<UtcTime> next;
  for (const Event& e : history.events) {
    if (!begins_baseline(e.kind)) continue;
    if (e.when < event->when) previous = e.when;
    if (e.when > event->when && !next) next = e.when;
  }
  Readings before;
  Readings after;
  for (const Reading& r : history.readings) {
    if (r.taken < event->when && (!previous || r.taken >= *previous)) before.push_back(&r);
    if (r.taken >= event->when && (!next || r.taken < *next)) after.push_back(&r);
  }
  keep_comparable(before, after);
  const std::size_t first = before.size() - std::min(before.size(), max_readings);
  for (std::size_t i = first; i < before.size(); ++i)
    sides.first.push_back(recording_of(*before[i]));
  for (std::size_t i = 0; i < std::min(after.size(), max_readings); ++i)
    sides.second.push_back(recording_of(*after[i]));
  if (sides.first.empty() || sides.second.empty())
    return Error{Errc::not_found, history.at.machine + ", " + history.at.point,
                 std::string{"no reading "} + (sides.first.empty() ? "before " : "since ") +
                     format_date(event->when) + " (" + std::string{words(event->kind)} + ")",
                 "record it and add it: bearingdsp route run"};
  return sides;
}

}  // namespace bearingdsp
