#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "bearingdsp/dsp/statistics.hpp"
#include "bearingdsp/verdict/judgement.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp::comparing {
namespace {

constexpr std::size_t min_pieces = 4;
constexpr std::size_t min_readings = 3;
constexpr double doubled = 2;

/// What three pieces in four reach or exceed: knocks in some of them must not decide it.
double max_reach(std::vector<double> values) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 4);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

std::optional<double> kurtosis_of_most(const Side& side) {
  std::vector<double> of_recordings;
  bool in_pieces = true;
  for (const ComparedRecording& r : side) {
    std::vector<double> pieces;
    for (const Levels& piece : r.pieces)
      if (piece.at(Indicator::kurtosis)) pieces.push_back(*piece.at(Indicator::kurtosis));
    if (pieces.size() >= min_pieces) {
      of_recordings.push_back(max_reach(std::move(pieces)));
    } else if (const auto& whole = r.reading.levels.at(Indicator::kurtosis)) {
      of_recordings.push_back(*whole);
      in_pieces = false;
    }
  }
  if (of_recordings.empty()) return std::nullopt;
  if (in_pieces) return median(of_recordings);
  if (of_recordings.size() < min_readings) return std::nullopt;
  return max_reach(std::move(of_recordings));
}

FamilyFate fate_of(double before, double after) {
  const bool stood = before >= kurtosis_of_hits;
  const bool detected = after >= kurtosis_of_hits;
  if (detected && after >= doubled * before) return FamilyFate::fresh;
  if (stood && before >= doubled * after) return FamilyFate::gone;
  return stood && detected ? FamilyFate::still_there : FamilyFate::absent;
}

}  // namespace

std::optional<HitsChange> hits_change(const Side& before, const Side& after) {
  const auto b = kurtosis_of_most(before);
  const auto a = kurtosis_of_most(after);
  if (!b || !a) return std::nullopt;
  return HitsChange{*b, *a, fate_of(*b, *a)};
}

bool hits_came(const BeforeAfter& r) noexcept {
  return r.hits && r.hits->fate == FamilyFate::fresh;
}

bool hits_went(const BeforeAfter& r) noexcept { return r.hits && r.hits->fate == FamilyFate::gone; }

std::optional<Sensitivity> sensitivity_of(const BeforeAfter& r) {
  if (r.before.usable == 0 || r.after.usable == 0 || r.change == Change::not_comparable ||
      r.before.verdict == Verdict::fault || r.after.verdict == Verdict::fault)
    return std::nullopt;
  Sensitivity s{JudgementModel{}.even_strength, strongest(r, &FamilyChange::before),
                strongest(r, &FamilyChange::after), 0};
  for (const LevelChange& c : r.levels)
    if (c.counts) s.level_db = std::max(s.level_db, c.chance_db);
  return s;
}

}  // namespace bearingdsp::comparing
