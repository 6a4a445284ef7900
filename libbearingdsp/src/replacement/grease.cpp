#include <fmt/format.h>

#include <string>
#include <utility>

#include "advisers.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

std::string hours(const GreaseInterval& t) {
  // Two figures: the rule knows no more.
  const auto rounded = [](double h) {
    double step = 1;
    while (h / step >= 100) step *= 10;
    return fmt::format("{:.0f}", static_cast<double>(static_cast<long>(h / step)) * step);
  };
  return rounded(t.low_h) == rounded(t.high_h)
             ? rounded(t.low_h) + " h"
             : rounded(t.low_h) + " to " + rounded(t.high_h) + " h";
}

std::string conditions(const MotorDuty& m) {
  return fmt::format("{:.0f} rpm, {:g} °C{}, {} load", m.speed->value(), m.bearing_c,
                     m.bearing_c_known ? "" : " (assumed)", words(m.load));
}

constexpr double longest_reliable_h = 30000;

bool angular_contact(BearingType type) {
  return type == BearingType::angular_contact_ball ||
         type == BearingType::double_row_angular_contact_ball ||
         type == BearingType::four_point_contact_ball;
}

void for_life(ReplacementPlan& p) {
  std::string text =
      "Greased for life and sealed or shielded on both sides: do not wash it out and do not "
      "regrease it.";
  if (p.duty.speed) {
    const auto life = grease_life(p.facts.designation.type, p.facts.designation.bore_mm,
                                  {*p.duty.speed, p.duty.bearing_c, p.duty.load});
    if (life) {
      const GreaseInterval t =
          p.duty.vertical_shaft ? GreaseInterval{0.5 * life->low_h, 0.5 * life->high_h} : *life;
      text += fmt::format(" The grease lasts about {} at {}", hours(t), conditions(p.duty));
      text += p.duty.vertical_shaft ? ", halved for the vertical shaft." : ".";
      if (t.high_h > longest_reliable_h) text += " Values above 30 000 h are not reliable.";
    } else {
      text += fmt::format(" How long the grease lasts is not judged: {}: {}.", life.error().what,
                          life.error().advice);
    }
  }
  p.advice.push_back(
      {"Grease", Weighing::note, std::move(text),
       std::string{sources::catalogue_e} + " (life), " + std::string{sources::catalogue_d} +
           " (30 000 h)" +
           (p.duty.vertical_shaft ? "; vertical half: a rolling bearing catalogue" : "")});
}

/// Dust and moisture: 0.8 (moderate) to 0.3 (very high).
GreaseInterval in_surroundings(const GreaseInterval& t) {
  constexpr double very_high = 0.3;
  constexpr double moderate = 0.8;
  return {very_high * t.low_h, moderate * t.high_h};
}

std::string interval_words(const ReplacementPlan& p, const GreaseInterval& t) {
  const MotorDuty& m = p.duty;
  std::string text = fmt::format("Every {} at {}", hours(t), conditions(m));
  if (m.vertical_shaft) text += ", halved for the vertical shaft";
  if (m.wet || m.dusty) text += ", shortened to 0.3 to 0.8 of it for moisture or dust";
  text += ".";
  if (t.high_h > longest_reliable_h)
    text += " Values above 30 000 h are not reliable: regrease before that.";
  if (angular_contact(p.facts.designation.type))
    text +=
        " The sources differ by ten for angular contact bearings: begin with the shorter "
        "interval and decide by the condition of the old grease.";
  return text;
}

void interval(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  const std::string source =
      std::string{sources::catalogue_e} + ", " + std::string{sources::tribology_handbook};
  if (!p.duty.speed) {
    p.advice.push_back(
        not_judged("Regreasing", "the interval depends on the speed: give --rpm.", source));
    return;
  }
  auto t = regreasing_interval(d.type, d.bore_mm, {*p.duty.speed, p.duty.bearing_c, p.duty.load});
  if (!t) {
    p.advice.push_back(
        not_judged("Regreasing", t.error().what + ": " + t.error().advice + ".", source));
    return;
  }
  if (p.duty.vertical_shaft) *t = {0.5 * t->low_h, 0.5 * t->high_h};
  if (p.duty.wet || p.duty.dusty) *t = in_surroundings(*t);
  p.regreasing = *t;
  std::string used = source;
  if (p.duty.vertical_shaft) used += "; vertical half: a rolling bearing catalogue";
  if (p.duty.wet || p.duty.dusty)
    used += "; moisture and dust: " + std::string{sources::environment_page};
  if (t->high_h > longest_reliable_h) used += "; 30 000 h: " + std::string{sources::catalogue_d};
  p.advice.push_back({"Regreasing", Weighing::note, interval_words(p, *t), std::move(used)});
}

