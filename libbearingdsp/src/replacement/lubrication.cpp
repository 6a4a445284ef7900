#include "bearingdsp/replacement/lubrication.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>

namespace bearingdsp {
namespace {

struct Range {
  double low, high;
};

/// k0 of regreasing. Catalogue E gives angular contact ball bearings a tenth of deep groove ones; a
/// tribology handbook gives every radial ball bearing 10, and needle and spherical rollers theirs.
std::optional<Range> regreasing_factor(BearingType type) {
  switch (type) {
    case BearingType::deep_groove_ball:
    case BearingType::insert_ball:
    case BearingType::self_aligning_ball:
      return Range{10, 10};
    case BearingType::angular_contact_ball:
    case BearingType::double_row_angular_contact_ball:
    case BearingType::four_point_contact_ball:
      return Range{1, 10};
    case BearingType::cylindrical_roller:
    case BearingType::needle_roller:
      return Range{5, 5};
    case BearingType::spherical_roller:
    case BearingType::tapered_roller:
    case BearingType::thrust_ball:
    case BearingType::spherical_roller_thrust:
      return Range{1, 1};
  }
  return std::nullopt;
}

/// k0 of the life of a first fill, catalogue E alone.
std::optional<Range> life_factor(BearingType type) {
  switch (type) {
    case BearingType::deep_groove_ball:
    case BearingType::insert_ball:
      return Range{20, 40};
    case BearingType::cylindrical_roller:
      return Range{15, 15};
    case BearingType::angular_contact_ball:
    case BearingType::tapered_roller:
    case BearingType::thrust_ball:
      return Range{2, 2};
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
  const auto k0 = for_life ? life_factor(type) : regreasing_factor(type);
  if (!k0)
    return refuse(Errc::not_found, fmt::format("there is no factor for {} bearings", words(type)),
                  "ask the manufacturer");
  const double by_speed = 14e6 / (n * std::sqrt(bore_mm));
  // Near its zero the formula is a small difference of large terms: from a quarter of the first
  // term down, an error of 10 % in that term changes the hours by 40 % and more.
  constexpr double min_part = 0.25;
  const double difference = by_speed - 4 * bore_mm;
  if (!(difference > min_part * by_speed))
    return refuse(Errc::not_found,
                  fmt::format("{:.0f} rpm is too fast for the formula at {:g} mm bore", n, bore_mm),
                  "regrease as the motor manual says, or ask the manufacturer");
  // Very large bearings: begin with half.
  constexpr double very_large_mm = 300;
  const double base = bore_mm > very_large_mm ? 0.5 * difference : difference;
  const double f1 = duty.temperature_c <= 70 ? 1 : std::exp2((70 - duty.temperature_c) / 15);
  const Range f2 = load_factor(duty.load);
  return GreaseInterval{k0->low * f1 * f2.low * base, k0->high * f1 * f2.high * base};
}

}  // namespace

std::string_view token(LoadLevel level) noexcept {
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
