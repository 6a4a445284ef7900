#include "bearingdsp/report/calendar.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <span>

#include "bearingdsp/core/foreign_text.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/hash.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "report/job_steps.hpp"

namespace bearingdsp {
namespace {

/// TEXT of [rfc5545] 3.3.11, without what could steer a terminal that shows the file.
std::string text_value(std::string_view text) {
  std::string out;
  for (const char c : safe_text(text, Medium::terminal)) {
    if (c == '\\' || c == ';' || c == ',') out += '\\';
    out += c;
  }
  return out;
}

/// A content line, folded: [rfc5545] 3.1.
std::string line(std::string_view text) {
  constexpr std::size_t most = 75;
  std::string out;
  std::size_t room = most;
  while (text.size() > room) {
    std::size_t cut = room;
    // Not within a character of several octets.
    while (cut > 1 && (static_cast<unsigned char>(text[cut]) & 0xC0U) == 0x80U) --cut;
    out += fmt::format("{}\r\n ", text.substr(0, cut));
    text.remove_prefix(cut);
    room = most - 1;
  }
  return out + std::string{text} + "\r\n";
}

/// "20260302", "20260302T074510Z"
std::string compact(std::string text) {
  std::erase_if(text, [](char c) { return c == '-' || c == ':'; });
  return text;
}
std::string stamp_of(UtcTime time) {
  return compact(format_time(std::chrono::floor<std::chrono::seconds>(time)));
}

std::string uid_of(std::string_view plant, std::string_view what, std::string_view name) {
  const std::string text = fmt::format("{}\n{}\n{}", plant, what, name);
  return sha256(std::as_bytes(std::span{text})).substr(0, 32) + "@bearingdsp";
}

/// 1 is the highest, 5 medium, 9 the lowest: [rfc5545] 3.8.1.9.
int priority_of(Urgency urgency) {
  switch (urgency) {
    case Urgency::act:
      return 1;
    case Urgency::plan:
      return 3;
    case Urgency::check:
      return 5;
    case Urgency::measure_again:
      return 7;
    case Urgency::none:
      break;
  }
  return 9;
}

struct CalendarEvent {
  std::string uid, summary, category;
  std::vector<std::string> words;  ///< lines of the description
  UtcTime day{};
  int priority{9};
  int every_days{0};  ///< repeated; 0: once
};

std::string written(const CalendarEvent& e, UtcTime now) {
  std::string description;
  for (const std::string& w : e.words) add_part(description, text_value(w), "\\n");
  return line("BEGIN:VEVENT") + line("UID:" + e.uid) + line("DTSTAMP:" + stamp_of(now)) +
         line("DTSTART;VALUE=DATE:" + compact(format_date(e.day))) +
         (e.every_days > 0 ? line(fmt::format("RRULE:FREQ=DAILY;INTERVAL={}", e.every_days))
                           : std::string{}) +
         line("SUMMARY:" + text_value(e.summary)) + line("DESCRIPTION:" + description) +
         line("CATEGORIES:" + text_value(e.category)) +
         line(fmt::format("PRIORITY:{}", e.priority)) + line("TRANSP:TRANSPARENT") +
         line("END:VEVENT");
}

CalendarEvent event_of(const MachineDue& due, const CalendarOptions& o) {
  const UtcTime today = std::chrono::floor<std::chrono::days>(o.now);
  CalendarEvent e;
  e.uid = uid_of(o.plant, "machine", due.machine);
  e.day = std::max(*due.on, today);
  const bool late = *due.on < today;
  e.summary = fmt::format("{}: {}{}", due.machine, words(due.urgency),
                          late ? fmt::format(", overdue since {}", format_date(*due.on)) : "");
  e.category = token(due.urgency);
  e.priority = priority_of(due.urgency);
  const std::string points = fmt::format("{}", fmt::join(due.points, ", "));
  e.words = due.conditions;
  e.words.push_back(fmt::format("Points: {}. Latest reading: {}.{}", points,
                                format_date(due.latest),
                                due.deadline.empty() ? "" : " Due " + due.deadline + "."));
  for (const std::string& a : due.actions) e.words.push_back("- " + a);
  for (const std::string& order : due.orders) e.words.push_back("Order: " + order);
  if (due.urgency >= Urgency::check) e.words.push_back(before_work());
  return e;
}

CalendarEvent survey_of(const std::vector<MachineDue>& machines, const CalendarOptions& o) {
  UtcTime latest = machines.front().latest;
  for (const MachineDue& m : machines) latest = std::max(latest, m.latest);
  const UtcTime today = std::chrono::floor<std::chrono::days>(o.now);
  const UtcTime day =
      std::chrono::floor<std::chrono::days>(latest) + std::chrono::days{o.survey_days};
  CalendarEvent e;
  e.uid = uid_of(o.plant, "survey", "");
  e.day = std::max(day, today);
  e.summary = fmt::format("Vibration survey: {}{}", counted(machines.size(), "machine"),
                          day < today ? ", overdue since " + format_date(day) : "");
  e.category = "survey";
  e.words = {fmt::format("Latest survey: {}.", format_date(latest)),
             "Record every measuring point, then: bearingdsp route run"};
  return e;
}

std::string head_of_calendar() {
  return line("BEGIN:VCALENDAR") + line("VERSION:2.0") +
         line("PRODID:-//bearingdsp//bearingdsp " BEARINGDSP_VERSION "//EN") +
         line("CALSCALE:GREGORIAN");
}

CalendarEvent greasing_of(const GreaseDue& due, const CalendarOptions& o) {
  const UtcTime today = std::chrono::floor<std::chrono::days>(o.now);
  const UtcTime day = std::chrono::floor<std::chrono::days>(*due.on);
  CalendarEvent e;
  e.uid = uid_of(o.plant, fmt::format("grease {}", token(due.end)), due.machine);
  e.day = std::max(day, today);
  e.every_days = *due.job.days;
  std::string amount = due.job.grams ? fmt::format(", {:.1f} g", *due.job.grams) : "";
  if (due.job.strokes) amount += fmt::format(" = {} strokes", *due.job.strokes);
  e.summary = fmt::format("Grease {} {} ({}){}{}", due.machine, words(due.end), due.designation,
                          amount, day < today ? ", overdue since " + format_date(day) : "");
  e.category = "greasing";
  e.priority = 5;
  int number = 0;
  for (const std::string& item : step_items(due.job.steps))
    e.words.push_back(fmt::format("{}. {}", ++number, item));
  return e;
}

}  // namespace

std::string grease_calendar(const std::vector<GreaseDue>& plan, const CalendarOptions& o) {
  std::string out = head_of_calendar();
  for (const GreaseDue& due : plan)
    if (due.on) out += written(greasing_of(due, o), o.now);
  return out + line("END:VCALENDAR");
}

std::string calendar(const std::vector<MachineDue>& machines, const CalendarOptions& o) {
  std::string out = head_of_calendar();
  for (const MachineDue& m : machines)
    if (m.on) out += written(event_of(m, o), o.now);
  if (!machines.empty()) out += written(survey_of(machines, o), o.now);
  return out + line("END:VCALENDAR");
}

}  // namespace bearingdsp
