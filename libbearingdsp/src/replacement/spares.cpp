#include "bearingdsp/replacement/spares.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "bearing/data.hpp"
#include "bearing/naming.hpp"
#include "bearing/table.hpp"
#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {
namespace {

constexpr std::array spare_ends{MachineEnd::drive_end, MachineEnd::non_drive_end};

const naming::Suffix* suffix_row(const SuffixReading& s) {
  for (const naming::Suffix& row : naming::suffixes())
    if (row.text == s.text && row.group == s.group) return &row;
  return nullptr;
}

/// Rows with words about manufacturers differ in the rubber: not exchanged.
bool one_meaning(const naming::Suffix& s) {
  return s.meaning.find("manufacturer") == std::string::npos;
}

/// What makes two bearings one: everything but the spelling.
std::string key_of(const Designation& d) {
  std::string key = d.prefix + "|" + d.basic();
  std::vector<std::string> parts;
  for (const SuffixReading& s : d.suffixes) {
    const auto* row = suffix_row(s);
    parts.push_back(row != nullptr && one_meaning(*row) ? s.group + "=" + row->meaning : s.text);
  }
  std::sort(parts.begin(), parts.end());
  for (const std::string& p : parts) key += "|" + p;
  return key;
}

struct SpareEntry {
  std::string key;
  Spare spare;
  std::vector<std::string> machines;  ///< one for each place
  bool insulated{false};
};

SpareEntry& entry_of(std::vector<SpareEntry>& all, const std::string& key,
                     const std::string& item) {
  for (SpareEntry& e : all)
    if (e.key == key) return e;
  all.push_back({key, {}, {}, false});
  all.back().spare.item = item;
  return all.back();
}

int max_in_one_motor(const SpareEntry& e) {
  long most = 0;
  for (const std::string& m : e.machines)
    most = std::max(most, static_cast<long>(std::count(e.machines.begin(), e.machines.end(), m)));
  return static_cast<int>(most);
}

void count_pieces(SpareEntry& e, const SpareOptions& o) {
  const double mean =
      static_cast<double>(e.machines.size()) * o.lead_weeks / (52.18 * o.life_years);
  e.spare.keep = std::max(max_in_one_motor(e), pieces_for(mean, o.shortage));
}

void bearing_notes(Spare& spare, const Designation& d, bool insulated) {
  if (!d.makers_own().empty()) {
    const std::string own = fmt::format("{}", fmt::join(d.makers_own(), ", "));
    spare.notes.push_back(own + ": a suffix of one manufacturer; ask before you take another make");
  }
  if (insulated && !d.insulated_ring && !d.ceramic_balls)
    spare.notes.emplace_back(
        "the machine file says insulated, the number does not: order it insulated");
  if (d.type == BearingType::cylindrical_roller)
    spare.notes.emplace_back("whole bearing of one manufacturer: rings are not exchanged");
  if (!d.clearance_marked)
    spare.notes.emplace_back(
        "no clearance in the number: normal; compare with the motor nameplate");
}

void add_bearings(std::vector<SpareEntry>& all, const Machine& m, SpareList& list) {
  for (const MachineEnd end : spare_ends) {
    const auto& b = m.bearing(end);
    const std::string place = fmt::format("{} {}", m.name, words(end));
    if (!b) continue;
    const auto readings = read_designation(b->designation);
    if (!readings || readings->size() != 1) {
      list.not_known.push_back(place + (b->designation.empty() ? "" : ": " + b->designation));
      continue;
    }
    const Designation& d = readings->front();
    const bool insulated = b->insulated.value_or(false);
    SpareEntry& e = entry_of(all, key_of(d) + (insulated ? "|insulated" : ""), d.text());
    if (e.machines.empty()) {
      e.spare.equals = equivalent_designations(d);
      bearing_notes(e.spare, d, insulated);
    }
    e.machines.push_back(m.name);
    e.spare.used_at.push_back(place);
  }
}

void add_seals(std::vector<SpareEntry>& all, const Machine& m) {
  for (const MachineEnd end : spare_ends) {
    const auto& b = m.bearing(end);
    if (!b || b->seal.empty()) continue;
    SpareEntry& e = entry_of(all, "seal|" + b->seal, b->seal);
    e.spare.seal = true;
    e.machines.push_back(m.name);
    e.spare.used_at.push_back(fmt::format("{} {}", m.name, words(end)));
  }
}

}  // namespace

const std::vector<ShelfLife>& shelf_lives() {
  static const auto all =
      table::built_in(data::shelf_life, "shelf life", [](const table::Cells& r) {
        return ShelfLife{r.text("part"), r.number("years"), r.text("how"), r.text("source")};
      });
  return all;
}

int pieces_for(double mean, double shortage) {
  constexpr double max_mean = 1e7;
  if (!(mean >= 0 && mean <= max_mean) || !(shortage > 0 && shortage < 1))
    throw std::invalid_argument{"pieces_for: demand or probability"};
  int pieces = 0;
  // In logarithms: a large fleet's exp(-mean) is 0 in double.
  double log_term = -mean;
  double covered = std::exp(log_term);
  const int end = static_cast<int>(mean + 40 * std::sqrt(mean) + 100);
  while (covered < 1 - shortage && pieces < end) {
    ++pieces;
    log_term += std::log(mean / pieces);
    covered += std::exp(log_term);
  }
  return pieces;
}

std::vector<std::string> equivalent_designations(const Designation& d) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < d.suffixes.size(); ++i) {
    const auto* row = suffix_row(d.suffixes[i]);
    if (row == nullptr || row->group != "closure" || !one_meaning(*row)) continue;
    for (const naming::Suffix& other : naming::suffixes()) {
      const bool same = other.group == row->group && other.value == row->value &&
                        other.meaning == row->meaning && other.text != row->text &&
                        other.types.empty();
      if (!same) continue;
      Designation named = d;
      named.suffixes[i].text = other.text;
      out.push_back(named.text());
    }
  }
  return out;
}

SpareList spare_list(const std::vector<Machine>& machines, const SpareOptions& o) {
  if (!(o.lead_weeks > 0) || !(o.life_years > 0))
    throw std::invalid_argument{"spare_list: weeks or years"};
  SpareList list;
  std::vector<SpareEntry> bearings;
  std::vector<SpareEntry> seals;
  for (const Machine& m : machines) {
    add_bearings(bearings, m, list);
    add_seals(seals, m);
  }
  for (auto* kind : {&bearings, &seals}) {
    for (SpareEntry& e : *kind) count_pieces(e, o);
    std::stable_sort(kind->begin(), kind->end(), [](const SpareEntry& a, const SpareEntry& b) {
      return a.machines.size() > b.machines.size();
    });
    for (SpareEntry& e : *kind) list.spares.push_back(std::move(e.spare));
  }
  list.assumptions = {
      fmt::format("Pieces: Poisson demand of the places in {:g} weeks, one replacement in {:g} "
                  "years at each; the shelf is empty in at most {:g} % of the cases. Your own "
                  "times: --lead-weeks, --life-years.",
                  o.lead_weeks, o.life_years, 100 * o.shortage),
      "At least as many as one motor takes: both ends are renewed together (common practice, no "
      "source).",
      "Seals: only those that the machine file names (seal = \"V-ring 35\")."};
  return list;
}

}  // namespace bearingdsp
