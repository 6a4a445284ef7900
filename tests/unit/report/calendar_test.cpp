// A reader of its own for what RFC 5545 asks of content lines; tests/python/test_calendar.py holds
// the tool's files against an independent one.
#include "bearingdsp/report/calendar.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "support/made_reading.hpp"

using namespace bearingdsp;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

MachineDue due(const std::string& machine, int latest, std::optional<int> on) {
  MachineDue m;
  m.machine = machine;
  m.latest = test::day(latest);
  m.readings = 1;
  if (!on) return m;
  m.urgency = Urgency::plan;
  m.deadline = "within two weeks";
  m.on = test::day(*on);
  m.points = {"DE horizontal"};
  m.conditions = {"Outer ring of the bearing damaged (> 99 %); vibration, in zone C."};
  m.actions = {"Order the bearing and plan its change."};
  m.orders = {"6205-2Z C3 (DE)"};
  return m;
}

CalendarOptions at(int day) {
  CalendarOptions o;
  o.plant = "Sawmill";
  o.now = test::day(day) + std::chrono::milliseconds{27'912'345};
  return o;
}

/// Content lines, unfolded [src:rfc5545 3.1, from memory]. Checks the line ends and the lengths.
std::vector<std::string> unfolded(const std::string& text) {
  std::vector<std::string> lines;
  std::size_t begin = 0;
  while (begin < text.size()) {
    const auto end = text.find("\r\n", begin);
    REQUIRE(end != std::string::npos);
    const std::string line = text.substr(begin, end - begin);
    CHECK(line.find('\n') == std::string::npos);
    CHECK(line.size() <= 75);
    // Each physical line is whole UTF-8: no continuation byte begins it.
    const std::string content = line.starts_with(' ') ? line.substr(1) : line;
    if (!content.empty()) CHECK((static_cast<unsigned char>(content.front()) & 0xC0U) != 0x80U);
    if (line.starts_with(' '))
      lines.back() += content;
    else
      lines.push_back(line);
    begin = end + 2;
  }
  return lines;
}

std::string value_of(const std::vector<std::string>& lines, const std::string& name,
                     std::size_t which = 0) {
  for (const std::string& line : lines)
    if (line.starts_with(name + ":") && which-- == 0) return line.substr(name.size() + 1);
  return "(none)";
}

}  // namespace

TEST_CASE(
    "calendar: an all-day event a machine, and the next survey "
    "[src:rfc5545 3.4, 3.6.1, from memory]") {
  const auto lines = unfolded(calendar({due("saw", 0, 14), due("fan", 2, std::nullopt)}, at(3)));
  CHECK(lines.front() == "BEGIN:VCALENDAR");
  CHECK(lines.back() == "END:VCALENDAR");
  CHECK(value_of(lines, "VERSION") == "2.0");
  CHECK(value_of(lines, "PRODID").starts_with("-//bearingdsp//"));
  // 2026-03-02 and 14 days; DTSTAMP in UTC, to the second.
  CHECK(value_of(lines, "DTSTART;VALUE=DATE") == "20260316");
  CHECK(value_of(lines, "DTSTAMP") == "20260305T074512Z");
  CHECK(value_of(lines, "SUMMARY") == "saw: plan");
  CHECK(has(value_of(lines, "DESCRIPTION"),
            "damaged (> 99 %)\\; vibration\\, in zone C.\\nPoints: DE horizontal. Latest reading: "
            "2026-03-02. Due within two weeks.\\n- Order the bearing"));
  CHECK(has(value_of(lines, "DESCRIPTION"), "lock it out"));
  // The survey: 28 days after the latest reading of all.
  CHECK(value_of(lines, "DTSTART;VALUE=DATE", 1) == "20260401");
  CHECK(value_of(lines, "SUMMARY", 1) == "Vibration survey: 2 machines");
  CHECK(value_of(lines, "SUMMARY", 2) == "(none)");
}

TEST_CASE("calendar: what is overdue stands on the day of the file, and says since when") {
  const auto lines = unfolded(calendar({due("saw", 0, 7)}, at(40)));
  CHECK(value_of(lines, "DTSTART;VALUE=DATE") == "20260411");
  CHECK(value_of(lines, "SUMMARY") == "saw: plan\\, overdue since 2026-03-09");
}

TEST_CASE(
    "calendar: UIDs are stable, and differ by machine and plant "
    "[src:rfc5545 3.8.4.7, from memory]") {
  const auto uid = [](const std::string& text, std::size_t which = 0) {
    return value_of(unfolded(text), "UID", which);
  };
  const std::string first = calendar({due("saw", 0, 14), due("fan", 0, 7)}, at(3));
  const std::string later = calendar({due("saw", 20, 27)}, at(21));
  CHECK(uid(first) == uid(later));
  CHECK(uid(first) != uid(first, 1));
  CHECK(uid(first, 2) == uid(later, 1));
  CalendarOptions other = at(3);
  other.plant = "Quarry";
  CHECK(uid(calendar({due("saw", 0, 14)}, other)) != uid(first));
}

TEST_CASE("calendar: long foreign text is folded between characters and stays text") {
  MachineDue m = due("", 0, 14);
  for (int i = 0; i < 60; ++i) m.machine += "Säge";
  m.conditions = {"a\r\nEND:VEVENT\\;\x1b[2J"};
  for (int shift = 0; shift < 4; ++shift) {
    m.machine.insert(0, "x");
    const auto lines = unfolded(calendar({m}, at(3)));
    CHECK(value_of(lines, "SUMMARY") == m.machine + ": plan");
    CHECK(value_of(lines, "END") == "VEVENT");
    CHECK_FALSE(has(value_of(lines, "DESCRIPTION"), "\x1b"));
  }
  CHECK(unfolded(calendar({}, at(3))).size() == 5);
}

TEST_CASE(
    "greasing plan: an event for each open bearing, repeated at its interval, with strokes and "
    "cautions [src:rfc5545 3.3.10, from memory]") {
  const auto machines = parse_machines(
      "[[machine]]\nname = \"saw\"\nrated_rpm = 1480\nbearing.DE = { designation = \"6312\" }\n"
      "bearing.NDE = { designation = \"6312-2RS\" }\n",
      "mill.toml");
  REQUIRE(machines.has_value());
  const auto plan = grease_plan(*machines, {}, test::day(10), {1.2, 8760});
  const std::string text = grease_calendar(plan, at(10));
  std::size_t events = 0;
  for (auto p = text.find("BEGIN:VEVENT"); p != std::string::npos;
       p = text.find("BEGIN:VEVENT", p + 1))
    ++events;
  CHECK(events == 1);
  CHECK(has(text, "RRULE:FREQ=DAILY;INTERVAL=" + std::to_string(*plan.front().job.days)));
  CHECK(has(text, "CATEGORIES:greasing"));
  std::string unfolded;
  for (std::size_t i = 0; i < text.size(); ++i)
    if (text.compare(i, 3, "\r\n ") == 0)
      i += 2;
    else
      unfolded += text[i];
  CHECK(has(unfolded, "Grease saw DE (6312)\\, 20.2 g = 17 strokes"));
  CHECK(has(unfolded, "1000 bar"));
  CHECK(has(unfolded, "keep guards on"));
  // The same UID in the next file: an import replaces.
  const auto uid = [](const std::string& t) { return t.substr(t.find("UID:"), 60); };
  CHECK(uid(text) == uid(grease_calendar(plan, at(40))));
}
