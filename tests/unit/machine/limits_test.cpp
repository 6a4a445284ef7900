#include "bearingdsp/machine/limits.hpp"

#include <doctest/doctest.h>

#include <numbers>
#include <string>

#include "support/close.hpp"

using namespace bearingdsp;

namespace {

Machine motor(double kw, double height = 0, Mounting mounting = Mounting::rigid) {
  Machine m;
  m.name = "m";
  if (kw > 0) m.power = Kilowatts{kw};
  if (height > 0) m.shaft_height = Millimetres{height};
  m.mounting = mounting;
  return m;
}

bool has_limits(const ZoneLimits& l, double ab, double bc, double cd) {
  return test::close_rel(in_mm_per_s_rms(l.ab), ab, 1e-12) &&
         test::close_rel(in_mm_per_s_rms(l.bc), bc, 1e-12) &&
         test::close_rel(in_mm_per_s_rms(l.cd), cd, 1e-12);
}

bool mentions(const std::vector<std::string>& list, const std::string& word) {
  for (const auto& text : list)
    if (text.find(word) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("limits: zones of groups 1 and 2 [src:iso20816-3 tables A.1 and A.2, secondary]") {
  CHECK(has_limits(*group_limits(1, Mounting::rigid), 2.3, 4.5, 7.1));
  CHECK(has_limits(*group_limits(1, Mounting::flexible), 3.5, 7.1, 11.0));
  CHECK(has_limits(*group_limits(2, Mounting::rigid), 1.4, 2.8, 4.5));
  CHECK(has_limits(*group_limits(2, Mounting::flexible), 2.3, 4.5, 7.1));
  CHECK(has_limits(*group_limits(2, Mounting::unknown), 1.4, 2.8, 4.5));
  CHECK_FALSE(group_limits(3, Mounting::rigid));
  CHECK_FALSE(group_limits(0, Mounting::rigid));
}

TEST_CASE("limits: zones of classes I to IV [src:iso10816-1 table B.1, secondary]") {
  CHECK(has_limits(*class_limits(1), 0.71, 1.8, 4.5));
  CHECK(has_limits(*class_limits(2), 1.12, 2.8, 7.1));
  CHECK(has_limits(*class_limits(3), 1.8, 4.5, 11.2));
  CHECK(has_limits(*class_limits(4), 2.8, 7.1, 18));
  CHECK_FALSE(class_limits(0));
  CHECK_FALSE(class_limits(5));
}

TEST_CASE("limits: a velocity on a boundary is in the better zone, just above it in the next") {
  const auto limits = group_limits(2, Mounting::rigid).value();
  const auto zone = [&](double v) { return zone_of(mm_per_s_rms(v), limits); };
  CHECK(zone(0) == Zone::a);
  CHECK(zone(1.4) == Zone::a);
  CHECK(zone(1.4001) == Zone::b);
  CHECK(zone(2.8) == Zone::b);
  CHECK(zone(2.8001) == Zone::c);
  CHECK(zone(4.5) == Zone::c);
  CHECK(zone(4.5001) == Zone::d);
}

TEST_CASE(
    "limits: the class follows from shaft height, power and mounting [src:iso20816-3 scope]") {
  struct Case {
    Machine machine;
    const char* machine_class;
  };
  for (const auto& [m, machine_class] : {
           Case{motor(15), "class I"},
           Case{motor(15.1), "group 2, rigid support"},
           Case{motor(300), "group 2, rigid support"},
           Case{motor(301), "group 1, rigid support"},
           Case{motor(30, 0, Mounting::flexible), "group 2, flexible support"},
           Case{motor(250, 315), "group 1, rigid support"},  // the height decides
           Case{motor(350, 280), "group 2, rigid support"},
           Case{motor(18.5, 132), "group 2, rigid support"},
           Case{motor(11, 160), "class I"},
           Case{motor(0, 159), "class I"},
           Case{motor(0, 160), "group 2, rigid support"},
           Case{motor(0, 315), "group 1, rigid support"},
       }) {
    const auto limits = zone_limits(m);
    REQUIRE(limits);
    INFO(limits->edition);
    CHECK(limits->machine_class == machine_class);
  }
  CHECK(zone_limits(Machine{}).error().code == Errc::missing_metadata);
}

TEST_CASE("limits: what was taken for granted is said") {
  CHECK(zone_limits(motor(30))->assumptions.empty());
  CHECK(mentions(zone_limits(motor(30, 0, Mounting::unknown))->assumptions, "assumed rigid"));
  CHECK(mentions(zone_limits(motor(7.5))->assumptions, "begins above 15 kW"));
  Machine slow = motor(30);
  slow.rated_speed = Rpm{585};
  CHECK(mentions(zone_limits(slow)->assumptions, "begins at 2 Hz"));
  slow.power = Kilowatts{11};
  CHECK(mentions(zone_limits(slow)->assumptions, "from 10 Hz"));
  slow.power = Kilowatts{30};
  slow.rated_speed = Rpm{100};
  CHECK(zone_limits(slow)->standard == SeverityStandard::iso10816_1);
  CHECK(mentions(zone_limits(slow)->assumptions, "begins at 120 rpm"));
}

TEST_CASE("limits: a site may keep a superseded standard, within its scope") {
  Machine m = motor(30);
  m.severity_standard = SeverityStandard::iso10816_3;
  CHECK(zone_limits(m)->edition.find("ISO 10816-3:2009") == 0);
  m.severity_standard = SeverityStandard::iso10816_1;
  CHECK(zone_limits(m)->machine_class == "class II");
  m.power = Kilowatts{75.5};
  CHECK(zone_limits(m)->machine_class == "class III");
  m.mounting = Mounting::flexible;
  CHECK(zone_limits(m)->machine_class == "class IV");
  m.power = Kilowatts{7.5};
  m.severity_standard = SeverityStandard::iso20816_3;
  const auto outside = zone_limits(m);
  REQUIRE_FALSE(outside);
  CHECK(outside.error().message() ==
        "machine 'm': ISO 20816-3 begins above 15 kW; this machine has 7.5 kW; remove "
        "severity_standard, or use ISO 10816-1");
}

TEST_CASE(
    "limits: up to 600 rpm from 2 Hz, and the displacement counts too [src:iso20816-3 tables "
    "A.1 and A.2, displacement from memory 92 %]") {
  const auto um = [](int group, Mounting support, double ab, double bc, double cd) {
    const auto d = group_displacement_limits(group, support).value();
    CHECK(test::close_rel(1e6 * d.ab.value(), ab, 1e-12));
    CHECK(test::close_rel(1e6 * d.bc.value(), bc, 1e-12));
    CHECK(test::close_rel(1e6 * d.cd.value(), cd, 1e-12));
    CHECK(d.status.find("memory") != std::string::npos);
  };
  um(1, Mounting::rigid, 29, 57, 90);
  um(1, Mounting::flexible, 45, 90, 140);
  um(2, Mounting::rigid, 22, 45, 71);
  um(2, Mounting::flexible, 37, 71, 113);
  CHECK_FALSE(group_displacement_limits(3, Mounting::rigid));

  Machine m = motor(30);
  m.rated_speed = Rpm{601};
  CHECK_FALSE(zone_limits(m)->displacement);
  CHECK(velocity_from(m) == Hz{10});
  m.rated_speed = Rpm{600};
  CHECK(zone_limits(m)->displacement == group_displacement_limits(2, Mounting::rigid).value());
  CHECK(velocity_from(m) == Hz{2});
  // The slowest speed in service counts.
  m.rated_speed = Rpm{1480};
  m.speed_range = SpeedRange{Rpm{300}, Rpm{1480}};
  CHECK(velocity_from(m) == Hz{2});
  CHECK(velocity_from(Machine{}) == Hz{10});
}

TEST_CASE(
    "limits: of a slow machine the worse of velocity and displacement counts [src:iso20816-3, "
    "memory 92 %]") {
  Machine slow = motor(30);
  slow.rated_speed = Rpm{300};
  const KnownLimits limits = known_limits(slow);
  MeasuredVelocity m{mm_per_s_rms(1), SampleUnit::acceleration, Hz{25600}};
  // Measured from 10 Hz, it is not what the limits count.
  CHECK_FALSE(judge_velocity(limits, m).zone);
  CHECK(judge_velocity(limits, m).why_not.find("from 10 Hz") != std::string::npos);
  m.from = Hz{2};
  CHECK(judge_velocity(limits, m).zone == Zone::a);
  const auto with = [&](double um) {
    m.displacement = DisplacementRms{um * 1e-6};
    return judge_velocity(limits, m);
  };
  CHECK(with(22).zone == Zone::a);
  CHECK(with(22.1).zone == Zone::b);
  CHECK(with(45.1).zone == Zone::c);
  CHECK(with(45.1).velocity_zone == Zone::a);
  CHECK(with(71.1).zone == Zone::d);
  m.rms = mm_per_s_rms(5);
  CHECK(with(1).zone == Zone::d);
  CHECK(with(1).displacement_zone == Zone::a);
}

TEST_CASE("limits: pumps [src:iso10816-7 table A.1, secondary]") {
  CHECK(has_limits(pump_limits(PumpCategory::one, Kilowatts{200}), 2.5, 4.0, 6.6));
  CHECK(has_limits(pump_limits(PumpCategory::one, Kilowatts{201}), 3.5, 5.0, 7.6));
  CHECK(has_limits(pump_limits(PumpCategory::two, Kilowatts{200}), 3.2, 5.1, 8.5));
  CHECK(has_limits(pump_limits(PumpCategory::two, Kilowatts{201}), 4.2, 6.1, 9.5));
  CHECK(has_limits(pump_limits(PumpCategory::unknown, Kilowatts{30}), 2.5, 4.0, 6.6));

  Machine m = motor(30);
  m.driven = DrivenMachine::pump;
  CHECK(zone_limits(m)->standard == SeverityStandard::iso10816_7);
  CHECK(zone_limits(m)->edition.find("ISO 10816-7:2009") == 0);
  CHECK(mentions(zone_limits(m)->assumptions, "assumed to be I"));
  m.pump_category = PumpCategory::two;
  CHECK(zone_limits(m)->machine_class == "pump, category II, up to 200 kW");
  CHECK_FALSE(mentions(zone_limits(m)->assumptions, "assumed to be I"));
  CHECK_FALSE(zone_limits(m)->displacement);
  // The site may say that it is the motor behind a coupling.
  m.severity_standard = SeverityStandard::iso20816_3;
  CHECK(zone_limits(m)->machine_class == "group 2, rigid support");
  m.severity_standard = SeverityStandard::automatic;
  m.power = Kilowatts{1};
  CHECK(zone_limits(m)->machine_class == "class I");
  CHECK(mentions(zone_limits(m)->assumptions, "ISO 10816-7 begins above 1 kW"));
  m.power.reset();
  m.shaft_height = Millimetres{160};
  CHECK(zone_limits(m)->standard == SeverityStandard::iso20816_3);
  m.severity_standard = SeverityStandard::iso10816_7;
  CHECK(zone_limits(m).error().code == Errc::bad_argument);
}

TEST_CASE("limits: fans [src:iso14694 table 5, BV-3 and BV-4 secondary, BV-5 memory]") {
  const auto is = [](FanCategory c, Mounting s, double ab, double bc, double cd) {
    return has_limits(fan_limits(c, s).value(), ab, bc, cd);
  };
  using enum Mounting;
  CHECK(is(FanCategory::bv3, rigid, 4.5, 7.1, 9.0));
  CHECK(is(FanCategory::bv3, flexible, 6.3, 11.8, 12.5));
  CHECK(is(FanCategory::bv4, rigid, 2.8, 4.5, 7.1));
  CHECK(is(FanCategory::bv4, flexible, 4.5, 7.1, 11.2));
  CHECK(is(FanCategory::bv5, rigid, 1.8, 4.0, 5.6));
  CHECK(is(FanCategory::bv5, flexible, 2.8, 5.6, 7.1));
  CHECK(fan_limits(FanCategory::bv5, rigid)->status.find("memory") != std::string::npos);
  // Shutdown by experience: no zones.
  CHECK(fan_limits(FanCategory::bv1, rigid).error().code == Errc::not_found);
  CHECK(fan_limits(FanCategory::bv2, rigid).error().code == Errc::not_found);
  CHECK(fan_limits(FanCategory::unknown, rigid).error().code == Errc::bad_argument);

  Machine m = motor(30);
  m.driven = DrivenMachine::fan;
  CHECK(zone_limits(m)->machine_class == "fan, BV-3, rigid support");
  CHECK(mentions(zone_limits(m)->assumptions, "industrial fan"));
  m.power = Kilowatts{299};
  CHECK(zone_limits(m)->machine_class == "fan, BV-4, rigid support");
  m.power = Kilowatts{301};
  CHECK(zone_limits(m)->standard == SeverityStandard::iso20816_3);
  CHECK(mentions(zone_limits(m)->assumptions, "ISO 14694 ends at 300 kW"));
  m.power = Kilowatts{30};
  m.fan_category = FanCategory::bv2;
  CHECK(known_limits(m).why_none.find("experience") != std::string::npos);
}

TEST_CASE("limits: no load by shaft height [src:iec60034-14 edition 2003 table 1, confirmed]") {
  const auto is = [](double h, Mounting mount, VibrationGrade grade, double um, double mm_s,
                     double m_s2) {
    const auto l = iec_no_load_limits(Millimetres{h}, mount, grade);
    return l && test::close_rel(1e6 * l->displacement.value(), um, 1e-12) &&
           test::close_rel(in_mm_per_s_rms(l->velocity), mm_s, 1e-12) &&
           l->acceleration == AccelerationRms{m_s2};
  };
  using enum Mounting;
  using enum VibrationGrade;
  CHECK(is(56, flexible, a, 25, 1.6, 2.5));
  CHECK(is(132, flexible, a, 25, 1.6, 2.5));
  CHECK(is(132.5, flexible, a, 35, 2.2, 3.5));
  CHECK(is(280, flexible, a, 35, 2.2, 3.5));
  CHECK(is(280.5, flexible, a, 45, 2.8, 4.4));
  CHECK(is(90, rigid, a, 21, 1.3, 2.0));
  CHECK(is(160, unknown, a, 29, 1.8, 2.8));
  CHECK(is(315, rigid, a, 37, 2.3, 3.6));
  CHECK(is(90, flexible, b, 11, 0.7, 1.1));
  CHECK(is(200, flexible, b, 18, 1.1, 1.7));
  CHECK(is(315, flexible, b, 29, 1.8, 2.8));
  CHECK(is(200, rigid, b, 14, 0.9, 1.4));
  CHECK(is(315, rigid, b, 24, 1.5, 2.4));
  CHECK_FALSE(iec_no_load_limits(Millimetres{132}, rigid, b));
  CHECK_FALSE(iec_no_load_limits(Millimetres{55.9}, rigid));
}

TEST_CASE("limits: no load by speed, peak velocity [src:nema-mg1 part 7 table 7-1, confirmed]") {
  const auto mm_s = [](double rpm, Mounting mount) {
    return in_mm_per_s_peak(nema_no_load_limit(Rpm{rpm}, mount).value());
  };
  using enum Mounting;
  for (const double rpm : {1200.0, 1800.0, 3600.0})
    CHECK(test::close_rel(mm_s(rpm, flexible), 3.8, 1e-12));
  CHECK(test::close_rel(mm_s(900, flexible), 3.0, 1e-12));
  CHECK(test::close_rel(mm_s(720, flexible), 2.3, 1e-12));
  CHECK(test::close_rel(mm_s(600, flexible), 2.0, 1e-12));
  CHECK(test::close_rel(mm_s(1800, rigid), 0.8 * 3.8, 1e-12));
  CHECK(test::close_rel(mm_s(1800, unknown), 0.8 * 3.8, 1e-12));
  // 63.5 um peak to peak at 5 Hz: pi f D (closed form)
  CHECK(test::close_rel(mm_s(300, flexible), std::numbers::pi * 5 * 0.0635, 1e-12));
  CHECK_FALSE(nema_no_load_limit(Rpm{0}, rigid));
  CHECK_FALSE(nema_no_load_limit(Rpm{-5}, rigid));
}

TEST_CASE("limits: a velocity is judged, or one line says why not") {
  const KnownLimits group{*group_limits(2, Mounting::rigid), {}};
  MeasuredVelocity m{mm_per_s_rms(3), SampleUnit::acceleration, Hz{25600}};
  const VelocityJudgement c = judge_velocity(group, m);
  CHECK(c.zone == Zone::c);  // 2.8 < 3 <= 4.5
  CHECK(c.why_not.empty());
  CHECK(c.limits == group.zones);

  const KnownLimits none = known_limits(motor(0));
  CHECK_FALSE(none.zones);
  CHECK(judge_velocity(none, m).why_not == none.why_none);
  CHECK_FALSE(judge_velocity(none, m).zone);

  CHECK(judge_velocity(KnownLimits{}, m).why_not.find("nameplate") != std::string::npos);

  m.rate = Hz{1999};
  CHECK(judge_velocity(group, m).why_not.find("limits apply up to 1000 Hz") != std::string::npos);
  m.rate = Hz{2000};
  CHECK(judge_velocity(group, m).zone == Zone::c);
  m.rms = mm_per_s_rms(1900);
  CHECK(judge_velocity(group, m).zone == Zone::d);
  m.rms = mm_per_s_rms(2100);
  CHECK_FALSE(judge_velocity(group, m).zone);
  CHECK(judge_velocity(group, m).why_not.find("too high for any machine") != std::string::npos);
  m.rms.reset();
  CHECK(judge_velocity(group, m).why_not.find("too short") != std::string::npos);
  m.unit = SampleUnit::volt;
  CHECK(judge_velocity(group, m).why_not.find("sensitivity_mv_per_g") != std::string::npos);
}
