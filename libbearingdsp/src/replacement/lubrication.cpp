#include "bearingdsp/replacement/lubrication.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>

namespace bearingdsp {
namespace {

struct Range {
  double low, high;
};

std::optional<Range> type_factor(BearingType type, bool for_life) {
  switch (type) {
    case BearingType::deep_groove_ball:
      return for_life ? Range{20, 40} : Range{10, 10};
    case BearingType::cylindrical_roller:
      return for_life ? Range{15, 15} : Range{5, 5};
    case BearingType::angular_contact_ball:
    case BearingType::tapered_roller:
    case BearingType::thrust_ball:
      return for_life ? Range{2, 2} : Range{1, 1};
    default:
      return std::nullopt;
  }
}

Range load_factor(LoadLevel load) {
  switch (load) {
    case LoadLevel::light:
      return {1, 1};
    case LoadLevel::moderate:
      return {0.7, 0.9};
    case LoadLevel::heavy:
      return {0.4, 0.7};
    case LoadLevel::very_heavy:
      return {0.1, 0.4};
  }
  return {0.1, 0.4};
}

Result<GreaseInterval> interval(BearingType type, double bore_mm, const GreaseDuty& duty,
                                bool for_life) {
  const auto refuse = [](Errc code, std::string what, std::string advice) {
    return Error{code, "grease", std::move(what), std::move(advice)};
  };
  const double n = duty.speed.value();
  if (!(std::isfinite(n) && n > 0 && bore_mm > 0))
    return refuse(Errc::bad_argument, "speed and bore must be above 0", "give --rpm");
  if (!(duty.temperature_c <= 100))
    return refuse(Errc::bad_argument,
                  fmt::format("{:g} degrees C is outside the table (100)", duty.temperature_c),
                  "ask the grease manufacturer");
  const auto k0 = type_factor(type, for_life);
  if (!k0)
    return refuse(Errc::not_found, fmt::format("there is no factor for {} bearings", name(type)),
                  "ask the manufacturer");
  const double base = 14e6 / (n * std::sqrt(bore_mm)) - 4 * bore_mm;
  if (!(base > 0))
    return refuse(Errc::not_found, "the speed is outside the range of the formula",
                  "ask the manufacturer");
  const double f1 = duty.temperature_c <= 70 ? 1 : std::exp2((70 - duty.temperature_c) / 15);
  const Range f2 = load_factor(duty.load);
  return GreaseInterval{k0->low * f1 * f2.low * base, k0->high * f1 * f2.high * base};
}

}  // namespace

std::string_view name(LoadLevel level) noexcept {
  constexpr std::string_view names[] = {"light", "moderate", "heavy", "very heavy"};
  return names[static_cast<std::size_t>(level)];
}

double regreasing_from_side_g(double outside_diameter_mm, double width_mm) noexcept {
  return 0.005 * outside_diameter_mm * width_mm;
}

double regreasing_through_ring_g(double outside_diameter_mm, double width_mm) noexcept {
  return 0.002 * outside_diameter_mm * width_mm;
}

Result<GreaseInterval> regreasing_interval(BearingType type, double bore_mm,
                                           const GreaseDuty& duty) {
  return interval(type, bore_mm, duty, false);
}

Result<GreaseInterval> grease_life(BearingType type, double bore_mm, const GreaseDuty& duty) {
  return interval(type, bore_mm, duty, true);
}

}  // namespace bearingdsp
