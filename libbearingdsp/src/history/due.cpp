#include "bearingdsp/history/due.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <utility>

namespace bearingdsp {
namespace {

void add_once(std::vector<std::string>& all, const std::string& text) {
  if (!text.empty() && std::find(all.begin(), all.end(), text) == all.end()) all.push_back(text);
}

void add_point(MachineDue& due, const Standing& s, int survey_days) {
  due.latest = due.readings == 0 ? s.latest : std::max(due.latest, s.latest);
  due.readings += s.readings;
  if (!s.changed.empty()) due.changed.push_back(s.at.point + ": " + s.changed);
  const Assessment& a = s.assessment;
  if (a.urgency == Urgency::none) return;
  if (due.points.empty()) {
    due.urgency = a.urgency;
    due.deadline = a.deadline;
    due.acknowledged = true;
  }
  due.acknowledged = due.acknowledged && s.acknowledged;
  due.points.push_back(s.at.point);
  add_once(due.conditions, a.headline);
  for (const std::string& action : a.actions) add_once(due.actions, action);
  add_once(due.orders, order_words(s));
  if (const auto days = days_allowed(a.deadline, survey_days)) {
    const UtcTime day = std::chrono::floor<std::chrono::days>(s.latest) + std::chrono::days{*days};
    due.on = due.on ? std::min(*due.on, day) : day;
  }
}

}  // namespace

std::optional<int> days_allowed(std::string_view deadline, int survey_days) {
  static constexpr std::array<std::pair<std::string_view, int>, 5> known{
      {{"now", 0},
       {"today", 0},
       {"within a week", 7},
       {"within two weeks", 14},
       {"within four weeks", 28}}};
  for (const auto& [words, days] : known)
    if (deadline == words) return days;
  if (deadline == "before the next survey") return survey_days;
  return std::nullopt;
}

std::string order_words(const Standing& s) {
  if (s.verdict != Verdict::fault || s.assessment.urgency < Urgency::plan) return {};
  return s.order.empty() ? "read the number on the bearing; the machine file has none" : s.order;
}

std::vector<MachineDue> machines_due(const std::vector<Standing>& standings, int survey_days) {
  std::vector<MachineDue> all;
  for (const Standing& s : standings) {
    auto at = std::find_if(all.begin(), all.end(),
                           [&](const MachineDue& d) { return d.machine == s.at.machine; });
    if (at == all.end()) {
      all.emplace_back();
      at = all.end() - 1;
      at->machine = s.at.machine;
    }
    add_point(*at, s, survey_days);
  }
  return all;
}

}  // namespace bearingdsp
