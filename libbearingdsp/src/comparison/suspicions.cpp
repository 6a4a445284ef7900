#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "bearingdsp/machine/cautions.hpp"
#include "comparison/parts.hpp"

namespace bearingdsp::comparing {
namespace {

const FamilyChange* fresh_family(const BeforeAfter& r, Part part) {
  const auto at = std::find_if(r.families.begin(), r.families.end(), [&](const FamilyChange& f) {
    return f.part == part && (f.fate == FamilyFate::fresh || f.fate == FamilyFate::grown);
  });
  return at == r.families.end() ? nullptr : &*at;
}

bool named(const BeforeAfter& r, Part part) {
  return r.after.verdict == Verdict::fault &&
         (part_of(r.after.place) == part || r.after.place == Place::several);
}

/// Dents pressed into the raceways by the elements themselves stand at the elements' spacing: all
/// elements fall into all dents at once, whatever the load zone. A single spot of the inner ring
/// passes through the load zone once a turn instead and has sidebands at 1x.
void dents(std::vector<Suspicion>& out, const BeforeAfter& r) {
  const FamilyChange* outer = fresh_family(r, Part::outer_ring);
  const FamilyChange* inner = fresh_family(r, Part::inner_ring);
  const std::string check =
      "Dismount it and look for dents at the spacing of the rolling elements, on both rings: force "
      "must "
      "go through the ring that is being fitted, never through the elements.";
  if (outer != nullptr && inner != nullptr) {
    out.push_back(
        {"dented in mounting (true brinelling): the force went through the elements",
         "the harmonic series of both rings are new, as after one blow through the elements",
         check});
  } else if (inner != nullptr && named(r, Part::inner_ring) && inner->after.harmonics >= 2 &&
             inner->after.sidebands == 0) {
    out.push_back({"inner ring dented all round (true brinelling)",
                   fmt::format("{} harmonics of the inner ring have no sidebands at 1x: the "
                               "damage does not pass in and out of the load, so it is not one "
                               "spot",
                               inner->after.harmonics),
                   check});
  }
}

void damaged_new(std::vector<Suspicion>& out, const BeforeAfter& r) {
  if (r.after.verdict != Verdict::fault) return;
  const std::string part{words(r.after.place)};
  out.push_back(
      {"damaged in handling or mounting, or a faulty bearing",
       "a harmonic series of the " +
           (part == "place unclear" || part == "several" ? std::string{"bearing"} : part) +
           " is new",
       "Ask how it was fitted (hammered, dropped, dirt, overheated) and look at "
       "the raceways; keep the old bearing to compare."});
}

void hits(std::vector<Suspicion>& out, const BeforeAfter& r) {
  if (r.after.verdict == Verdict::fault || !hits_came(r)) return;
  const std::string why = fmt::format(
      "impacts are distinct through most of the recording (kurtosis {:.1f} before, {:.1f} after) "
      "and "
      "are at none of the bearing's frequencies",
      r.hits->before, r.hits->after);
  out.push_back({"something loose, rubbing or knocking beside the bearing", why,
                 "Listen where the impacts are loudest. " +
                     cautioned(StepKind::touch_shaft,
                               "Then feel cover, fan, guard, coupling and key for clearance.")});
  out.push_back(
      {"a rolling element or the cage damaged: these strike unevenly, not at a steady rate", why,
       "Record 10 s or more. " +
           cautioned(StepKind::touch_shaft, "Then turn the shaft by hand and feel for catching.")});
}

void noise(std::vector<Suspicion>& out, const BeforeAfter& r) {
  const LevelChange* floor = find_level(r, Indicator::floor);
  if (r.after.verdict == Verdict::fault || floor == nullptr || !floor->rose()) return;
  const std::string why = fmt::format(
      "the noise between the impacts rose by {:.1f} dB and no harmonic series is detected",
      floor->change_db);
  out.push_back({"grease: too little, not yet spread, or dirty", why,
                 "Let it run for the first hours and measure again; if it stays, check kind and "
                 "quantity of grease, and the cleanliness."});
  out.push_back(
      {"no clearance left (preload): fit too tight, clearance class too small, or no axial "
       "clearance",
       why,
       "Feel the housing: a bearing without clearance gets hot. Check shaft and housing "
       "sizes, the clearance class, and that the floating end can move."});
}

void shaft(std::vector<Suspicion>& out, const BeforeAfter& r) {
  for (const CauseEvidence& c : fresh_causes(r)) {
    switch (c.cause) {
      case OtherCause::misalignment_or_bent_shaft:
        out.push_back({"a ring sits cocked on its seat, or the coupling was not aligned again",
                       c.why,
                       "Measure the run-out of the ring faces and of the shaft; align the coupling "
                       "at operating temperature; check soft foot."});
        break;
      case OtherCause::looseness:
        out.push_back({"a loose fit, or a bolt not tightened", c.why,
                       "Check the seats for creep of the rings, end-shield and foot bolts."});
        break;
      case OtherCause::rubbing:
        out.push_back({"a shield, seal or fan cover rubs", c.why,
                       "Turn it by hand and listen; check where covers and seals sit."});
        break;
      case OtherCause::unbalance:
        out.push_back({"unbalance: fan, coupling or half key not refitted in its old position",
                       c.why, "Check what was taken off the shaft, then balance."});
        break;
      case OtherCause::poor_lubrication:
        if (r.after.verdict != Verdict::fault)
          out.push_back({"grease: too little, not yet spread, or dirty", c.why,
                         "Let it run for the first hours and measure again; if it stays, check "
                         "kind and quantity of grease."});
        break;
      default:
        out.push_back({std::string{words(c.cause)}, c.why, std::string{remedy(c.cause)}});
    }
  }
}

}  // namespace

std::vector<Suspicion> suspicions_of(const BeforeAfter& r) {
  std::vector<Suspicion> out;
  if (r.change != Change::new_problem && r.change != Change::worse) return out;
  if (r.change == Change::new_problem) {
    dents(out, r);
    damaged_new(out, r);
  }
  hits(out, r);
  noise(out, r);
  shaft(out, r);
  std::vector<Suspicion> once;
  for (Suspicion& s : out)
    if (std::none_of(once.begin(), once.end(),
                     [&](const Suspicion& o) { return o.what == s.what; }))
      once.push_back(std::move(s));
  return once;
}

}  // namespace bearingdsp::comparing
