#include "bearingdsp/replacement/cause.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "core/plain_word.hpp"

namespace bearingdsp {
namespace {

struct Rule {
  std::string cause;
  CauseReason reason;
  std::string change;
};

const std::vector<Rule>& rules() {
  static const auto all = table::built_in(data::causes, "causes", [](const table::Cells& r) {
    const bool standard = r["source"] == "iso15243";
    return Rule{r.text("cause"),
                {r.text("sign"), static_cast<int>(r.number("points")), r.text("why"),
                 standard ? "ISO 15243:2017, from memory" : "common practice, no source"},
                r.text("change")};
  });
  return all;
}

/// Signs that only a diagnosis gives.
constexpr std::array<std::string_view, 11> diagnosed_signs = {
    "outer ring",      "inner ring",
    "rolling element", "cage",
    "unbalance",       "misalignment or bent shaft",
    "looseness",       "rubbing",
    "rotor bars",      "electrical erosion",
    "poor lubrication"};

const DamageMode* mode_called(std::string_view word) {
  const std::string wanted = plain_word(word);
  for (const DamageMode& m : damage_modes()) {
    if (plain_word(m.name) == wanted) return &m;
    for (const auto& other : m.also)
      if (plain_word(other) == wanted) return &m;
  }
  return nullptr;
}

Error no_mode(const std::string& word) {
  std::vector<std::string> known;
  std::vector<DescribedTerm> terms;
  for (const DamageMode& m : damage_modes()) {
    known.push_back(m.name);
    known.insert(known.end(), m.also.begin(), m.also.end());
    terms.push_back({m.name, m.looks});
    for (const std::string& other : m.also) terms.back().words += " " + other;
  }
  return {Errc::not_found, fmt::format("damage '{}'", word.substr(0, 60)),
          "is not a known damage mode",
          did_you_mean(plain_word(word), known, terms,
                       "run 'bearingdsp cause' without options to list them")};
}

Result<std::string> fact_called(const std::string& word) {
  for (const std::string& f : cause_facts())
    if (plain_word(f) == plain_word(word)) return f;
  if (const DamageMode* mode = mode_called(word)) return mode->name;
  return Error{Errc::not_found, fmt::format("fact '{}'", word.substr(0, 60)), "is not a known fact",
               did_you_mean(plain_word(word), cause_facts(),
                            "run 'bearingdsp cause' without options to list them")};
}

/// Sum of the rules that hold, in the order of the file.
std::vector<RootCause> weigh(const std::vector<std::string>& signs) {
  std::vector<RootCause> causes;
  for (const Rule& rule : rules()) {
    auto at = std::find_if(causes.begin(), causes.end(),
                           [&](const RootCause& c) { return c.name == rule.cause; });
    if (at == causes.end()) at = causes.insert(causes.end(), RootCause{rule.cause, 0, {}, {}});
    if (!rule.change.empty()) at->change = rule.change;
    if (std::find(signs.begin(), signs.end(), rule.reason.sign) == signs.end()) continue;
    at->points += rule.reason.points;
    at->reasons.push_back(rule.reason);
  }
  return causes;
}

}  // namespace

std::string_view token(DamageKind kind) noexcept {
  switch (kind) {
    case DamageKind::mode:
      return "mode";
    case DamageKind::state:
      return "state";
    case DamageKind::trace:
      return "trace";
  }
  return "mode";
}

const std::vector<DamageMode>& damage_modes() {
  static const auto modes =
      table::built_in(data::damage_modes, "damage modes", [](const table::Cells& r) {
        return DamageMode{r.text("mode"),
                          from_token<DamageKind>(r["kind"]).value_or(DamageKind::mode),
                          r.text("clause"), split_list(r["also"]), r.text("looks")};
      });
  return modes;
}

const std::vector<std::string>& cause_facts() {
  static const std::vector<std::string> facts = [] {
    std::vector<std::string> list;
    for (const Rule& r : rules()) {
      const std::string& sign = r.reason.sign;
      const bool diagnosed =
          std::find(diagnosed_signs.begin(), diagnosed_signs.end(), sign) != diagnosed_signs.end();
      if (diagnosed || mode_called(sign) != nullptr) continue;
      if (std::find(list.begin(), list.end(), sign) == list.end()) list.push_back(sign);
    }
    return list;
  }();
  return facts;
}

Result<CauseInquiry> find_causes(std::span<const std::string> seen,
                                 std::span<const std::string> facts,
                                 std::span<const std::string> diagnosed) {
  if (seen.empty() && facts.empty() && diagnosed.empty())
    return Error{Errc::bad_argument, "cause", "no observation is given",
                 "give the damage seen with --seen"};
  CauseInquiry inquiry;
  std::vector<std::string> signs(diagnosed.begin(), diagnosed.end());
  for (const std::string& word : seen) {
    const DamageMode* mode = mode_called(word);
    if (mode == nullptr) return no_mode(word);
    if (std::find(signs.begin(), signs.end(), mode->name) != signs.end()) continue;
    inquiry.seen.push_back(*mode);
    signs.push_back(mode->name);
  }
  for (const std::string& word : facts) {
    const auto fact = fact_called(word);
    if (!fact) return fact.error();
    signs.push_back(*fact);
  }
  inquiry.causes = weigh(signs);
  auto& causes = inquiry.causes;
  causes.erase(std::remove_if(causes.begin(), causes.end(),
                              [](const RootCause& c) { return c.points <= 0; }),
               causes.end());
  std::stable_sort(causes.begin(), causes.end(),
                   [](const RootCause& a, const RootCause& b) { return a.points > b.points; });
  for (RootCause& c : causes)
    std::stable_sort(
        c.reasons.begin(), c.reasons.end(),
        [](const CauseReason& a, const CauseReason& b) { return a.points > b.points; });
  return inquiry;
}

Result<std::vector<std::string>> signs_of_diagnosis(std::string_view text, std::string_view where) {
  const auto refuse = [&](std::string what) {
    return Error{Errc::corrupt_file, std::string{where}, std::move(what),
                 "give the output of 'bearingdsp diagnose --json' for one file"};
  };
  const auto json = nlohmann::json::parse(text, nullptr, false);
  if (json.is_discarded() || !json.is_object()) return refuse("is not JSON");
  const auto schema = json.find("schema");
  // What is read here has not changed since version 1.
  if (schema == json.end() ||
      (*schema != "bearingdsp.diagnosis/2" && *schema != "bearingdsp.diagnosis/1"))
    return refuse("is not a diagnosis");
  const auto verdict = json.find("verdict");
  const auto place = json.find("place");
  const auto others = json.find("other_causes");
  if (verdict == json.end() || !verdict->is_string() || place == json.end() ||
      !place->is_string() || others == json.end() || !others->is_array())
    return refuse("lacks verdict, place or other_causes");
  std::vector<std::string> signs;
  if (*verdict == "fault") signs.push_back(place->get<std::string>());
  constexpr double likely = 0.5;
  for (const auto& c : *others) {
    const bool whole = c.is_object() && c.contains("cause") && c["cause"].is_string() &&
                       c.contains("probability") && c["probability"].is_number();
    if (whole && c["probability"].get<double>() >= likely)
      signs.push_back(c["cause"].get<std::string>());
  }
  return signs;
}

}  // namespace bearingdsp
