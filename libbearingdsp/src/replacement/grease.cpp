#include <fmt/format.h>

#include <cmath>
#include <string>

#include "advisers.hpp"
#include "bearingdsp/replacement/rating_life.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

/// Two digits: loads and the formula itself are known no better.
std::string about(double value) {
  const double unit = std::pow(10, std::floor(std::log10(value)) - 1);
  return fmt::format("{:.12g}", unit * std::round(value / unit));
}

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
                     m.bearing_c_known ? "" : " (assumed)", name(m.load));
}

constexpr double longest_reliable_h = 30000;

void for_life(ReplacementPlan& p) {
  std::string text =
      "Greased for life and sealed or shielded on both sides: do not wash it out and do not "
      "regrease it.";
  if (p.duty.speed) {
    const auto life = grease_life(p.facts.designation.type, p.facts.designation.bore_mm,
                                  {*p.duty.speed, p.duty.bearing_c, p.duty.load});
    if (life) {
      text += fmt::format(" The grease lasts about {} at {}", hours(*life), conditions(p.duty));
      text += p.duty.vertical_shaft ? ", halved for the vertical shaft." : ".";
      if (life->high_h > longest_reliable_h) text += " Values above 30 000 h are not reliable.";
    }
  }
  p.advice.push_back({"Grease", Weighing::note, std::move(text),
                      std::string{sources::catalogue_e} + " (life), " +
                          std::string{sources::catalogue_d} +
                          " (30 000 h), vertical: from memory"});
}

void interval(ReplacementPlan& p) {
  const Designation& d = p.facts.designation;
  if (!p.duty.speed) {
    p.advice.push_back({"Regreasing", Weighing::look_up,
                        "The interval depends on the speed: give --rpm.",
                        std::string{sources::catalogue_e}});
    return;
  }
  auto t = regreasing_interval(d.type, d.bore_mm, {*p.duty.speed, p.duty.bearing_c, p.duty.load});
  if (!t) {
    p.advice.push_back({"Regreasing", Weighing::look_up,
                        t.error().what + ": " + t.error().advice + ".",
                        std::string{sources::catalogue_e}});
    return;
  }
  if (p.duty.vertical_shaft) *t = {0.5 * t->low_h, 0.5 * t->high_h};
  p.regreasing = *t;
  std::string text = fmt::format("Every {} at {}", hours(*t), conditions(p.duty));
  text += p.duty.vertical_shaft ? ", halved for the vertical shaft." : ".";
  if (t->high_h > longest_reliable_h)
    text += " Values above 30 000 h are not reliable: regrease before that.";
  if (p.duty.wet || p.duty.dusty)
    text +=
        " In wet or dirty locations regrease several times as often; decide by the condition of "
        "the old grease.";
  p.advice.push_back(
      {"Regreasing", Weighing::note, std::move(text),
       std::string{sources::catalogue_e} +
           "; vertical half: from memory; 30 000 h: " + std::string{sources::catalogue_d}});
}

void amount(ReplacementPlan& p) {
  const auto& s = p.facts.size;
  if (!s.outside_diameter || !s.width) {
    p.advice.push_back(
        {"Grease", Weighing::look_up,
         "The amount depends on outside diameter and width, which are not in these tables.",
         s.source});
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

}  // namespace

void advise_on_grease(ReplacementPlan& plan) {
  if (greased_for_life(plan.facts.designation)) {
    for_life(plan);
    return;
  }
  amount(plan);
  interval(plan);
}

void advise_on_life(ReplacementPlan& plan) {
  const MotorDuty& m = plan.duty;
  if (!m.radial_n && !m.axial_n) return;
  const auto ratings = load_ratings(plan.facts.designation);
  if (!ratings || !m.speed) {
    plan.advice.push_back({"Life", Weighing::look_up,
                           m.speed ? "The load rating is not in these tables: ask the manufacturer."
                                   : "The rating life in hours needs --rpm.",
                           "ISO 281"});
    return;
  }
  const auto p = equivalent_load(*ratings, m.radial_n.value_or(0), m.axial_n.value_or(0));
  if (!(p.newtons > 0)) return;
  plan.life_h = rating_life_h(ratings->dynamic_n, p.newtons, *m.speed, false);
  constexpr double short_life_h = 20000;
  const double revolutions = *plan.life_h * 60 * m.speed->value() / 1e6;
  plan.advice.push_back(
      {"Life", *plan.life_h < short_life_h ? Weighing::caution : Weighing::good,
       fmt::format("L10 = about {} million revolutions, L10h = about {} h (9 of 10 bearings reach "
                   "it) at {:.0f} N equivalent load, with C = {:g} N.{}",
                   about(revolutions), about(*plan.life_h), p.newtons, ratings->dynamic_n,
                   *plan.life_h < short_life_h
                       ? " Below 20 000 h (common practice) find the cause of the load."
                       : ""),
       "ISO 281; ratings: " + ratings->source +
           ", other manufacturers' values differ by several percent"});
  const double least = 0.01 * ratings->dynamic_n;
  if (p.newtons < least)
    plan.advice.push_back({"Minimum load", Weighing::caution,
                           fmt::format("{:.0f} N is below 1 % of C ({:.0f} N): the balls may skid.",
                                       p.newtons, least),
                           std::string{sources::catalogue_b}});
}

}  // namespace bearingdsp
