#include "simulate/check.hpp"

#include <fmt/format.h>

#include <cmath>

#include "simulate/motion.hpp"

namespace bearingdsp::simulation {
namespace {

/// Collects the first field that is out of range.
class Checker {
 public:
  void between(std::string_view field, double v, double low, double high) {
    if (!error_.what.empty() || (v >= low && v <= high)) return;
    fail(field, fmt::format("{:g} is out of range", v),
         fmt::format("give a number from {:g} to {:g}", low, high));
  }
  void positive(std::string_view field, double v, double high) {
    if (!error_.what.empty() || (v > 0 && v <= high)) return;
    fail(field, fmt::format("{:g} is out of range", v),
         fmt::format("give a number above 0, up to {:g}", high));
  }
  void level(std::string_view field, double v) { between(field, v, 0, 1e9); }
  void fail(std::string_view field, std::string what, std::string advice) {
    if (error_.what.empty())
      error_ = Error{Errc::bad_argument, fmt::format("simulation plan: {}", field), std::move(what),
                     std::move(advice)};
  }
  [[nodiscard]] bool ok() const { return error_.what.empty(); }
  [[nodiscard]] const Error& error() const { return error_; }

 private:
  Error error_;
};

void check_orders(Checker& c, std::string_view field, const DefectOrders& o) {
  for (const double k : {o.bpfo.value(), o.bpfi.value(), o.bsf.value(), o.ftf.value()})
    if (!(k > 0 && k < 1e4))
      c.fail(field, fmt::format("defect order {:g} is out of range", k),
             "give four orders above 0 and below 10000");
}

void check_defect(Checker& c, const SimulationPlan& plan, std::size_t i) {
  const auto& d = plan.defects[i];
  const auto field = [i](std::string_view key) { return fmt::format("defects[{}].{}", i, key); };
  c.level(field("severity"), d.severity);
  c.between(field("growth"), d.growth, -1, 1e6);
  c.between(field("slip"), d.slip, 0, 0.3);
  c.between(field("load_zone"), d.load_zone, 0, 1);
  c.between(field("cage_modulation"), d.cage_modulation, 0, 1);
  c.between(field("amplitude_scatter"), d.amplitude_scatter, 0, 3);
  c.between(field("roughness"), d.roughness, 0, 1);
  c.positive(field("spall_length"), d.spall_length, 1);
  if (d.orders) check_orders(c, field("orders"), *d.orders);
  if (!d.orders && !plan.orders)
    c.fail(field("orders"), "a defect needs the defect orders of a bearing",
           "give the plan a bearing");
}

void check_motion(Checker& c, const SimulationPlan& p) {
  c.positive("rate", p.rate.value(), 1e8);
  c.positive("duration", p.duration.value(), 1e6);
  if (c.ok()) {
    const double n = p.rate.value() * p.duration.value();
    if (n < 1 || n > 2.7e8)
      c.fail("duration", fmt::format("{:g} samples", std::round(n)),
             "choose rate and duration for 1 to 270 million samples");
  }
  c.positive("speed", p.speed.value(), 1e7);
  c.between("speed_drift", p.speed_drift, -0.99, 100);
  c.between("speed_wander", p.speed_wander, 0, 0.2);
  c.positive("wander_time", p.wander_time.value(), 1e6);
  if (c.ok() && p.speed_wander > 0 && p.wander_time.value() < 16 / p.rate.value())
    c.fail("wander_time", fmt::format("{:g} s is shorter than 16 samples", p.wander_time.value()),
           "give a slower variation");
}

void check_bearing(Checker& c, const SimulationPlan& p) {
  if (p.orders) check_orders(c, "orders", *p.orders);
  for (std::size_t i = 0; i < p.defects.size(); ++i) check_defect(c, p, i);
  for (std::size_t i = 0; i < p.resonances.size(); ++i) {
    c.positive(fmt::format("resonances[{}].frequency", i), p.resonances[i].frequency.value(), 1e8);
    c.between(fmt::format("resonances[{}].damping", i), p.resonances[i].damping, 1e-6, 0.99);
    c.positive(fmt::format("resonances[{}].gain", i), p.resonances[i].gain, 1e9);
  }
  c.between("mean_slip", p.mean_slip, 0, 0.3);
  c.level("variable_compliance", p.variable_compliance);
  if (p.variable_compliance > 0 && !p.orders)
    c.fail("variable_compliance", "needs the defect orders of a bearing",
           "give the plan a bearing");
}

void check_machine(Checker& c, const SimulationPlan& p) {
  c.level("noise", p.noise);
  c.between("noise_colour", p.noise_colour, -2, 4);
  c.level("resonant_noise", p.resonant_noise);
  for (std::size_t i = 0; i < p.shaft_harmonics.size(); ++i)
    c.level(fmt::format("shaft_harmonics[{}]", i), p.shaft_harmonics[i]);
  for (std::size_t i = 0; i < p.shaft_phases.size(); ++i)
    c.between(fmt::format("shaft_phases[{}]", i), p.shaft_phases[i], -1e4, 1e4);
  c.between("shaft_modulation", p.shaft_modulation, 0, 1);
  for (std::size_t i = 0; i < p.gear_lines.size(); ++i) {
    c.positive(fmt::format("gear_lines[{}].order", i), p.gear_lines[i].first.value(), 1e6);
    c.level(fmt::format("gear_lines[{}].amplitude", i), p.gear_lines[i].second);
  }
  c.between("gear_modulation", p.gear_modulation, 0, 1);
  for (std::size_t i = 0; i < p.fixed_lines.size(); ++i) {
    c.positive(fmt::format("fixed_lines[{}].frequency", i), p.fixed_lines[i].first.value(),
               0.5 * p.rate.value());
    c.level(fmt::format("fixed_lines[{}].amplitude", i), p.fixed_lines[i].second);
  }
}

void check_recording(Checker& c, const SimulationPlan& p) {
  c.positive("mains", p.mains.value(), 1e4);
  c.level("mains_hum", p.mains_hum);
  if (p.mains_hum > 0 && 3 * p.mains.value() >= 0.5 * p.rate.value())
    c.fail("mains_hum", "3 times the mains frequency is above half the rate", "raise the rate");
  c.level("electrical_impulses", p.electrical_impulses);
  c.between("shocks_per_second", p.shocks_per_second, 0, 1e4);
  c.level("shock_peak", p.shock_peak);
  c.level("range", p.range);
  if (p.bits != 0) c.between("bits", p.bits, 2, 32);
  if (p.bits != 0 && !(p.range > 0))
    c.fail("bits", "quantisation needs a sensor range", "give the range in m/s2");
  c.between("tacho_pulses", p.tacho_pulses, 0, 10000);
}

}  // namespace

Result<void> check(const SimulationPlan& p) {
  Checker c;
  check_motion(c, p);
  check_bearing(c, p);
  check_machine(c, p);
  check_recording(c, p);
  if (!c.ok()) return c.error();
  return {};
}

Result<void> check_speed(const SimulationPlan& p, const Motion& motion) {
  Checker c;
  if (!(motion.slowest() > 0))
    c.fail("speed_wander", "the shaft would stop or reverse", "reduce drift or variation");
  const auto below_nyquist = [&](const std::string& field, double order) {
    if (order * motion.fastest() >= 0.5 * p.rate.value())
      c.fail(field,
             fmt::format("order {:g} is at {:.6g} Hz, above half the sample rate", order,
                         order * motion.fastest()),
             "raise the rate or remove it");
  };
  for (std::size_t i = 0; i < p.shaft_harmonics.size(); ++i)
    if (p.shaft_harmonics[i] > 0)
      below_nyquist(fmt::format("shaft_harmonics[{}]", i), static_cast<double>(i + 1));
  for (std::size_t i = 0; i < p.gear_lines.size(); ++i)
    below_nyquist(fmt::format("gear_lines[{}]", i), p.gear_lines[i].first.value() + 1);
  if (p.variable_compliance > 0) below_nyquist("variable_compliance", p.orders->bpfo.value());
  if (p.tacho_pulses > 0) below_nyquist("tacho_pulses", p.tacho_pulses);
  if (!c.ok()) return c.error();
  return {};
}

}  // namespace bearingdsp::simulation
