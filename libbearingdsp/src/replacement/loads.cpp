#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "advisers.hpp"
#include "bearingdsp/replacement/rating_life.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

/// Two digits: loads and the formulas themselves are known no better.
std::string about(double value) {
  const double unit = std::pow(10, std::floor(std::log10(value)) - 1);
  return fmt::format("{:.12g}", unit * std::round(value / unit));
}

bool at_other_end(const MotorDuty& m) { return m.position == "NDE"; }

void belt(ReplacementPlan& p) {
  const MotorDuty& m = p.duty;
  if (!m.belt_drive && !m.pulley_mm) return;
  if (at_other_end(m)) {
    p.advice.push_back(
        not_judged("Belt",
                   "the belt pulls at the drive end; the non-drive end carries pull x "
                   "overhang / distance of the bearings, in the other direction.",
                   "statics"));
    return;
  }
  std::vector<std::string> missing;
  if (!m.power_kw) missing.emplace_back("--power");
  if (!m.speed) missing.emplace_back("--rpm");
  if (!m.pulley_mm) missing.emplace_back("--pulley");
  if (!missing.empty()) {
    p.advice.push_back(
        not_judged("Belt",
                   fmt::format("the pull follows from power, speed and pulley: give {}.",
                               fmt::join(missing, ", ")),
                   std::string{sources::belt_page}));
    return;
  }
  p.pull = belt_pull(*m.power_kw, *m.speed, *m.pulley_mm, m.belt);
  p.advice.push_back(
      {"Belt", Weighing::note,
       fmt::format(
           "{:g} kW at {:.0f} rpm on a pulley of {:g} mm transmit {} N; a {} pulls with about "
           "{} to {} N at the shaft. The drive-end bearing carries (L + a)/L times the pull: "
           "L distance of the bearings, a from the bearing to the middle of the pulley.",
           *m.power_kw, m.speed->value(), *m.pulley_mm, about(p.pull->useful_n), words(m.belt),
           about(p.pull->low_n), about(p.pull->high_n)),
       std::string{sources::belt_page} +
           "; upper factors of V-belts and toothed belts: from memory"});
}

struct RadialLoad {
  double low_n{0}, high_n{0};
  std::string words;
};

/// As given, else the pull of the belt.
std::optional<RadialLoad> radial_load(const ReplacementPlan& p) {
  if (p.duty.radial_n) return RadialLoad{*p.duty.radial_n, *p.duty.radial_n, "load given"};
  if (p.pull) return RadialLoad{p.pull->low_n, p.pull->high_n, "pull of the belt"};
  return std::nullopt;
}

std::string minimum_words(double share, double rating, double least) {
  return fmt::format("at least {} N ({:g} % of C = {:g} N)", about(least), 100 * share, rating);
}

/// A roller bearing whose load nobody gave: it is the reason why it may not be there at all.
Advice unloaded_rollers(const ReplacementPlan& p, const std::string& needs) {
  const bool cylindrical = p.facts.designation.type == BearingType::cylindrical_roller;
  if (p.duty.belt_drive)
    return not_judged(
        "Minimum load",
        "a roller bearing needs " + needs + ": give --power, --rpm and --pulley, or --radial.",
        std::string{sources::catalogue_b});
  return {
      "Minimum load", Weighing::caution,
      "A roller bearing needs " + needs +
          ". Without a belt it carries only its part of the rotor weight: rollers that slip "
          "smear, most of all at quick starts and above half the limiting speed. Give --belt or "
          "--radial" +
          (cylindrical ? "; a coupled motor usually has a deep groove ball bearing here" : "") +
          ". Do not run it long without load.",
      std::string{sources::catalogue_b} +
          "; when it matters: " + std::string{sources::min_load_page}};
}

