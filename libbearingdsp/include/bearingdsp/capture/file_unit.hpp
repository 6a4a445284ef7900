#pragma once
/// Units as people and files write them ("g", "mm/s", "µm", "mV"), and their factor to SI.
#include <optional>
#include <string_view>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/unit.hpp"

namespace bearingdsp {

/// A unit written in a file: samples times to_si are in the SI unit of the kind.
struct FileUnit {
  SampleUnit kind{SampleUnit::uncalibrated};
  double to_si{1};
};

/// The unit a text names, or nothing if it names none we know. Case matters only where it changes
/// the meaning (mV, MV); brackets and blanks around it are ignored. Known: g, gn, mg (milli-g),
/// m/s2 (also m/s^2, m/s², ms-2, m s-2), mm/s2, cm/s2, in/s2, ft/s2; m/s, mm/s, cm/s, um/s, in/s,
/// ips; m, mm, um, µm, micron, mil, thou, in; V, mV, uV; rev; counts, 1, fs (uncalibrated).
/// Source: 1 g = 9.80665 m/s2 and 1 in = 25.4 mm exactly (ISO 80000-3).
[[nodiscard]] std::optional<FileUnit> find_file_unit(std::string_view text) noexcept;

/// As find_file_unit, with an error that lists the known units.
/// Errors: bad_argument.
[[nodiscard]] Result<FileUnit> parse_file_unit(std::string_view text);

}  // namespace bearingdsp