void amount(ReplacementPlan& p) {
  const auto& s = p.facts.size;
  if (!s.outside_diameter || !s.width) {
    p.advice.push_back(not_judged(
        "Grease",
        "the amount depends on outside diameter and width, which are not in these tables.",
        s.source));
    return;
  }
  p.regreasing_g = regreasing_from_side_g(*s.outside_diameter, *s.width);
  p.advice.push_back(
      {"Grease", Weighing::note,
       fmt::format(
           "Regrease with {:.1f} g from the side and rotate the shaft slowly by hand if possible; "
           "too much grease runs hot. At installation: fill the bearing, and fill the housing to "
           "about 40 %. Use the grease on the motor nameplate; never mix grease types.",
           *p.regreasing_g),
       std::string{sources::catalogue_d} +
           " (0.005 D B; another manufacturer gives 0.002 to 0.0055, depending on the interval: " +
           std::string{sources::catalogue_e} + "); mixing: " + std::string{sources::practice}});
}

void oil_film(ReplacementPlan& p) {
  const auto& outside = p.facts.size.outside_diameter;
  const std::string source = std::string{sources::viscosity_code};
  if (!p.duty.speed || !outside) return;  // said with the speed
  p.required_mm2_s = required_viscosity(*p.duty.speed, 0.5 * (p.facts.size.bore + *outside));
  const std::string needs = fmt::format(
      "The speed needs a base oil of {:.0f} mm²/s at the "
      "temperature of the bearing",
      *p.required_mm2_s);
  if (!p.duty.oil) {
    p.advice.push_back({"Oil film", Weighing::note,
                        "Not judged: give the base oil of the grease (--oil). " + needs + ".",
                        source});
    return;
  }
  const ViscosityRange nu = viscosity_at(*p.duty.oil, p.duty.bearing_c);
  p.kappa = ViscosityRange{nu.low / *p.required_mm2_s, nu.high / *p.required_mm2_s};
  const ViscosityRange& k = *p.kappa;
  const std::string ratio = nu.low == nu.high ? fmt::format("{:.2g}", k.low)
                                              : fmt::format("{:.2g} to {:.2g}", k.low, k.high);
  const bool thin = k.low < 1;
  const bool thick = k.high > 4;
  p.advice.push_back(
      {"Oil film",
       thin    ? Weighing::caution
       : thick ? Weighing::note
               : Weighing::good,
       fmt::format(
           "{}; this one has {}: viscosity ratio kappa = {}{}.{}", needs,
           nu.low == nu.high ? fmt::format("{:.0f} mm²/s", nu.low)
                             : fmt::format("{:.0f} to {:.0f} mm²/s", nu.low, nu.high),
           ratio,
           p.duty.bearing_c_known ? "" : fmt::format(" (at {:g} °C, assumed)", p.duty.bearing_c),
           thin    ? " Below 1 the film is too thin to separate the surfaces: take a thicker "
                     "base oil, or one with additives against wear (EP, AW)."
           : thick ? " Above 4 more viscosity gains nothing and makes heat."
                   : " 1 to 4 is the aim."),
       source + "; range 1 to 4: from memory"});
}

void mixing(ReplacementPlan& p) {
  const MotorDuty& m = p.duty;
  if (m.old_grease.empty() && m.grease.empty()) return;
  if (m.old_grease.empty() || m.grease.empty()) {
    p.advice.push_back(not_judged("Mixing greases",
                                  "give the thickener of both greases: --grease and --old-grease.",
                                  std::string{sources::grease_chart}));
    return;
  }
  const auto mix = grease_mix(m.old_grease, m.grease);
  if (!mix) {
    p.advice.push_back(not_judged(
        "Mixing greases", mix.error().where + ": " + mix.error().what + "; clean everything.",
        std::string{sources::grease_chart}));
    return;
  }
  const bool good = *mix == GreaseMix::compatible;
  p.advice.push_back(
      {"Mixing greases", good ? Weighing::note : Weighing::caution,
       fmt::format("{} with {}: {}. {}", m.old_grease, m.grease, words(*mix),
                   good
                       ? "Still remove the old grease: charts disagree and leave oil and additives "
                         "out (test: ASTM D6185)."
                       : "Remove the old grease completely from covers, pipes and housing; mixed "
                         "they soften and run out, or harden. Charts disagree (test: ASTM D6185)."),
       std::string{sources::grease_chart}});
}

}  // namespace

void advise_on_grease(ReplacementPlan& plan) {
  if (greased_for_life(plan.facts.designation)) {
    for_life(plan);
    return;
  }
  amount(plan);
  interval(plan);
  oil_film(plan);
  mixing(plan);
}

}  // namespace bearingdsp
