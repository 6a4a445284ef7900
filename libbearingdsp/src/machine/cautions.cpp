#include "bearingdsp/machine/cautions.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {
namespace {

constexpr std::array<std::string_view, step_kind_count> task_names{"isolate",
                                                                   "prove dead",
                                                                   "hot surface",
                                                                   "running machine",
                                                                   "lift motor",
                                                                   "lift rotor",
                                                                   "open motor",
                                                                   "pull",
                                                                   "pull bearing",
                                                                   "loose spring",
                                                                   "cut",
                                                                   "solvent",
                                                                   "hot bearing",
                                                                   "force on ring",
                                                                   "press",
                                                                   "hydraulic",
                                                                   "bearing insulation",
                                                                   "winding insulation",
                                                                   "connect",
                                                                   "live measurement",
                                                                   "shaft contact",
                                                                   "first start",
                                                                   "touch shaft",
                                                                   "slacken belt",
                                                                   "grease gun",
                                                                   "coast down",
                                                                   "grease running",
                                                                   "burning",
                                                                   "mount sensor",
                                                                   "rotor weight",
                                                                   "trial run",
                                                                   "work",
                                                                   "work on one",
                                                                   "look"};

struct CautionRow {
  std::string task, when;
  Caution caution;
};

std::string caution_source(std::string_view word) {
  if (word.starts_with("practice"))
    return "common practice, no source" + std::string{word.substr(8)};
  if (word.starts_with("memory")) return "from memory" + std::string{word.substr(6)};
  return std::string{word};
}

const std::vector<CautionRow>& caution_rows() {
  static const auto all = table::built_in(data::cautions, "cautions", [](const table::Cells& r) {
    const std::string text = r.text("caution");
    const std::string brief = r.text("brief");
    return CautionRow{r.text("task"),
                      r.text("when"),
                      {text, brief.empty() ? text : brief, caution_source(r["source"])}};
  });
  return all;
}

bool holds(std::string_view when, const Dangers& d) {
  const std::array<std::pair<std::string_view, bool>, 7> known{
      {{"always", true},
       {"vfd", d.variable_speed},
       {"magnet rotor", d.magnet_rotor},
       {"explosion protected", d.explosion_protected},
       {"closed bearing", d.closed_bearing},
       {"closed bearing hot", d.closed_bearing && d.heated_above_80},
       {"rollers", d.rollers}}};
  const auto at =
      std::find_if(known.begin(), known.end(), [&](const auto& k) { return k.first == when; });
  return at != known.end() && at->second;
}

}  // namespace

std::string_view token(StepKind task) noexcept {
  return task_names.at(static_cast<std::size_t>(task));
}

std::optional<StepKind> step_kind(std::string_view word) noexcept {
  const auto at = std::find(task_names.begin(), task_names.end(), word);
  if (at == task_names.end()) return std::nullopt;
  return static_cast<StepKind>(at - task_names.begin());
}

std::string before_work(bool several) {
  return cautions_for(several ? StepKind::work_on_one : StepKind::work, {}).front().text;
}

std::string cautioned(StepKind task, std::string_view instruction, bool brief) {
  const Caution first = cautions_for(task, {}).front();
  std::string text = brief ? first.brief : first.text;
  if (!instruction.empty()) text.append(" ").append(instruction);
  return text;
}

std::vector<Caution> cautions_for(StepKind task, const Dangers& dangers) {
  std::vector<Caution> out;
  for (const CautionRow& r : caution_rows())
    if (r.task == token(task) && holds(r.when, dangers)) out.push_back(r.caution);
  return out;
}

std::vector<Caution> cautions_for(const std::vector<StepKind>& tasks, const Dangers& dangers) {
  std::vector<Caution> out;
  for (const StepKind task : tasks)
    for (Caution& c : cautions_for(task, dangers))
      if (std::none_of(out.begin(), out.end(), [&](const Caution& o) { return o.text == c.text; }))
        out.push_back(std::move(c));
  return out;
}

}  // namespace bearingdsp
