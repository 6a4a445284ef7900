#include <algorithm>
#include <array>
#include <string>

#include "bearing/data.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/machine/workshop_checks.hpp"

namespace bearingdsp {
namespace {

constexpr std::array<std::string_view, workshop_check_count> check_names{"insulation resistance",
                                                                         "polarisation index",
                                                                         "winding balance",
                                                                         "bearing insulation",
                                                                         "shaft runout",
                                                                         "preload spring",
                                                                         "cooling",
                                                                         "end float",
                                                                         "rotor play",
                                                                         "machine insulation",
                                                                         "soft foot",
                                                                         "key mark",
                                                                         "no-load current",
                                                                         "temperature",
                                                                         "shaft voltage",
                                                                         "noise",
                                                                         "coupling alignment",
                                                                         "belt alignment",
                                                                         "belt tension"};

LimitStatus status_of(std::string_view word) {
  return word == "confirmed" ? LimitStatus::confirmed
         : word == "derived" ? LimitStatus::derived
         : word == "memory"  ? LimitStatus::memory
                             : LimitStatus::practice;
}

}  // namespace

std::string_view token(WorkshopCheck check) noexcept {
  return check_names.at(static_cast<std::size_t>(check));
}

std::string_view token(LimitStatus status) noexcept {
  constexpr std::array<std::string_view, 4> names{"confirmed", "derived", "from memory",
                                                  "common practice"};
  return names.at(static_cast<std::size_t>(status));
}

std::string_view token(ShaftKey key) noexcept {
  constexpr std::array<std::string_view, 3> names{"half key (H)", "full key (F)", "no key (N)"};
  return names.at(static_cast<std::size_t>(key));
}

std::string_view token(BeltSection section) noexcept {
  constexpr std::array<std::string_view, 4> names{"A", "B", "C", "D"};
  return names.at(static_cast<std::size_t>(section));
}

std::string_view token(CheckOutcome outcome) noexcept {
  constexpr std::array<std::string_view, 4> names{"good", "bad", "clarify", "not judged"};
  return names.at(static_cast<std::size_t>(outcome));
}

const std::vector<WorkshopLimit>& workshop_limits() {
  static const auto all =
      table::built_in(data::workshop_limits, "workshop limits", [](const table::Cells& r) {
        return WorkshopLimit{r.text("check"),   r.text("what"),         r.number_if("over"),
                             r.number_if("to"), r.number_if("low"),     r.number_if("high"),
                             r.text("unit"),    status_of(r["status"]), r.text("source")};
      });
  return all;
}

const WorkshopLimit* workshop_limit(WorkshopCheck check, std::string_view what, double at) {
  for (const WorkshopLimit& l : workshop_limits())
    if (l.check == token(check) && l.what == what && (!l.over || at > *l.over) &&
        (!l.to || at <= *l.to))
      return &l;
  return nullptr;
}

}  // namespace bearingdsp
