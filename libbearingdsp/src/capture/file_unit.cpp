#include "bearingdsp/capture/file_unit.hpp"

#include <array>
#include <string>

#include <fmt/format.h>

#include "bearingdsp/core/letters.hpp"

namespace bearingdsp {
namespace {

constexpr double inch_m = 0.0254;  // m, exact

struct Entry {
  std::string_view text;  // without blanks, '^', '*', '.'; superscript two as 2
  FileUnit unit;
};

constexpr std::array entries{
    Entry{"g", {SampleUnit::acceleration, standard_gravity}},
    Entry{"gn", {SampleUnit::acceleration, standard_gravity}},
    Entry{"gs", {SampleUnit::acceleration, standard_gravity}},
    Entry{"g's", {SampleUnit::acceleration, standard_gravity}},
    Entry{"gpk", {SampleUnit::acceleration, standard_gravity}},
    Entry{"mg", {SampleUnit::acceleration, standard_gravity * 1e-3}},
    Entry{"m/s2", {SampleUnit::acceleration, 1}},
    Entry{"m/s/s", {SampleUnit::acceleration, 1}},
    Entry{"m/sec2", {SampleUnit::acceleration, 1}},
    Entry{"ms-2", {SampleUnit::acceleration, 1}},
    Entry{"ms2", {SampleUnit::acceleration, 1}},  // "acc_ms2": a name cannot hold a stroke
    Entry{"mps2", {SampleUnit::acceleration, 1}},
    Entry{"mm/s2", {SampleUnit::acceleration, 1e-3}},
    Entry{"cm/s2", {SampleUnit::acceleration, 1e-2}},
    Entry{"in/s2", {SampleUnit::acceleration, inch_m}},
    Entry{"ft/s2", {SampleUnit::acceleration, 12 * inch_m}},
    Entry{"m/s", {SampleUnit::velocity, 1}},
    Entry{"m/sec", {SampleUnit::velocity, 1}},
    Entry{"ms-1", {SampleUnit::velocity, 1}},
    Entry{"cm/s", {SampleUnit::velocity, 1e-2}},
    Entry{"mm/s", {SampleUnit::velocity, 1e-3}},
    Entry{"mm/sec", {SampleUnit::velocity, 1e-3}},
    Entry{"mms-1", {SampleUnit::velocity, 1e-3}},
    Entry{"um/s", {SampleUnit::velocity, 1e-6}},
    Entry{"in/s", {SampleUnit::velocity, inch_m}},
    Entry{"in/sec", {SampleUnit::velocity, inch_m}},
    Entry{"ips", {SampleUnit::velocity, inch_m}},
    Entry{"m", {SampleUnit::displacement, 1}},
    Entry{"mm", {SampleUnit::displacement, 1e-3}},
    Entry{"um", {SampleUnit::displacement, 1e-6}},
    Entry{"micron", {SampleUnit::displacement, 1e-6}},
    Entry{"microns", {SampleUnit::displacement, 1e-6}},
    Entry{"in", {SampleUnit::displacement, inch_m}},
    Entry{"inch", {SampleUnit::displacement, inch_m}},
    Entry{"mil", {SampleUnit::displacement, inch_m * 1e-3}},
    Entry{"mils", {SampleUnit::displacement, inch_m * 1e-3}},
    Entry{"thou", {SampleUnit::displacement, inch_m * 1e-3}},
    Entry{"v", {SampleUnit::volt, 1}},
    Entry{"volt", {SampleUnit::volt, 1}},
    Entry{"volts", {SampleUnit::volt, 1}},
    Entry{"mv", {SampleUnit::volt, 1e-3}},
    Entry{"uv", {SampleUnit::volt, 1e-6}},
    Entry{"rev", {SampleUnit::revolution, 1}},
    Entry{"pulse", {SampleUnit::revolution, 1}},
    Entry{"counts", {SampleUnit::uncalibrated, 1}},
    Entry{"count", {SampleUnit::uncalibrated, 1}},
    Entry{"1", {SampleUnit::uncalibrated, 1}},
    Entry{"fs", {SampleUnit::uncalibrated, 1}},
};

constexpr std::size_t longest = 24;

}  // namespace

std::optional<FileUnit> find_file_unit(std::string_view text) noexcept {
  std::array<char, longest> key{};
  std::size_t n = 0;
  bool capital_m = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const auto byte = static_cast<unsigned char>(c);
    char plain = 0;
    if (c == ' ' || c == '\t' || c == '^' || c == '*' || c == '.' || c == '[' || c == ']' ||
        c == '(' || c == ')') {
      continue;
    }
    const unsigned char next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1])
                                                   : static_cast<unsigned char>(0);
    if (byte == 0xC2 || byte == 0xCE) {  // UTF-8 of superscript two, micro sign, Greek mu
      if (byte == 0xC2 && next == 0xB2) plain = '2';
      if ((byte == 0xC2 && next == 0xB5) || (byte == 0xCE && next == 0xBC)) plain = 'u';
      if (plain == 0) return std::nullopt;
      ++i;
    } else if (byte == 0xB2) {  // the same in Latin-1
      plain = '2';
    } else if (byte == 0xB5) {
      plain = 'u';
    } else {
      if (c == 'M') capital_m = true;
      plain = lower(c);
    }
    if (n == longest) return std::nullopt;
    key[n++] = plain;
  }
  const std::string_view wanted{key.data(), n};
  // MV and MG would be mega; nobody means that, so do not guess milli.
  if (capital_m && (wanted == "mv" || wanted == "mg")) return std::nullopt;
  for (const Entry& e : entries) {
    if (e.text == wanted) return e.unit;
  }
  return std::nullopt;
}

Result<FileUnit> parse_file_unit(std::string_view text) {
  if (const auto unit = find_file_unit(text)) return *unit;
  return Error{Errc::bad_argument, "unit", fmt::format("'{}' is not a known unit", text),
               "use g, mg, m/s2, mm/s2, m/s, mm/s, in/s, m, mm, um, mil, V, mV, rev or counts"};
}

}  // namespace bearingdsp
