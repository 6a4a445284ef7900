#include "bearingdsp/triage/answers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "core/plain_word.hpp"
#include "triage/tables.hpp"

namespace bearingdsp {
namespace {

using triage_tables::limit;

std::vector<TriageQuestion> read_questions() {
  const auto answers =
      table::built_in(data::triage_answers, "triage answers", [](const table::Cells& r) {
        return TriageAnswer{r.text("question"), r.text("answer"), split_list(r["also"]),
                            triage_tables::state_of(r["state"]), r.text("meaning")};
      });
  return table::built_in(data::triage_questions, "triage questions", [&](const table::Cells& r) {
    TriageQuestion one;
    one.name = r["question"];
    one.option = r["option"];
    one.ask = r["ask"];
    one.kind = r["many"] == "alike" ? AnswerKind::alike
               : r["many"] == "yes" ? AnswerKind::independent
                                    : AnswerKind::single;
    one.cautions = triage_tables::cautions_of(r["caution"]);
    for (const TriageAnswer& a : answers)
      if (a.question == one.name) one.answers.push_back(a);
    return one;
  });
}

/// The answer of that name with the numbers that lead to it.
TriageAnswer derived(std::string_view question, std::string_view answer, std::string numbers) {
  TriageAnswer a = triage_answer(question, answer).value();
  a.meaning = std::move(numbers);
  return a;
}

Result<void> check_temperature(const std::optional<Celsius>& c, std::string_view where) {
  constexpr double coldest = -60, hottest = 400;
  if (!c || (c->value() >= coldest && c->value() <= hottest)) return {};
  return Error{Errc::bad_argument, std::string{where}, "is not a temperature of a motor",
               "give degC between -60 and 400"};
}

/// Answers of one bearing cap.
void add_bearing_heat(const Celsius& cap, std::string_view end, const HandReadings& r,
                      std::vector<TriageAnswer>& out) {
  const double c = cap.value();
  if (c >= limit("bearing_trip")) {
    out.push_back(derived("temperature", "bearing dangerously hot",
                          fmt::format("{} bearing at {:.0f} degC, trip limit {:.0f}", end, c,
                                      limit("bearing_trip"))));
    return;
  }
  if (c >= limit("bearing_alarm")) {
    out.push_back(derived("temperature", "bearing too hot",
                          fmt::format("{} bearing at {:.0f} degC, alarm limit {:.0f}", end, c,
                                      limit("bearing_alarm"))));
    return;
  }
  if (r.ambient && c - r.ambient->value() > limit("bearing_rise"))
    out.push_back(derived("temperature", "bearing too hot",
                          fmt::format("{} bearing {:.0f} K above ambient, limit {:.0f}", end,
                                      c - r.ambient->value(), limit("bearing_rise"))));
}

void add_comparisons(const HandReadings& r, std::vector<TriageAnswer>& out) {
  if (const auto end = hotter_end(r))
    out.push_back(derived("temperature", "one bearing much hotter",
                          fmt::format("{} bearing {:.0f} K above the other", words(*end),
                                      std::abs(r.drive_end->value() - r.non_drive_end->value()))));
  const auto& one = r.drive_end ? r.drive_end : r.non_drive_end;
  if (!one) return;
  const double hotter = std::max(one->value(), r.non_drive_end.value_or(*one).value());
  if (r.frame && r.frame->value() >= hotter + limit("frame_excess"))
    out.push_back(
        derived("temperature", "frame hotter than the bearings",
                fmt::format("frame {:.0f} K above the bearings", r.frame->value() - hotter)));
  if (out.empty() && r.ambient && hotter - r.ambient->value() <= limit("normal_rise"))
    out.push_back(derived("temperature", "bearing temperature normal",
                          fmt::format("{:.0f} K above ambient, up to {:.0f} is usual",
                                      hotter - r.ambient->value(), limit("normal_rise"))));
}

Result<void> add_currents(const std::vector<double>& amperes, std::vector<TriageAnswer>& out) {
  if (amperes.empty()) return {};
  const bool three =
      amperes.size() == 3 && std::all_of(amperes.begin(), amperes.end(),
                                         [](double a) { return std::isfinite(a) && a >= 0; });
  const double mean = std::accumulate(amperes.begin(), amperes.end(), 0.0) / 3;
  if (!three || mean <= 0)
    return Error{Errc::bad_argument, "currents", "are not three currents in A",
                 "write the three phases like 21.0,20.5,21.2"};
  double most = 0;
  for (const double a : amperes) most = std::max(most, std::abs(a - mean));
  const double share = 100 * most / mean;
  const bool unequal = share > limit("current_unequal");
  out.push_back(derived("current", unequal ? "currents unequal" : "currents equal",
                        fmt::format("a phase is {:.0f} % from the mean of {:.3g} A, limit {:.0f} %",
                                    share, mean, limit("current_unequal"))));
  return {};
}

}  // namespace

const std::vector<TriageLimit>& triage_limits() {
  static const auto all =
      table::built_in(data::triage_limits, "triage limits", [](const table::Cells& r) {
        return TriageLimit{r.text("name"),    r.number("value"), r.text("unit"),
                           r.text("meaning"), r.text("source"),  r.text("status")};
      });
  return all;
}

const std::vector<TriageQuestion>& triage_questions() {
  static const std::vector<TriageQuestion> all = read_questions();
  return all;
}

const TriageQuestion& triage_question(std::string_view name) {
  for (const TriageQuestion& q : triage_questions())
    if (q.name == name) return q;
  throw std::invalid_argument{"triage: no question " + std::string{name}};
}

Result<TriageAnswer> triage_answer(std::string_view question, std::string_view word) {
  const TriageQuestion& q = triage_question(question);
  const std::string wanted = plain_word(word);
  std::vector<std::string> known;
  std::vector<DescribedTerm> terms;
  for (const TriageAnswer& a : q.answers) {
    DescribedTerm term{a.name, a.meaning};
    if (plain_word(a.name) == wanted) return a;
    known.push_back(a.name);
    for (const std::string& other : a.also) {
      if (plain_word(other) == wanted) return a;
      known.push_back(other);
      term.words += " " + other;
    }
    terms.push_back(std::move(term));
  }
  return Error{
      Errc::not_found, fmt::format("{} '{}'", q.name, word.substr(0, 60)), "is not a known answer",
      did_you_mean(wanted, known, terms, "run 'bearingdsp triage' without options to list them")};
}

std::optional<MachineEnd> hotter_end(const HandReadings& r) {
  if (!r.drive_end || !r.non_drive_end) return std::nullopt;
  const double difference = r.drive_end->value() - r.non_drive_end->value();
  if (std::abs(difference) < limit("end_difference")) return std::nullopt;
  return difference > 0 ? MachineEnd::drive_end : MachineEnd::non_drive_end;
}

Result<std::vector<TriageAnswer>> answers_of_readings(const HandReadings& r) {
  for (const auto& [c, where] : {std::pair{&r.drive_end, "temperature of the drive end"},
                                 std::pair{&r.non_drive_end, "temperature of the non-drive end"},
                                 std::pair{&r.frame, "temperature of the frame"},
                                 std::pair{&r.ambient, "ambient temperature"}})
    if (const auto done = check_temperature(*c, where); !done) return done.error();
  std::vector<TriageAnswer> out;
  if (r.drive_end) add_bearing_heat(*r.drive_end, "DE", r, out);
  if (r.non_drive_end) add_bearing_heat(*r.non_drive_end, "NDE", r, out);
  // Both ends may be too hot: that counts once.
  std::vector<TriageAnswer> once;
  for (TriageAnswer& a : out) {
    const auto same = std::find_if(once.begin(), once.end(),
                                   [&](const TriageAnswer& o) { return o.name == a.name; });
    if (same == once.end())
      once.push_back(std::move(a));
    else
      same->meaning += "; " + a.meaning;
  }
  add_comparisons(r, once);
  if (const auto done = add_currents(r.currents_a, once); !done) return done.error();
  return once;
}

}  // namespace bearingdsp
