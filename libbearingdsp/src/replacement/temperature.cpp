#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "advisers.hpp"
#include "bearingdsp/replacement/temperature_limits.hpp"
#include "sources.hpp"

namespace bearingdsp {
namespace {

/// "polyamide 66 cage: -40 to 120 °C"
std::string limits_in_words(const PartLimit& l) {
  if (!l.highest_c) return l.words + ": ask the manufacturer";
  std::string text = l.lowest_c
                         ? fmt::format("{}: {:g} to {:g} °C", l.words, *l.lowest_c, *l.highest_c)
                         : fmt::format("{}: up to {:g} °C", l.words, *l.highest_c);
  if (l.briefly_c) text += fmt::format(", for a short time {:g} °C", *l.briefly_c);
  return text;
}

std::string with_remedy(std::string text, const PartLimit& l) {
  return l.remedy.empty() ? text + "." : text + "; " + l.remedy + ".";
}

/// What a part says of the bearing's temperature in service; nothing where it is within its limits.
std::optional<Advice> in_heat(const PartLimit& l, double celsius) {
  if (!l.highest_c || celsius <= *l.highest_c) return std::nullopt;
  const bool briefly = l.briefly_c && celsius <= *l.briefly_c;
  return Advice{"Temperature", briefly ? Weighing::caution : Weighing::wrong,
                with_remedy(fmt::format("{:g} °C is too hot for the {} ({}){}", celsius, l.part,
                                        limits_in_words(l),
                                        briefly ? " unless it lasts only a short time" : ""),
                            l),
                l.source};
}

std::optional<Advice> in_cold(const PartLimit& l, double celsius) {
  if (!l.lowest_c || celsius >= *l.lowest_c) return std::nullopt;
  const bool grease = l.part == "grease";
  return Advice{
      "Cold", grease ? Weighing::caution : Weighing::wrong,
      fmt::format("{:g} °C is too cold for the {} ({}).{}", celsius, l.part, limits_in_words(l),
                  grease ? " Stiff grease lets the elements skid and starve at the start: order a "
                           "grease for cold. The pour point of its oil should be 10 to 15 K below "
                           "the coldest start."
                         : " It becomes brittle or stiff: order other parts."),
      grease ? l.source + "; pour point: a grease seller's guide" : l.source};
}

std::string all_limits(const std::vector<PartLimit>& limits) {
  std::vector<std::string> words;
  words.reserve(limits.size());
  for (const PartLimit& l : limits) words.push_back(limits_in_words(l));
  return fmt::format("{}", fmt::join(words, "; "));
}

std::string all_sources(const std::vector<PartLimit>& limits) {
  std::vector<std::string> words;
  for (const PartLimit& l : limits)
    if (std::find(words.begin(), words.end(), l.source) == words.end()) words.push_back(l.source);
  return fmt::format("{}", fmt::join(words, "; "));
}

/// Parts whose limit is not in the table: it matters above 100 degrees C, which all others
/// withstand.
void unknown_parts(ReplacementPlan& p, const std::vector<PartLimit>& limits) {
  constexpr double always_c = 100;
  if (p.duty.bearing_c <= always_c) return;
  for (const PartLimit& l : limits)
    if (!l.highest_c)
      p.advice.push_back(not_judged(
          "Temperature",
          fmt::format("{:g} °C: the limit of the {} ({}) is not in these tables: ask the "
                      "manufacturer.",
                      p.duty.bearing_c, l.part, l.words),
          l.source));
}

}  // namespace

void advise_on_temperature(ReplacementPlan& p) {
  const auto limits = temperature_limits(p.facts.designation);
  if (!p.duty.bearing_c_known) {
    p.advice.push_back(
        {"Temperature", Weighing::note,
         fmt::format("Not judged: give the temperature of the bearing in service "
                     "(--temperature; {:g} °C is assumed for the grease). Limits: {}.",
                     p.duty.bearing_c, all_limits(limits)),
         all_sources(limits)});
  } else {
    const std::size_t before = p.advice.size();
    for (const PartLimit& l : limits)
      if (auto hot = in_heat(l, p.duty.bearing_c)) p.advice.push_back(std::move(*hot));
    unknown_parts(p, limits);
    if (p.advice.size() == before)
      p.advice.push_back(
          {"Temperature", Weighing::good,
           fmt::format("{:g} °C is within the limits: {}.", p.duty.bearing_c, all_limits(limits)),
           all_sources(limits)});
  }
  std::optional<double> coldest = p.duty.coldest_c;
  if (p.duty.bearing_c_known)
    coldest = std::min(coldest.value_or(p.duty.bearing_c), p.duty.bearing_c);
  if (!coldest) return;
  for (const PartLimit& l : limits)
    if (auto cold = in_cold(l, *coldest)) p.advice.push_back(std::move(*cold));
}

}  // namespace bearingdsp