void minimum_load(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  const bool rollers = has_rollers(d.type);
  const double share = min_load_share(d);
  const auto ratings = load_ratings(d);
  const auto radial = radial_load(p);
  if (!ratings) {
    const std::string needs = fmt::format(
        "at least {:g} % of its load rating C, which is not in these tables", 100 * share);
    if (rollers && !radial)
      p.advice.push_back(unloaded_rollers(p, needs));
    else
      p.advice.push_back(not_judged("Minimum load", "the bearing needs " + needs + ".",
                                    std::string{sources::catalogue_b}));
    return;
  }
  // The stronger of two designs asks for more.
  const double least = share * ratings->highest_dynamic_n;
  const std::string needs = minimum_words(share, ratings->highest_dynamic_n, least);
  if (!radial && !p.duty.axial_n) {
    p.advice.push_back(rollers ? unloaded_rollers(p, needs)
                               : Advice{"Minimum load", Weighing::note,
                                        "Not judged: give --radial. Balls need " + needs +
                                            ", or a spring washer that preloads them axially.",
                                        std::string{sources::catalogue_b} +
                                            "; spring washer: " + std::string{sources::practice}});
    return;
  }
  const auto load =
      equivalent_load_of(d, *ratings, radial ? radial->low_n : 0, p.duty.axial_n.value_or(0));
  if (!load) {
    p.advice.push_back(
        not_judged("Minimum load", load.error().what + ".", std::string{sources::catalogue_b}));
    return;
  }
  const bool enough = load->newtons >= least;
  p.advice.push_back({"Minimum load", enough ? Weighing::good : Weighing::caution,
                      fmt::format("{:.0f} N ({}): the bearing needs {}.{}", load->newtons,
                                  radial ? radial->words : "axial load given", needs,
                                  enough    ? ""
                                  : rollers ? " Below that the rollers slip and smear."
                                            : " Below that the balls may skid."),
                      std::string{sources::catalogue_b}});
}

void life(ReplacementPlan& p) {
  const MotorDuty& m = p.duty;
  const auto radial = radial_load(p);
  if (!radial && !m.axial_n) {
    p.advice.push_back(
        {"Life", Weighing::note,
         "Not judged: give --radial and --axial, or --power, --rpm and --pulley of a "
         "belt drive.",
         "ISO 281"});
    return;
  }
  const auto ratings = load_ratings(p.facts.designation);
  if (!ratings || !m.speed) {
    p.advice.push_back(
        not_judged("Life",
                   m.speed ? "the load rating is not in these tables: ask the manufacturer."
                           : "the rating life in hours needs --rpm.",
                   "ISO 281"));
    return;
  }
  const auto load = equivalent_load_of(p.facts.designation, *ratings, radial ? radial->high_n : 0,
                                       m.axial_n.value_or(0));
  if (!load) {
    p.advice.push_back(
        not_judged("Life", load.error().what + ": " + load.error().advice + ".", "ISO 281"));
    return;
  }
  if (!(load->newtons > 0)) return;
  p.life_h = rating_life_h(ratings->dynamic_n, load->newtons, *m.speed,
                           has_rollers(p.facts.designation.type));
  const std::string at = fmt::format("at {:.0f} N equivalent load, with C = {:g} N", load->newtons,
                                     ratings->dynamic_n);
  const std::string source = "ISO 281; ratings: " + ratings->source +
                             ", other manufacturers' values differ by several percent";
  if (*p.life_h > fatigue_does_not_limit_h) {
    p.advice.push_back(
        {"Life", Weighing::good,
         fmt::format("Fatigue does not limit the life ({}: more than {:g} h): grease, "
                     "dirt and fits do.",
                     at, fatigue_does_not_limit_h),
         source});
    return;
  }
  constexpr double short_life_h = 20000;
  const bool is_short = *p.life_h < short_life_h;
  p.advice.push_back(
      {"Life", is_short ? Weighing::caution : Weighing::good,
       fmt::format("L10 = about {} million revolutions, L10h = about {} h (9 of 10 bearings reach "
                   "it) {}.{}",
                   about(*p.life_h * 60 * m.speed->value() / 1e6), about(*p.life_h), at,
                   is_short ? " Below 20 000 h (common practice) find the cause of the load." : ""),
       source});
}

}  // namespace

void advise_on_loads(ReplacementPlan& plan) {
  belt(plan);
  if (plan.facts.designation.type == BearingType::thrust_ball ||
      plan.facts.designation.type == BearingType::spherical_roller_thrust)
    plan.advice.push_back(not_judged("Minimum load",
                                     "thrust bearings need a least axial load that grows with the "
                                     "speed: ask the manufacturer.",
                                     std::string{sources::practice}));
  else
    minimum_load(plan);
  life(plan);
}

}  // namespace bearingdsp
