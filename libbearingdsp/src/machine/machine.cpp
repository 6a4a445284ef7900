#include "bearingdsp/machine/machine.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "bearing/type_and_bore.hpp"
#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/core/near_miss.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "machine/same_name.hpp"

namespace bearingdsp {
namespace {

/// Looks up by name; the words are for the error.
template <class T>
Result<T> find_by_name(const std::vector<T>& all, std::string_view wanted, std::string_view kind,
                       const std::string& where) {
  std::vector<std::string> known;
  known.reserve(all.size());
  for (const T& item : all) known.push_back(item.name);
  const std::string list = fmt::format("{}", fmt::join(known, ", "));
  if (all.empty())
    return Error{Errc::not_found, where, fmt::format("no {} is described", kind),
                 fmt::format("describe the {} in the machine file", kind)};
  if (wanted.empty()) {
    if (all.size() == 1) return all.front();
    return Error{Errc::bad_argument, where, fmt::format("contains {} {}s", all.size(), kind),
                 "say which: " + list};
  }
  for (const T& item : all)
    if (same_name(item.name, wanted)) return item;
  return Error{Errc::not_found, where, fmt::format("has no {} '{}'", kind, wanted.substr(0, 60)),
               did_you_mean(wanted, known, fmt::format("choose one of: {}", list))};
}

constexpr std::array iec_heights{56,  63,  71,  80,  90,  100, 112, 132, 160, 180,
                                 200, 225, 250, 280, 315, 355, 400, 450, 500, 560};

std::optional<int> leading_number(std::string_view text) {
  int n = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), n);
  if (code != std::errc{}) return std::nullopt;
  return n;
}

std::string_view after_prefix(std::string_view text, std::string_view prefix) {
  if (text.size() < prefix.size() || !same_name(text.substr(0, prefix.size()), prefix)) return {};
  text.remove_prefix(prefix.size());
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  return text;
}

std::optional<Millimetres> iec_height(int number) {
  if (std::find(iec_heights.begin(), iec_heights.end(), number) == iec_heights.end())
    return std::nullopt;
  return Millimetres{static_cast<double>(number)};
}

std::optional<Millimetres> nema_height(int number) {
  constexpr double inch = 25.4;
  if (number >= 42 && number < 100) return Millimetres{number / 16.0 * inch};
  if (number >= 140 && number < 1000) return Millimetres{std::floor(number / 10.0) / 4 * inch};
  return std::nullopt;
}

Result<std::vector<BearingCandidate>> only(Result<DefectOrders> orders) {
  if (!orders) return orders.error();
  return std::vector<BearingCandidate>{std::move(*orders)};
}

}  // namespace

std::string_view token(Mounting mounting) noexcept {
  switch (mounting) {
    case Mounting::unknown:
      return "unknown";
    case Mounting::rigid:
      return "rigid";
    case Mounting::flexible:
      return "flexible";
  }
  return "unknown";
}

std::string_view token(Orientation orientation) noexcept {
  return orientation == Orientation::vertical ? "vertical" : "horizontal";
}

std::string_view token(Drive drive) noexcept {
  switch (drive) {
    case Drive::unknown:
      return "unknown";
    case Drive::direct_on_line:
      return "direct on line";
    case Drive::vfd:
      return "VFD";
  }
  return "unknown";
}

std::string_view token(Rotor rotor) noexcept {
  constexpr std::string_view names[] = {"unknown", "squirrel cage", "wound", "permanent magnet"};
  return names[static_cast<std::size_t>(rotor)];
}

std::string_view token(MachineEnd end) noexcept {
  return end == MachineEnd::drive_end ? "DE" : "NDE";
}

std::string_view token(Direction direction) noexcept {
  switch (direction) {
    case Direction::unknown:
      return "unknown";
    case Direction::horizontal:
      return "horizontal";
    case Direction::vertical:
      return "vertical";
    case Direction::axial:
      return "axial";
    case Direction::radial:
      return "radial";
  }
  return "unknown";
}

std::string_view token(Surroundings surroundings) noexcept {
  switch (surroundings) {
    case Surroundings::clean:
      return "clean";
    case Surroundings::dusty:
      return "dusty";
    case Surroundings::wet:
      return "wet";
    case Surroundings::hot:
      return "hot";
    case Surroundings::cold:
      return "cold";
    case Surroundings::outdoors:
      return "outdoors";
    case Surroundings::corrosive:
      return "corrosive";
  }
  return "clean";
}

std::string_view token(SeverityStandard standard) noexcept {
  switch (standard) {
    case SeverityStandard::automatic:
      return "automatic";
    case SeverityStandard::iso20816_3:
      return "ISO 20816-3";
    case SeverityStandard::iso10816_3:
      return "ISO 10816-3";
    case SeverityStandard::iso10816_1:
      return "ISO 10816-1";
    case SeverityStandard::iso10816_7:
      return "ISO 10816-7";
    case SeverityStandard::iso14694:
      return "ISO 14694";
  }
  return "automatic";
}

