#include "support/verdict_tally.hpp"

#include <fmt/core.h>

using namespace bearingdsp;

namespace test {
namespace {

Place place_of(Part part) {
  switch (part) {
    case Part::outer_ring:
      return Place::outer_ring;
    case Part::inner_ring:
      return Place::inner_ring;
    case Part::rolling_element:
      return Place::rolling_element;
    case Part::cage:
      return Place::cage;
  }
  return Place::cannot_tell;
}

}  // namespace

const char* token(Outcome outcome) noexcept {
  constexpr std::array<const char*, outcomes> names{
      "named", "set", "component open", "wrong", "cannot tell", "healthy!", "healthy", "alarm!"};
  return names.at(outcome);
}

Outcome outcome_of(const Diagnosis& d, std::optional<Part> truth) {
  if (d.verdict == Verdict::indeterminate) return cannot_tell;
  if (!truth) return d.verdict == Verdict::no_fault ? healthy : false_alarm;
  if (d.verdict == Verdict::no_fault) return silent;
  if (d.place == place_of(*truth)) return named;
  if (d.place != Place::unclear) return wrong;
  for (const Part p : d.place_set)
    if (p == *truth) return set;
  return unclear;
}

void VerdictTally::name_row(const std::string& situation) {
  for (const Row& r : rows_)
    if (r.situation == situation) return;
  rows_.push_back({situation, {}});
}

void VerdictTally::add(const std::string& situation, Outcome outcome) {
  name_row(situation);
  for (Row& r : rows_)
    if (r.situation == situation) ++r.counts[outcome];
}

int VerdictTally::count(const std::string& situation, Outcome outcome) const {
  for (const Row& r : rows_)
    if (r.situation == situation) return r.counts[outcome];
  return 0;
}

void VerdictTally::print() const {
  fmt::print("{:<42}", "");
  for (std::size_t o = 0; o < outcomes; ++o) fmt::print(" {:>14}", token(static_cast<Outcome>(o)));
  fmt::print("\n");
  for (const Row& r : rows_) {
    fmt::print("{:<42}", r.situation);
    for (const int n : r.counts) fmt::print(" {:>14}", n);
    fmt::print("\n");
  }
}

}  // namespace test
