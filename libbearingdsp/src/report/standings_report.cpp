#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "bearingdsp/core/percent.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/history/due.hpp"
#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/report/history.hpp"
#include "sections.hpp"

namespace bearingdsp {
namespace {

std::size_t count(const std::vector<Standing>& standings, Urgency urgency) {
  return static_cast<std::size_t>(
      std::count_if(standings.begin(), standings.end(),
                    [&](const Standing& s) { return s.assessment.urgency == urgency; }));
}

std::string db_or_blank(const std::optional<double>& db) {
  if (!db) return "-";
  return std::abs(*db) < 0.5 ? std::string{"0"} : fmt::format("{:+.0f}", *db);
}

std::string in_weeks(double days) {
  return days < 14 ? fmt::format("{:.0f} days", std::max(1.0, days))
                   : fmt::format("{:.0f} weeks", days / 7);
}

std::string outlook(const ReachRange& r) {
  return r.latest_days ? fmt::format("Four times its normal level in {} to {} (80 % interval).",
                                     in_weeks(r.earliest_days), in_weeks(*r.latest_days))
                       : fmt::format(
                             "Four times its normal level not before {} (80 % limit); in {} at the "
                             "present rate.",
                             in_weeks(r.earliest_days), in_weeks(r.likely_days));
}

/// "1.9 C"
std::string velocity_text(const Standing& s) {
  if (!s.velocity_mm_s) return "-";
  return fmt::format("{:.1f} {}", *s.velocity_mm_s, s.zone ? words(*s.zone) : "-");
}

std::string where(const Standing& s) { return fmt::format("{}, {}", s.at.machine, s.at.point); }

/// Points of one machine of which the same is said.
struct Task {
  const Standing* worst{nullptr};
  std::vector<std::string> points;
};

/// Whether two points of one machine ask for the same: the numbers of each are in the table.
bool same_task(const Standing& a, const Standing& b) {
  const auto& x = a.assessment;
  const auto& y = b.assessment;
  return a.at.machine == b.at.machine && x.urgency == y.urgency && a.verdict == b.verdict &&
         a.place == b.place && x.actions == y.actions && a.order == b.order;
}

std::vector<Task> tasks_of(const std::vector<Standing>& standings) {
  std::vector<Task> tasks;
  for (const Standing& s : standings) {
    if (s.assessment.urgency == Urgency::none) continue;
    const auto same = std::find_if(tasks.begin(), tasks.end(),
                                   [&](const Task& t) { return same_task(*t.worst, s); });
    if (same == tasks.end())
      tasks.push_back({&s, {s.at.point}});
    else
      same->points.push_back(s.at.point);
  }
  return tasks;
}

std::string task_text(const Task& task) {
  const Standing& s = *task.worst;
  const std::string points = fmt::format("{}", fmt::join(task.points, ", "));
  const Assessment& assessed = s.assessment;
  std::string text = fmt::format("{} ({}): {}: {}", s.at.machine, points,
                                 upper(words(assessed.urgency)), assessed.headline);
  if (s.since && assessed.headline.find(" since ") == std::string::npos)
    text += fmt::format(" {}.", capital(since_text(s)));
  for (const std::string& action : assessed.actions) text += " " + action;
  if (const std::string order = order_words(s); !order.empty())
    text += fmt::format(" Order: {}.", order);
  if (s.acknowledged) text += " Acknowledged; no worse since.";
  if (s.verdict == Verdict::fault && s.reach) text += " " + outlook(*s.reach);
  return text;
}

ReportSection task_section(const std::vector<Standing>& standings) {
  ReportSection section;
  section.id = "tasks";
  section.title = "What to do, worst first";
  section.numbered = true;
  for (const Task& task : tasks_of(standings)) section.items.push_back(task_text(task));
  if (standings.front().assessment.urgency >= Urgency::check)
    section.notes.push_back(before_work(true));
  return section;
}

ReportSection changes(const std::vector<Standing>& standings) {
  ReportSection section;
  section.id = "changes";
  section.title = "Changes since the previous reading";
  for (const Standing& s : standings)
    if (!s.changed.empty()) section.items.push_back(where(s) + ": " + s.changed);
  return section;
}

/// Why points have no zone, once for all of which the same is said.
void add_missing_zones(ReportSection& section, const std::vector<Standing>& standings) {
  constexpr std::size_t max_named = 4;
  struct Reason {
    std::string why, named;
    std::size_t points{0};
  };
  std::vector<Reason> said;
  for (const Standing& s : standings) {
    if (s.zone || s.no_zone.empty()) continue;
    const auto same =
        std::find_if(said.begin(), said.end(), [&](const Reason& r) { return r.why == s.no_zone; });
    if (same == said.end())
      said.push_back({s.no_zone, where(s), 1});
    else if (++same->points <= max_named)
      same->named += "; " + where(s);
  }
  for (const Reason& r : said)
    section.notes.push_back(fmt::format(
        "No zone: {}: {}.", r.points > max_named ? counted(r.points, "point") : r.named, r.why));
}

ReportSection dates_in_doubt(const std::vector<Standing>& standings) {
  ReportSection section;
  section.id = "dates";
  section.title = "Dates in doubt";
  for (const Standing& s : standings)
    if (!s.dates.empty()) section.items.push_back(where(s) + ": " + s.dates);
  if (!section.items.empty())
    section.notes.emplace_back(
        "Correct a date: bearingdsp history edit NUMBER --time DAY. Confirm one: --confirm-date.");
  return section;
}

ReportSection all_points(const std::vector<Standing>& standings) {
  ReportSection section;
  section.id = "points";
  section.title = "All points";
  ReportTable t;
  t.columns = {{"Point", "", false},
               {"", "", false},
               {"Damage", "", false},
               {"Change", "dB", true},
               {"Velocity", "mm/s, zone", true},
               {"Latest", "", false}};
  for (const Standing& s : standings)
    t.rows.push_back({where(s), std::string{words(s.assessment.urgency)},
                      s.stage == Stage::unknown ? "-" : std::string{words(s.stage)},
                      db_or_blank(s.change_db), velocity_text(s),
                      s.readings == 0 ? "-" : format_date(s.latest)});
  section.table = std::move(t);
  section.notes.emplace_back(
      "Damage: of the bearing. Change: of the level above 1 kHz against the point's own baseline, "
      "median of the last three readings. Zone: of the vibration velocity by the standard, from A "
      "(new machines) to D (damaging).");
  add_missing_zones(section, standings);
  return section;
}

std::size_t machines(const std::vector<Standing>& standings, Urgency from) {
  std::vector<std::string> names;
  for (const Standing& s : standings)
    if (s.assessment.urgency >= from &&
        std::find(names.begin(), names.end(), s.at.machine) == names.end())
      names.push_back(s.at.machine);
  return names.size();
}

std::string title_of(const std::vector<Standing>& standings) {
  if (standings.empty()) return "NO POINTS YET";
  const std::size_t affected = machines(standings, Urgency::check);
  return attention_words(affected, machines(standings, Urgency::measure_again) - affected,
                         machines(standings, Urgency::none));
}

std::string headline_of(const std::vector<Standing>& standings) {
  std::string text;
  const auto add = [&](Urgency u, std::string_view words) {
    const std::size_t n = count(standings, u);
    if (n > 0) text += fmt::format("{}{} {}", text.empty() ? "Points: " : ", ", n, words);
  };
  add(Urgency::act, "act now");
  add(Urgency::plan, "plan");
  add(Urgency::check, "check");
  add(Urgency::measure_again, "measure again");
  add(Urgency::none, "OK");
  return text.empty() ? text : text + ".";
}

}  // namespace

std::string attention_words(std::size_t affected, std::size_t again, std::size_t all) {
  if (affected == 0) return again > 0 ? "MEASURE AGAIN" : "ALL OK";
  return fmt::format("{} OF {} MACHINE{} NEED{} ATTENTION", affected, all, all == 1 ? "" : "S",
                     affected == 1 ? "S" : "") +
         (again > 0 ? fmt::format(", {} TO MEASURE AGAIN", again) : "");
}

std::string since_text(const Standing& s) {
  const std::string day = format_date(*s.since);
  return s.readings > 1 && *s.since == s.latest ? "new on " + day : "since " + day;
}

Report worst_first_report(const std::vector<Standing>& standings, std::string_view source) {
  Report r;
  r.source = source;
  r.title = title_of(standings);
  r.headline = headline_of(standings);
  const Urgency worst = standings.empty() ? Urgency::none : standings.front().assessment.urgency;
  r.tone = tone_of(worst);
  if (standings.empty()) return r;
  if (worst != Urgency::none) r.sections.push_back(task_section(standings));
  if (ReportSection changed = changes(standings); !changed.items.empty())
    r.sections.push_back(std::move(changed));
  if (ReportSection dates = dates_in_doubt(standings); !dates.items.empty())
    r.sections.push_back(std::move(dates));
  r.sections.push_back(all_points(standings));
  return r;
}

namespace {

/// "DE horizontal 97 % outer ring"
std::string share_text(const EndRecording& r) {
  const RecordingShare& s = r.share;
  std::string text = s.source;
  if (!s.counted) return text + " not counted: " + s.why_not_counted;
  if (s.verdict == Verdict::fault) {
    const std::string component = component_words(s.place, s.place_set);
    text += fmt::format(" damaged{}", component.empty() ? "" : ", " + component);
  } else {
    text += s.verdict == Verdict::no_fault ? " no fault" : " cannot tell";
  }
  if (s.verdict != Verdict::no_fault)
    text += fmt::format(" ({})", percent(s.probability_of_damage));
  if (s.contradicts) text += ", contradicts the others";
  return text;
}

std::string end_text(const EndStanding& e) {
  std::string text = fmt::format("{} ({}): {}: {} By itself: ", e.machine, words(e.end),
                                 upper(words(e.assessment.urgency)), e.assessment.headline);
  for (std::size_t i = 0; i < e.recordings.size(); ++i)
    text += (i == 0 ? "" : "; ") + share_text(e.recordings[i]);
  return text + ".";
}

}  // namespace

ReportSection together_section(std::span<const EndStanding> ends) {
  ReportSection section;
  section.id = "together";
  section.title = "Recordings of one bearing together";
  std::size_t quiet = 0;
  for (const EndStanding& e : ends) {
    const bool nothing =
        e.verdict == Verdict::no_fault &&
        std::all_of(e.recordings.begin(), e.recordings.end(),
                    [](const EndRecording& r) { return r.share.verdict == Verdict::no_fault; });
    if (nothing)
      ++quiet;
    else
      section.items.push_back(end_text(e));
  }
  if (quiet > 0)
    section.notes.push_back(
        fmt::format("No bearing fault in any recording of {}.",
                    counted(quiet, section.items.empty() ? "bearing" : "other bearing")));
  return section;
}

ReportSection route_run_section(const RouteRun& run) {
  constexpr std::size_t max_named = 8;
  ReportSection section;
  section.id = "run";
  section.title = "This run";
  section.figures.push_back({"Recordings", fmt::format("{}", run.recordings)});
  section.figures.push_back({"Stored", fmt::format("{} new, {} re-analysed, {} known already",
                                                   run.stored, run.reanalysed, run.were_there)});
  if (run.left_out > 0)
    section.figures.push_back(
        {"Left out", counted(run.left_out, "recording") + ", removed or moved by hand"});
  if (!run.failures.empty())
    section.figures.push_back({"Failed", counted(run.failures.size(), "recording")});
  for (std::size_t i = 0; i < std::min(max_named, run.failures.size()); ++i)
    section.items.push_back(run.failures[i].message());
  if (run.failures.size() > max_named)
    section.items.push_back(fmt::format("... and {} more", run.failures.size() - max_named));
  for (std::size_t i = 0; i < std::min(max_named, run.notes.size()); ++i)
    section.items.push_back(run.notes[i]);
  if (run.notes.size() > max_named)
    section.items.push_back(fmt::format("... and {} more", run.notes.size() - max_named));
  for (std::size_t i = 0; i < std::min(max_named, run.unmatched.size()); ++i)
    section.items.push_back(run.unmatched[i] + " belongs to no point of the route");
  if (run.unmatched.size() > max_named)
    section.items.push_back(
        fmt::format("{} more belong to no point", run.unmatched.size() - max_named));
  for (const PointKey& p : run.without_recording)
    section.items.push_back(fmt::format("{}, {}: no recording in the folder", p.machine, p.point));
  return section;
}

Report history_check_report(const HistoryCheck& check, std::string_view store) {
  Report r;
  r.source = store;
  const bool changed = !check.changed.empty();
  r.title = !check.sound() ? "DATABASE DAMAGED"
            : changed      ? "DATABASE OK, RECORDINGS CHANGED"
                           : "DATABASE OK";
  r.tone = !check.sound() ? Tone::bad : changed ? Tone::doubt : Tone::good;
  if (!check.sound()) r.headline = "Keep this file, and restore a copy.";
  if (check.sound() && changed)
    r.headline = "What was found in them is kept. Copy the recordings again where they matter.";
  ReportSection s;
  s.figures = {{"Machines", fmt::format("{}", check.machines)},
               {"Points", fmt::format("{}", check.points)},
               {"Recordings", fmt::format("{}", check.captures)},
               {"Analyses", fmt::format("{}", check.analyses)},
               {"Events", fmt::format("{}", check.events)},
               {"Schema", fmt::format("{}", check.schema)}};
  s.items = check.wrong;
  s.items.insert(s.items.end(), check.changed.begin(), check.changed.end());
  for (const std::string& path : check.missing)
    s.items.push_back(path + " is no longer there; what was found in it is kept");
  s.items.insert(s.items.end(), check.remarks.begin(), check.remarks.end());
  r.sections.push_back(std::move(s));
  return r;
}

namespace {

/// "2026-03-02", or "2026-03-02 07:45" where the time of day is known.
std::string day_or_minute(UtcTime time) {
  const std::string day = format_date(time);
  const std::string clock = format_time(time).substr(day.size() + 1, 5);
  return clock == "00:00" ? day : day + " " + clock;
}

std::string file_name(const std::string& path) { return path.substr(path.rfind('/') + 1); }

}  // namespace

Report history_entries_report(const std::vector<HistoryEntry>& entries, std::string_view machine) {
  Report r;
  r.source = machine;
  r.title = "READINGS AND EVENTS";
  ReportSection s;
  ReportTable t;
  t.columns = {{"Number", "", false},
               {"Date", "UTC", false},
               {"Point", "", false},
               {"What", "", false},
               {"From", "", false}};
  for (const HistoryEntry& e : entries) {
    std::string what = e.what;
    if (e.removed) what = "REMOVED: " + what;
    if (e.doubt != DateDoubt::none) what += fmt::format(" (date {})", words(e.doubt));
    t.rows.push_back({name(e.id), day_or_minute(e.when),
                      e.at.point.empty() ? std::string{"all"} : e.at.point, std::move(what),
                      e.id.event ? e.detail : file_name(e.detail)});
  }
  s.table = std::move(t);
  s.notes.emplace_back(
      "Correct one: bearingdsp history edit NUMBER. Take it out: bearingdsp history remove "
      "NUMBER.");
  r.sections.push_back(std::move(s));
  return r;
}

Report journal_report(const std::vector<JournalEntry>& journal, std::string_view store) {
  Report r;
  r.source = store;
  r.title = journal.empty() ? "NOTHING WAS CHANGED BY HAND" : "WHAT WAS CHANGED";
  if (journal.empty()) return r;
  ReportSection s;
  for (const JournalEntry& e : journal) {
    std::string text = fmt::format("{} {}", day_or_minute(e.when), e.action);
    if (!e.entry.empty()) text += " " + e.entry;
    if (!e.before.empty()) text += fmt::format(": {}", e.before);
    if (!e.after.empty()) text += fmt::format("{}{}", e.before.empty() ? ": " : " -> ", e.after);
    if (!e.why.empty()) text += fmt::format(" ({})", e.why);
    s.items.push_back(std::move(text));
  }
  r.sections.push_back(std::move(s));
  return r;
}

}  // namespace bearingdsp