std::string_view token(DrivenMachine driven) noexcept {
  switch (driven) {
    case DrivenMachine::unknown:
      return "unknown";
    case DrivenMachine::pump:
      return "pump";
    case DrivenMachine::fan:
      return "fan";
    case DrivenMachine::other:
      return "other";
  }
  return "unknown";
}

Result<Machine> find_machine(const std::vector<Machine>& machines, std::string_view machine) {
  const std::string where =
      machines.empty() ? "machine file"
                       : machines.front().where.substr(0, machines.front().where.rfind(':'));
  return find_by_name(machines, machine, "machine", where);
}

Result<MeasuringPoint> find_point(const Machine& machine, std::string_view point) {
  return find_by_name(machine.points, point, "point", fmt::format("machine '{}'", machine.name));
}

Result<std::vector<BearingCandidate>> bearing_variants(const MachineBearing& bearing,
                                                       const Catalogue& catalogue) {
  if (bearing.orders) return std::vector<BearingCandidate>{*bearing.orders};
  if (bearing.geometry) return only(defect_orders(*bearing.geometry));
  if (!bearing.designation.empty())
    return bearing_candidates(bearing.designation, {bearing.rolling_elements, std::nullopt},
                              catalogue);
  if (bearing.rolling_elements) return only(orders_from_element_count(*bearing.rolling_elements));
  return Error{Errc::missing_metadata, "bearing", "it has no data",
               "give its designation, geometry or number of elements"};
}

const Sensor* find_sensor(const std::vector<Sensor>& sensors, std::string_view name) noexcept {
  const auto it = std::find_if(sensors.begin(), sensors.end(),
                               [&](const Sensor& s) { return same_name(s.name, name); });
  return it == sensors.end() ? nullptr : &*it;
}

void take_sensor(MeasuringPoint& point, const Sensor& sensor) {
  point.unit = sensor.unit;
  point.sensitivity_mv_per_g = sensor.sensitivity_mv_per_g;
  point.full_scale = sensor.full_scale;
  if (!point.rate) point.rate = sensor.rate;
  if (point.channels.empty()) point.channels = sensor.channels;
  point.assumed = true;
}

ReadOptions reading_options(const MeasuringPoint& point) {
  ReadOptions o;
  o.rate = point.rate;
  if (!point.unit.empty()) o.units = {point.unit};
  if (point.sensitivity_mv_per_g) o.sensitivity_mv_per_g = {*point.sensitivity_mv_per_g};
  o.full_scale = point.full_scale;
  o.assumed = point.assumed;
  o.select = point.channels;
  // A shaft marker has to be read too where only some channels are asked for.
  if (!point.tacho.empty() && !o.select.empty()) o.select.push_back(point.tacho);
  return o;
}

std::string bearing_to_order(const Machine& machine, MachineEnd end) {
  const auto& bearing = machine.bearing(end);
  // "deep groove, bore 45" cannot be ordered: the number on the old bearing can.
  if (!bearing || bearing->designation.empty() || find_type_and_bore(bearing->designation))
    return {};
  return fmt::format("{}{} ({})", bearing->designation,
                     bearing->insulated.value_or(false) ? ", insulated" : "", words(end));
}

std::optional<int> pole_pairs(const Machine& machine) noexcept {
  if (machine.poles) return *machine.poles / 2;
  if (!machine.line_frequency || !machine.rated_speed) return std::nullopt;
  const double pairs = 60 * machine.line_frequency->value() / machine.rated_speed->value();
  // A hundredth above the field's speed is a rounded nameplate, not one pair fewer.
  const int most = static_cast<int>(std::floor(pairs * 1.01));
  return most >= 1 && pairs < 51 ? std::optional<int>{most} : std::nullopt;
}

std::optional<Rpm> synchronous_speed(const Machine& machine) noexcept {
  const auto pairs = pole_pairs(machine);
  if (!pairs || !machine.line_frequency) return std::nullopt;
  return Rpm{60 * machine.line_frequency->value() / *pairs};
}

std::optional<Millimetres> shaft_height_of_frame(std::string_view frame) noexcept {
  if (const auto rest = after_prefix(frame, "IEC"); !rest.empty()) {
    const auto number = leading_number(rest);
    return number ? iec_height(*number) : std::nullopt;
  }
  if (const auto rest = after_prefix(frame, "NEMA"); !rest.empty()) {
    const auto number = leading_number(rest);
    return number ? nema_height(*number) : std::nullopt;
  }
  const auto number = leading_number(frame);
  if (!number || *number == 56) return std::nullopt;
  if (const auto iec = iec_height(*number)) return iec;
  return nema_height(*number);
}

}  // namespace bearingdsp
