#include "bearingdsp/machine/limits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <utility>

#include "bearingdsp/machine/displacement.hpp"
#include "capture/plausible.hpp"

namespace bearingdsp {
namespace {

struct ZoneRow {
  double ab, bc, cd;  // mm/s rms
};

// [iso20816-3] annex A, tables A.1 (group 1) and A.2 (group 2), unchanged from [iso10816-3]:
// secondary, two guides agree. One other text prints 11.2 for 11.0.
constexpr ZoneRow group_1_rigid{2.3, 4.5, 7.1};
constexpr ZoneRow group_1_flexible{3.5, 7.1, 11.0};
constexpr ZoneRow group_2_rigid{1.4, 2.8, 4.5};
constexpr ZoneRow group_2_flexible{2.3, 4.5, 7.1};

// The same tables, micrometres rms: from memory (92 %).
constexpr ZoneRow group_1_rigid_um{29, 57, 90};
constexpr ZoneRow group_1_flexible_um{45, 90, 140};
constexpr ZoneRow group_2_rigid_um{22, 45, 71};
constexpr ZoneRow group_2_flexible_um{37, 71, 113};

// [iso10816-7] table A.1, mm/s rms, categories I and II, up to 200 kW and above: secondary, a
// one-page summary of the standard.
constexpr ZoneRow pump_1_small{2.5, 4.0, 6.6};
constexpr ZoneRow pump_1_large{3.5, 5.0, 7.6};
constexpr ZoneRow pump_2_small{3.2, 5.1, 8.5};
constexpr ZoneRow pump_2_large{4.2, 6.1, 9.5};
constexpr Kilowatts pump_from{1};
constexpr Kilowatts large_pump{200};

// [iso14694] table 5, in situ, mm/s rms: start-up, alarm, shutdown. BV-3 and BV-4: the values are
// read in a fan manufacturer's manual, the names of the categories are from memory (97 %). BV-5:
// from memory (85 %).
constexpr std::array<ZoneRow, 3> fans_rigid{{{4.5, 7.1, 9.0}, {2.8, 4.5, 7.1}, {1.8, 4.0, 5.6}}};
constexpr std::array<ZoneRow, 3> fans_flexible{
    {{6.3, 11.8, 12.5}, {4.5, 7.1, 11.2}, {2.8, 5.6, 7.1}}};
// Its scope, and the power up to which an industrial fan is BV-3 (edition 1996 of the matching
// US standard, read in an extract).
constexpr Kilowatts fan_up_to{300};
constexpr Kilowatts plain_fan_up_to{298};

// [iso10816-1] table B.1 (and ISO 2372), classes I to IV: secondary, two texts agree; C/D in one.
constexpr std::array<ZoneRow, 4> classes{
    {{0.71, 1.8, 4.5}, {1.12, 2.8, 7.1}, {1.8, 4.5, 11.2}, {2.8, 7.1, 18.0}}};
constexpr std::array<std::string_view, 4> class_names{"class I", "class II", "class III",
                                                      "class IV"};

// Scope of [iso20816-3].
constexpr Kilowatts min_power{15};
constexpr Kilowatts large_power{300};
constexpr Rpm min_speed{120};
constexpr Millimetres medium_height{160};
constexpr Millimetres large_height{315};
// Upper end of class II of [iso10816-1].
constexpr Kilowatts class_2_power{75};
// Up to it [iso20816-3] begins its band at 2 Hz (two texts agree) and counts the displacement too
// (from memory, 92 %); of pumps from memory.
constexpr Rpm slow{600};
constexpr Hz slow_band{2};
// Velocity is counted up to here.
constexpr Hz top_of_band{1000};

void set(ZoneLimits& limits, const ZoneRow& row) {
  limits.ab = mm_per_s_rms(row.ab);
  limits.bc = mm_per_s_rms(row.bc);
  limits.cd = mm_per_s_rms(row.cd);
}

Error needs_size(const Machine& m) {
  return {Errc::missing_metadata, fmt::format("machine '{}'", m.name),
          "neither power nor shaft height is known, so there is no class of vibration limits",
          "write power_kw or shaft_height_mm into the machine file"};
}

/// The speed the machine may run at, as slow as it may.
std::optional<Rpm> slowest(const Machine& m) {
  return m.speed_range ? std::optional<Rpm>{m.speed_range->lowest} : m.rated_speed;
}

/// Why the standard that begins at 15 kW does not cover the machine; empty if it does.
std::string out_of_scope(const Machine& m) {
  if (m.power && *m.power <= min_power)
    return fmt::format("begins above 15 kW; this machine has {:g} kW", m.power->value());
  if (!m.power && m.shaft_height && *m.shaft_height < medium_height)
    return fmt::format("begins at 160 mm shaft height; this motor has {:g} mm",
                       m.shaft_height->value());
  if (const auto speed = slowest(m); speed && *speed < min_speed)
    return fmt::format("begins at 120 rpm; this machine runs at {:g} rpm", speed->value());
  return {};
}

int group_of(const Machine& m) {
  if (m.shaft_height && *m.shaft_height >= medium_height)
    return *m.shaft_height >= large_height ? 1 : 2;
  return m.power && *m.power > large_power ? 1 : 2;
}

int class_of(const Machine& m) {
  if (m.power ? *m.power <= min_power : *m.shaft_height < medium_height) return 1;
  if (m.power ? *m.power <= class_2_power : *m.shaft_height < large_height) return 2;
  return m.mounting == Mounting::flexible ? 4 : 3;
}

bool is_slow(const Machine& m) {
  const auto speed = slowest(m);
  return speed && *speed <= slow;
}

void say_what_is_assumed(ZoneLimits& limits, const Machine& m) {
  const bool asks_support = limits.standard != SeverityStandard::iso10816_7 &&
                            limits.machine_class != class_names[0] &&
                            limits.machine_class != class_names[1];
  if (asks_support && m.mounting == Mounting::unknown)
    limits.assumptions.emplace_back(
        "the mounting is not known; it is assumed rigid, which has the lower limits");
  if (!is_slow(m)) return;
  if (limits.from == slow_band)
    limits.assumptions.emplace_back(
        "at 600 rpm and below the band begins at 2 Hz: sensor and recorder must measure down to it "
        "(many cut off at 10 or 20 Hz)");
  else
    limits.assumptions.emplace_back(
        "these limits count from 10 Hz: the 1x line of a slow machine may be left out");
}

Result<ZoneLimits> by_class(const Machine& m) {
  auto limits = class_limits(class_of(m));
  if (limits) say_what_is_assumed(*limits, m);
  return limits;
}

Result<ZoneLimits> by_group(const Machine& m, SeverityStandard standard) {
  auto limits = group_limits(group_of(m), m.mounting, standard);
  if (!limits) return limits;
  if (is_slow(m)) {
    limits->from = slow_band;
    limits->displacement = group_displacement_limits(group_of(m), m.mounting).value();
  }
  say_what_is_assumed(*limits, m);
  return limits;
}

/// Why the standard of pumps does not cover the machine; empty if it does.
std::string out_of_pump_scope(const Machine& m) {
  if (!m.power) return "needs the power of the pump, which is not known";
  if (*m.power <= pump_from)
    return fmt::format("begins above 1 kW; this pump has {:g} kW", m.power->value());
  return {};
}

ZoneLimits of_pump(const Machine& m) {
  ZoneLimits limits = pump_limits(m.pump_category, *m.power);
  if (m.pump_category == PumpCategory::unknown)
    limits.assumptions.emplace_back(
        "the category of the pump is not known; it is assumed to be I, which has the lower limits "
        "(pump_category)");
  limits.assumptions.emplace_back(
      "judged as a pump with more than 3 vanes. A motor behind a coupling: severity_standard = "
      "\"ISO 20816-3\"");
  if (is_slow(m)) {
    limits.from = slow_band;
    limits.displacement = pump_displacement_limits();
    limits.assumptions.emplace_back(
        "displacement from peak to peak as of one frequency, 2.83 x rms: several together may have "
        "more");
  }
  say_what_is_assumed(limits, m);
  return limits;
}

std::string out_of_fan_scope(const Machine& m) {
  if (m.power && *m.power > fan_up_to)
    return fmt::format("ends at 300 kW; this fan has {:g} kW", m.power->value());
  return {};
}

Result<ZoneLimits> of_fan(const Machine& m) {
  const bool known = m.fan_category != FanCategory::unknown;
  const FanCategory usual =
      m.power && *m.power > plain_fan_up_to ? FanCategory::bv4 : FanCategory::bv3;
  auto limits = fan_limits(known ? m.fan_category : usual, m.mounting);
  if (!limits) return limits;
  if (!known)
    limits->assumptions.push_back(
        fmt::format("the category of the fan is not known; it is assumed to be an industrial fan, "
                    "{} (fan_category)",
                    limits->machine_class));
  limits->assumptions.emplace_back(
      "judged as a fan: its own bearings, or the motor's where the impeller is on the motor shaft. "
      "A motor behind a coupling or belt: severity_standard = \"ISO 20816-3\"");
  say_what_is_assumed(*limits, m);
  return limits;
}

/// The standard of the driven machine, where it covers it; `note` says why not where it does not.
std::optional<Result<ZoneLimits>> by_driven(const Machine& m, std::string& note) {
  const bool automatic = m.severity_standard == SeverityStandard::automatic;
  const bool pump = m.severity_standard == SeverityStandard::iso10816_7 ||
                    (automatic && m.driven == DrivenMachine::pump);
  const bool fan = m.severity_standard == SeverityStandard::iso14694 ||
                   (automatic && m.driven == DrivenMachine::fan);
  if (!pump && !fan) return std::nullopt;
  const std::string outside = pump ? out_of_pump_scope(m) : out_of_fan_scope(m);
  const std::string_view standard =
      words(pump ? SeverityStandard::iso10816_7 : SeverityStandard::iso14694);
  if (outside.empty()) return pump ? Result<ZoneLimits>{of_pump(m)} : of_fan(m);
  if (automatic) {
    note = fmt::format("{} {}", standard, outside);
    return std::nullopt;
  }
  return Result<ZoneLimits>{Error{Errc::bad_argument, fmt::format("machine '{}'", m.name),
                                  fmt::format("{} {}", standard, outside),
                                  "remove severity_standard, or use another"}};
}

/// Empty if there is one.
std::string why_no_zone(const KnownLimits& limits, const MeasuredVelocity& m) {
  const bool known_unit = m.unit == SampleUnit::acceleration || m.unit == SampleUnit::velocity ||
                          m.unit == SampleUnit::displacement;
  if (!known_unit)
    return "the signal has no unit; write unit (of audio with full_scale) or sensitivity_mv_per_g "
           "of "
           "the point";
  if (m.rate < 2 * top_of_band)
    return fmt::format("recorded only up to {:g} Hz, the limits apply up to 1000 Hz",
                       m.rate.value() / 2);
  if (!m.rms)
    return fmt::format("the recording is too short for a velocity from {:g} Hz", m.from.value());
  if (m.rms->value() > capture_detail::max_plausible_velocity)
    return fmt::format(
        "{:.4g} mm/s rms is too high for any machine: check unit, sensitivity and full scale",
        in_mm_per_s_rms(*m.rms));
  if (limits.zones && limits.zones->from < m.from)
    return fmt::format(
        "the velocity was measured from {:g} Hz, the limits of this slow machine count from {:g} "
        "Hz: analyse the recording again with the machine file",
        m.from.value(), limits.zones->from.value());
  if (limits.zones) return {};
  return limits.why_none.empty() ? "the machine's nameplate is not known" : limits.why_none;
}

struct NoLoadRow {
  double um, mm_s, m_s2;
};
// [iec60034-14] edition 2003 table 1: confirmed in a motor manufacturer's paper and a motor manual.
// Columns: 56 to 132 mm, above 132 to 280 mm, above 280 mm.
constexpr std::array<NoLoadRow, 3> grade_a_free{{{25, 1.6, 2.5}, {35, 2.2, 3.5}, {45, 2.8, 4.4}}};
constexpr std::array<NoLoadRow, 3> grade_a_rigid{{{21, 1.3, 2.0}, {29, 1.8, 2.8}, {37, 2.3, 3.6}}};
constexpr std::array<NoLoadRow, 3> grade_b_free{{{11, 0.7, 1.1}, {18, 1.1, 1.7}, {29, 1.8, 2.8}}};
constexpr std::array<NoLoadRow, 3> grade_b_rigid{{{0, 0, 0}, {14, 0.9, 1.4}, {24, 1.5, 2.4}}};
constexpr std::array<std::string_view, 3> height_names{"56 to 132 mm", "above 132 to 280 mm",
                                                       "above 280 mm"};

// [nema-mg1] part 7 table 7-1, resilient mount: confirmed in an article. rpm, mm/s peak.
constexpr std::array<std::pair<double, double>, 4> nema_rows{
    {{600, 2.0}, {720, 2.3}, {900, 3.0}, {1200, 3.8}}};
constexpr double nema_rigid = 0.8;
constexpr double nema_displacement = 63.5e-6;  // m peak to peak, 2.5 mil

double nema_resilient_mm_s(double rpm) {
  if (rpm >= nema_rows.back().first) return nema_rows.back().second;
  for (std::size_t i = 1; i < nema_rows.size(); ++i) {
    const auto [low, at_low] = nema_rows[i - 1];
    const auto [high, at_high] = nema_rows[i];
    if (rpm < low || rpm >= high) continue;
    return at_low + (at_high - at_low) * (rpm - low) / (high - low);
  }
  const double at_speed = std::numbers::pi * (rpm / 60) * nema_displacement * 1e3;
  return std::min(at_speed, nema_rows.front().second);
}

}  // namespace

std::string_view token(Zone zone) noexcept {
  constexpr std::array<std::string_view, 4> names{"A", "B", "C", "D"};
  return names.at(static_cast<std::size_t>(zone));
}

std::string_view meaning(Zone zone) noexcept {
  switch (zone) {
    case Zone::a:
      return "like a newly commissioned machine";
    case Zone::b:
      return "acceptable for long-term operation";
    case Zone::c:
      return "too much for long-term operation";
    case Zone::d:
      return "severe enough to cause damage";
  }
  return "";
}

namespace {

template <class Level, class Limits>
Zone zone_between(Level level, const Limits& limits) noexcept {
  if (level <= limits.ab) return Zone::a;
  if (level <= limits.bc) return Zone::b;
  return level <= limits.cd ? Zone::c : Zone::d;
}

}  // namespace

Zone zone_of(VelocityRms velocity, const ZoneLimits& limits) noexcept {
  return zone_between(velocity, limits);
}

Zone zone_of(DisplacementRms displacement, const DisplacementLimits& limits) noexcept {
  return zone_between(displacement, limits);
}

Result<DisplacementLimits> group_displacement_limits(int group, Mounting support) {
  if (group != 1 && group != 2) return group_limits(group, support).error();
  const bool flexible = support == Mounting::flexible;
  const ZoneRow& row = group == 1 ? (flexible ? group_1_flexible_um : group_1_rigid_um)
                                  : (flexible ? group_2_flexible_um : group_2_rigid_um);
  const auto um = [](double v) { return DisplacementRms{v * 1e-6}; };
  return DisplacementLimits{um(row.ab), um(row.bc), um(row.cd), "from memory (92 %), not checked"};
}

ZoneLimits pump_limits(PumpCategory category, Kilowatts power) {
  const bool general = category == PumpCategory::two;
  const bool large = power > large_pump;
  ZoneLimits limits;
  limits.standard = SeverityStandard::iso10816_7;
  limits.machine_class =
      fmt::format("pump, category {}, {} 200 kW", general ? "II" : "I", large ? "above" : "up to");
  set(limits,
      general ? (large ? pump_2_large : pump_2_small) : (large ? pump_1_large : pump_1_small));
  limits.edition = "ISO 10816-7:2009, table A.1";
  limits.status = "read in a one-page summary of the standard, not in the standard";
  return limits;
}

Result<ZoneLimits> fan_limits(FanCategory category, Mounting support) {
  if (category == FanCategory::unknown)
    return Error{Errc::bad_argument, "fan category", "is not known", "give BV-1 to BV-5"};
  const auto number = static_cast<std::size_t>(category);
  if (category == FanCategory::bv1 || category == FanCategory::bv2)
    return Error{
        Errc::not_found, "ISO 14694",
        fmt::format("leaves the shutdown value of BV-{} to experience, so it has no zones", number),
        "compare with your own baseline, or write severity_standard = \"ISO 20816-3\""};
  const bool flexible = support == Mounting::flexible;
  ZoneLimits limits;
  limits.standard = SeverityStandard::iso14694;
  limits.machine_class =
      fmt::format("fan, BV-{}, {} support", number, flexible ? "flexible" : "rigid");
  set(limits, (flexible ? fans_flexible : fans_rigid).at(number - 3));
  limits.edition = "ISO 14694:2003, in situ: start-up, alarm, shutdown";
  limits.status = category == FanCategory::bv5
                      ? "from memory (85 %), not checked"
                      : "values read in a fan manufacturer's manual, category from memory (97 %)";
  return limits;
}

Result<ZoneLimits> group_limits(int group, Mounting support, SeverityStandard standard) {
  if (group != 1 && group != 2)
    return Error{Errc::bad_argument, "machine group", fmt::format("{} does not exist", group),
                 "give 1 (large) or 2 (medium)"};
  const bool flexible = support == Mounting::flexible;
  ZoneLimits limits;
  limits.standard = standard == SeverityStandard::iso10816_3 ? SeverityStandard::iso10816_3
                                                             : SeverityStandard::iso20816_3;
  limits.machine_class =
      fmt::format("group {}, {} support", group, flexible ? "flexible" : "rigid");
  if (group == 1)
    set(limits, flexible ? group_1_flexible : group_1_rigid);
  else
    set(limits, flexible ? group_2_flexible : group_2_rigid);
  limits.edition = limits.standard == SeverityStandard::iso10816_3
                       ? fmt::format("ISO 10816-3:2009, table A.{} (superseded)", group)
                       : fmt::format("ISO 20816-3:2022, table A.{}", group);
  limits.status = "read in two guides to the standard, not in the standard";
  return limits;
}

Result<ZoneLimits> class_limits(int machine_class) {
  if (machine_class < 1 || machine_class > static_cast<int>(classes.size()))
    return Error{Errc::bad_argument, "machine class",
                 fmt::format("{} does not exist", machine_class), "give 1 to 4"};
  const auto i = static_cast<std::size_t>(machine_class - 1);
  ZoneLimits limits;
  limits.standard = SeverityStandard::iso10816_1;
  limits.machine_class = class_names.at(i);
  set(limits, classes.at(i));
  limits.edition = "ISO 10816-1:1995, table B.1 (superseded)";
  limits.status = "read in texts that quote the standard, not in the standard";
  return limits;
}

Result<ZoneLimits> zone_limits(const Machine& m) {
  std::string note;
  if (auto driven = by_driven(m, note)) return std::move(*driven);
  if (!m.power && !m.shaft_height) return needs_size(m);
  if (!note.empty()) {
    Machine alone = m;
    alone.driven = DrivenMachine::other;
    auto limits = zone_limits(alone);
    if (limits) limits->assumptions.push_back(note);
    return limits;
  }
  if (m.severity_standard == SeverityStandard::iso10816_1) return by_class(m);
  const std::string outside = out_of_scope(m);
  if (outside.empty()) return by_group(m, m.severity_standard);
  if (m.severity_standard == SeverityStandard::automatic) {
    auto limits = by_class(m);
    if (limits) limits->assumptions.push_back("ISO 20816-3 " + outside);
    return limits;
  }
  return Error{Errc::bad_argument, fmt::format("machine '{}'", m.name),
               fmt::format("{} {}", words(m.severity_standard), outside),
               "remove severity_standard, or use ISO 10816-1"};
}

Hz velocity_from(const Machine& machine) {
  const auto limits = zone_limits(machine);
  return limits ? limits->from : ZoneLimits{}.from;
}

KnownLimits known_limits(const Machine& machine) {
  auto zones = zone_limits(machine);
  if (zones) return {std::move(*zones), {}};
  return {{}, fmt::format("{}; {}", zones.error().what, zones.error().advice)};
}

VelocityJudgement judge_velocity(const KnownLimits& limits, const MeasuredVelocity& m) {
  VelocityJudgement j;
  j.velocity = m.rms;
  j.limits = limits.zones;
  j.from = m.from;
  j.displacement = m.displacement;
  j.why_not = why_no_zone(limits, m);
  if (!j.why_not.empty()) return j;
  j.velocity_zone = zone_of(*m.rms, *limits.zones);
  j.zone = j.velocity_zone;
  if (m.displacement && limits.zones->displacement) {
    j.displacement_zone = zone_of(*m.displacement, *limits.zones->displacement);
    j.zone = std::max(*j.velocity_zone, *j.displacement_zone);
  }
  return j;
}

Result<NoLoadLimits> iec_no_load_limits(Millimetres shaft_height, Mounting mounting,
                                        VibrationGrade grade) {
  const double h = shaft_height.value();
  if (!(h >= 56))
    return Error{Errc::not_found, "IEC 60034-14", fmt::format("has no limit for {:g} mm", h),
                 "it begins at 56 mm shaft height: ask the manufacturer"};
  const bool flexible = mounting == Mounting::flexible;
  const std::size_t column = h <= 132 ? 0 : h <= 280 ? 1 : 2;
  const auto& rows = grade == VibrationGrade::a ? (flexible ? grade_a_free : grade_a_rigid)
                                                : (flexible ? grade_b_free : grade_b_rigid);
  const NoLoadRow& row = rows.at(column);
  if (!(row.mm_s > 0))
    return Error{Errc::not_found, "IEC 60034-14",
                 "has no value for grade B up to 132 mm on a rigid mounting",
                 "measure in free suspension, or use grade A"};
  NoLoadLimits limits;
  limits.displacement = DisplacementRms{row.um * 1e-6};
  limits.velocity = mm_per_s_rms(row.mm_s);
  limits.acceleration = AccelerationRms{row.m_s2};
  limits.words =
      fmt::format("grade {}, {}, shaft height {}", grade == VibrationGrade::a ? "A" : "B",
                  flexible ? "free suspension" : "rigid mounting", height_names.at(column));
  limits.source = "IEC 60034-14:2003, table 1, as printed by two manufacturers";
  return limits;
}

Result<VelocityPeak> nema_no_load_limit(Rpm speed, Mounting mounting) {
  if (!(speed > Rpm{0} && std::isfinite(speed.value())))
    return Error{Errc::bad_argument, "speed", "is not above zero", "give the speed at no load"};
  const double resilient = nema_resilient_mm_s(speed.value());
  return mm_per_s_peak(mounting == Mounting::flexible ? resilient : nema_rigid * resilient);
}

}  // namespace bearingdsp
