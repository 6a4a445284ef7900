#include <fmt/format.h>

#include <string>

#include "bearingdsp/machine/displacement.hpp"
#include "bearingdsp/report/model.hpp"
#include "report/sections.hpp"

namespace bearingdsp {
namespace {

std::string other_end_text(const OtherEnd& o) {
  if (!o.tells_apart)
    return fmt::format(
        "{}, with the same defect frequencies: only a recording at the {} tells which of the two "
        "it is",
        o.bearing, words(o.end));
  if (o.verdict == Verdict::fault)
    return fmt::format("{}, seen from here: damaged, {} ({})", o.bearing, words(o.place),
                       percent(o.probability_of_damage));
  return fmt::format("{}, seen from here: {}", o.bearing, words(o.verdict));
}

}  // namespace

std::string limits_text(const ZoneLimits& l) {
  std::string text =
      fmt::format("A up to {:g}, B up to {:g}, C up to {:g} mm/s, D above", in_mm_per_s_rms(l.ab),
                  in_mm_per_s_rms(l.bc), in_mm_per_s_rms(l.cd));
  if (l.displacement)
    text += fmt::format("; {}, and the worse zone counts", displacement_limit_words(l));
  return fmt::format("{}; {}, {}", text, l.machine_class, l.edition);
}

std::string limits_status(const ZoneLimits& l) {
  if (!l.displacement) return l.status;
  return fmt::format("velocity {}; displacement {}", l.status, l.displacement->status);
}

ReportSection machine_section(const DiagnosedMachine& m) {
  ReportSection s;
  s.id = "machine";
  s.title = "The machine";
  s.figures.push_back(
      {"Machine", m.description.empty() ? m.machine : m.machine + ": " + m.description});
  s.figures.push_back({"Point", fmt::format("{}, at the {} bearing{}{}", m.point, words(m.end),
                                            m.bearing.empty() ? ", not known" : " ", m.bearing)});
  s.figures.push_back({"Vibration", vibration_words(m.vibration)});
  if (const auto& l = m.vibration.limits; l && m.vibration.zone) {
    s.figures.push_back({"Limits", limits_text(*l)});
    s.figures.push_back({"Source of the limits", limits_status(*l)});
  }
  if (m.other_end)
    s.figures.push_back(
        {fmt::format("Other end ({})", words(m.other_end->end)), other_end_text(*m.other_end)});
  s.notes.push_back(fmt::format("From {}.", m.where));
  return s;
}

}  // namespace bearingdsp
