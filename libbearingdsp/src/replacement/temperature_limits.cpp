#include "bearingdsp/replacement/temperature_limits.hpp"

#include <algorithm>
#include <string_view>

#include "bearing/data.hpp"
#include "bearing/naming.hpp"
#include "bearing/table.hpp"

namespace bearingdsp {
namespace {

struct KeyedLimit {
  std::string key;
  PartLimit limit;
};

const std::vector<KeyedLimit>& limits() {
  static const auto all =
      table::built_in(data::temperature_limits, "temperature limits", [](const table::Cells& r) {
        return KeyedLimit{
            r.text("key"),
            {r.text("part"), r.text("words"), r.number_if("lowest"), r.number_if("highest"),
             r.number_if("briefly"), r.text("remedy"), r.text("source")}};
      });
  return all;
}

const PartLimit* row(std::string_view part, std::string_view key) {
  for (const KeyedLimit& r : limits())
    if (r.limit.part == part && r.key == key) return &r.limit;
  return nullptr;
}

/// Value of a suffix in the table of suffixes; empty if it is not there.
std::string value_of(const SuffixReading& suffix) {
  for (const auto& s : naming::suffixes())
    if (s.text == suffix.text && s.group == suffix.group) return s.value;
  return {};
}

/// What the suffixes of a group say, by value; `otherwise` if none does.
const PartLimit* by_value(const Designation& d, std::string_view group, std::string_view part,
                          std::string_view otherwise) {
  for (const SuffixReading& s : d.suffixes)
    if (s.group == group)
      if (const auto* found = row(part, value_of(s))) return found;
  return otherwise.empty() ? row(part, "") : row(part, otherwise);
}

const PartLimit* by_text(const Designation& d, std::string_view group, std::string_view part) {
  for (const SuffixReading& s : d.suffixes)
    if (s.group == group) {
      if (const auto* found = row(part, s.text)) return found;
      if (const auto* other = row(part, "other")) return other;
    }
  return row(part, "");
}

}  // namespace

std::vector<PartLimit> temperature_limits(const Designation& d) {
  std::vector<PartLimit> limits;
  const auto add = [&](const PartLimit* limit) {
    if (limit != nullptr) limits.push_back(*limit);
  };
  add(by_value(d, "heat", "rings", ""));
  // ECP names inside and cage at once, so the flag decides; a cage of metal has no row.
  if (d.plastic_cage)
    add(row("cage", "polyamide"));
  else
    add(by_value(d, "cage", "cage", "metal"));
  if (d.closure == Closure::seal || d.closure == Closure::light_seal)
    add(by_text(d, "closure", "seals"));
  if (d.closure != Closure::open && d.closed_sides == 2) add(by_text(d, "grease", "grease"));
  return limits;
}

}  // namespace bearingdsp
