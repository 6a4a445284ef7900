#include "bearingdsp/history/dates.hpp"

#include <algorithm>
#include <iterator>
#include <tuple>

namespace bearingdsp {
namespace {

constexpr std::chrono::hours lonely_before{24 * 365 * 2};
constexpr std::ptrdiff_t healthy_ends_it = 3;

int rank(Verdict verdict) {
  switch (verdict) {
    case Verdict::indeterminate:
      return 0;
    case Verdict::no_fault:
      return 1;
    case Verdict::fault:
      return 2;
  }
  return 0;
}

bool earlier(const Reading& a, const Reading& b) {
  if (a.taken != b.taken) return a.taken < b.taken;
  if (a.verdict != b.verdict) return rank(a.verdict) < rank(b.verdict);
  return std::tie(a.probability_of_damage, a.path, a.hash) <
         std::tie(b.probability_of_damage, b.path, b.hash);
}

bool ahead(const Reading& r) { return !r.date_confirmed && r.added && is_ahead(r.taken, *r.added); }
bool ahead(const Event& e) { return e.added && is_ahead(e.when, *e.added); }

template <class T>
void set_aside(std::vector<T>& from, std::vector<T>& to) {
  const auto first =
      std::stable_partition(from.begin(), from.end(), [](const T& item) { return !ahead(item); });
  to.insert(to.end(), std::make_move_iterator(first), std::make_move_iterator(from.end()));
  from.erase(first, from.end());
}

/// Came in a later run than one that is dated after it.
void mark_late(std::vector<Reading>& readings) {
  std::optional<UtcTime> first_added;  // of those dated later
  for (auto r = readings.rbegin(); r != readings.rend();) {
    // Those of one instant are not compared with each other.
    auto end = r;
    while (end != readings.rend() && end->taken == r->taken) ++end;
    for (auto same = r; same != end; ++same)
      if (!same->date_confirmed && same->added && first_added && *same->added > *first_added)
        same->doubt = DateDoubt::behind;
    for (; r != end; ++r)
      if (r->added) first_added = first_added ? std::min(*first_added, *r->added) : *r->added;
  }
}

/// Years before the rest.
void mark_lonely(PointHistory& history) {
  auto& all = history.readings;
  for (std::size_t i = all.size(); i-- > 1;) {
    if (all[i].taken - all[i - 1].taken <= lonely_before) continue;
    const bool explained =
        std::any_of(history.events.begin(), history.events.end(), [&](const Event& e) {
          return begins_baseline(e.kind) && e.when > all[i - 1].taken && e.when <= all[i].taken;
        });
    if (explained) continue;
    for (std::size_t k = 0; k < i; ++k)
      if (!all[k].date_confirmed) all[k].doubt = DateDoubt::behind;
    return;
  }
}

}  // namespace

void settle_dates(PointHistory& history) {
  std::sort(history.readings.begin(), history.readings.end(), earlier);
  std::stable_sort(history.events.begin(), history.events.end(),
                   [](const Event& a, const Event& b) { return a.when < b.when; });
  for (Reading& r : history.readings) r.doubt = ahead(r) ? DateDoubt::ahead : DateDoubt::none;
  const bool all_ahead = std::all_of(history.readings.begin(), history.readings.end(),
                                     [](const Reading& r) { return ahead(r); });
  if (!all_ahead) set_aside(history.readings, history.readings_ahead);
  set_aside(history.events, history.events_ahead);
  if (all_ahead) return;
  mark_late(history.readings);
  mark_lonely(history);
}

std::vector<const Reading*> doubtful_damage(const PointHistory& history) {
  std::vector<const Reading*> found;
  const auto over = [&](const Reading& r) {
    if (!r.added) return false;
    return std::count_if(history.readings.begin(), history.readings.end(), [&](const Reading& o) {
             return o.doubt == DateDoubt::none && o.verdict == Verdict::no_fault && o.added &&
                    *o.added > *r.added;
           }) >= healthy_ends_it;
  };
  // Where all are in the future (settle_dates) their order is not in doubt.
  for (const Reading& r : history.readings)
    if (r.doubt == DateDoubt::behind && r.verdict == Verdict::fault && !over(r))
      found.push_back(&r);
  for (const Reading& r : history.readings_ahead)
    if (r.verdict == Verdict::fault && !over(r)) found.push_back(&r);
  std::stable_sort(found.begin(), found.end(), [](const Reading* a, const Reading* b) {
    return a->probability_of_damage > b->probability_of_damage;
  });
  return found;
}

}  // namespace bearingdsp
