#include "bearingdsp/dataset/outcome.hpp"

#include <algorithm>
#include <limits>
#include <string>
#include <utility>
#include <vector>

namespace bearingdsp {
namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();

}  // namespace

std::string_view token(Grade grade) noexcept {
  switch (grade) {
    case Grade::right:
      return "identified correctly";
    case Grade::wrong_place:
      return "damage detected, wrong component";
    case Grade::unclear_place:
      return "damage detected, component not identified";
    case Grade::cannot_tell:
      return "cannot tell";
    case Grade::missed:
      return "missed";
    case Grade::false_alarm:
      return "false alarms";
    case Grade::failed:
      return "failed";
  }
  return "failed";
}

std::string named_by(const Diagnosis& d) {
  const Place place = d.verdict == Verdict::no_fault        ? Place::none
                      : d.verdict == Verdict::indeterminate ? Place::cannot_tell
                                                            : d.place;
  return std::string{token(place)};
}

Grade grade(const Outcome& o) {
  const auto named = from_token<Place>(o.named);
  if (!named) return Grade::failed;
  if (*named == Place::cannot_tell) return Grade::cannot_tell;
  const bool sound = o.label == token(Place::none);
  if (sound) return *named == Place::none ? Grade::right : Grade::false_alarm;
  if (*named == Place::none) return Grade::missed;
  if (o.named == o.label) return Grade::right;
  return *named == Place::unclear || *named == Place::another_bearing ? Grade::unclear_place
                                                                      : Grade::wrong_place;
}

std::size_t Summary::out_of(Grade g) const {
  switch (g) {
    case Grade::wrong_place:
    case Grade::unclear_place:
    case Grade::missed:
      return damaged;
    case Grade::false_alarm:
      return sound;
    case Grade::right:
    case Grade::cannot_tell:
    case Grade::failed:
      return records;
  }
  return records;
}

namespace {

Summary summary_of(const std::vector<Outcome>& outcomes, const std::string& dataset, bool all) {
  Summary s;
  s.dataset = dataset;
  std::vector<StatedProbability> forecasts;
  for (const Outcome& o : outcomes) {
    if (!all && o.dataset != dataset) continue;
    const bool sound = o.label == token(Place::none);
    const Grade g = grade(o);
    ++s.records;
    ++(sound ? s.sound : s.damaged);
    ++s.counts.at(static_cast<std::size_t>(g));
    if (g != Grade::failed) forecasts.push_back({o.probability_damage, !sound});
  }
  s.brier = brier_score(forecasts);
  s.reliability = reliability(forecasts);
  return s;
}

}  // namespace

std::vector<Summary> summarise(const std::vector<Outcome>& outcomes) {
  std::vector<std::string> datasets;
  for (const Outcome& o : outcomes)
    if (std::find(datasets.begin(), datasets.end(), o.dataset) == datasets.end())
      datasets.push_back(o.dataset);
  std::vector<Summary> summaries;
  summaries.reserve(datasets.size() + 1);
  for (const std::string& d : datasets) summaries.push_back(summary_of(outcomes, d, false));
  summaries.push_back(summary_of(outcomes, "total", true));
  return summaries;
}

namespace {

/// Places of a closed list that occur, "failed" for anything else, in the order of the list.
std::vector<std::string> occurring(const std::vector<Outcome>& outcomes,
                                   std::string Outcome::*member) {
  std::vector<std::string> words;
  for (const Place p :
       {Place::none, Place::outer_ring, Place::inner_ring, Place::rolling_element, Place::cage,
        Place::several, Place::unclear, Place::another_bearing, Place::cannot_tell})
    words.emplace_back(token(p));
  words.emplace_back(token(Grade::failed));
  words.erase(std::remove_if(words.begin(), words.end(),
                             [&](const std::string& w) {
                               return std::none_of(
                                   outcomes.begin(), outcomes.end(),
                                   [&](const Outcome& o) { return o.*member == w; });
                             }),
              words.end());
  return words;
}

std::size_t index_of(const std::vector<std::string>& words, const std::string& word) {
  return static_cast<std::size_t>(std::find(words.begin(), words.end(), word) - words.begin());
}

}  // namespace

Confusion confusion(const std::vector<Outcome>& outcomes) {
  Confusion c;
  c.labels = occurring(outcomes, &Outcome::label);
  c.named = occurring(outcomes, &Outcome::named);
  c.count.assign(c.labels.size(), std::vector<std::size_t>(c.named.size(), 0));
  for (const Outcome& o : outcomes) {
    const std::size_t row = index_of(c.labels, o.label);
    const std::size_t column = index_of(c.named, o.named);
    if (row < c.labels.size() && column < c.named.size()) ++c.count[row][column];
  }
  return c;
}

std::vector<StatedProbability> damage_forecasts(const std::vector<Outcome>& outcomes) {
  std::vector<StatedProbability> forecasts;
  for (const Outcome& o : outcomes)
    if (grade(o) != Grade::failed)
      forecasts.push_back({o.probability_damage, o.label != token(Place::none)});
  return forecasts;
}

std::vector<OutcomeChange> compare(const std::vector<Outcome>& before,
                                   const std::vector<Outcome>& after) {
  const auto same_record = [](const Outcome& a) {
    return [&a](const Outcome& b) { return a.dataset == b.dataset && a.file == b.file; };
  };
  const auto rank = [](const Outcome& o) {  // how good an answer is, for "better" and "worse"
    switch (grade(o)) {
      case Grade::right:
        return 4;
      case Grade::unclear_place:
        return 3;
      case Grade::cannot_tell:
        return 2;
      case Grade::wrong_place:
      case Grade::missed:
      case Grade::false_alarm:
        return 1;
      case Grade::failed:
        return 0;
    }
    return 0;
  };
  std::vector<OutcomeChange> changes;
  for (const Outcome& a : after) {
    const auto b = std::find_if(before.begin(), before.end(), same_record(a));
    OutcomeChange c{a.dataset, a.file, a.label, "", a.named, no_value, a.probability_damage,
                    false,     false};
    if (b != before.end()) {
      if (b->named == a.named) continue;
      c.before = b->named;
      c.probability_before = b->probability_damage;
      c.better = rank(a) > rank(*b);
      c.worse = rank(a) < rank(*b);
    }
    changes.push_back(std::move(c));
  }
  for (const Outcome& b : before)
    if (std::none_of(after.begin(), after.end(), same_record(b)))
      changes.push_back(
          {b.dataset, b.file, b.label, b.named, "", b.probability_damage, no_value, false, false});
  return changes;
}

}  // namespace bearingdsp
