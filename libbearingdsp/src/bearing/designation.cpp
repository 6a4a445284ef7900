#include "bearing/designation.hpp"

#include <algorithm>

namespace bearingdsp {
namespace {

/// Suffixes that leave the rolling elements as they are. Contact-angle letters (A, AC, B, C alone)
/// and extra-capacity letters (E) are not among them: they change the inside.
constexpr std::string_view suffixes[] = {
    // seals and shields
    "Z", "ZZ", "2Z", "ZR", "2ZR", "RS", "2RS", "RS1", "2RS1", "RS2", "2RS2", "RSR", "2RSR", "RSH",
    "2RSH", "RSL", "2RSL", "RST", "2RST", "RZ", "2RZ", "RZR", "2RZR", "RU", "2RU", "LU", "LLU",
    "LB", "LLB", "LH", "LLH", "DU", "DDU", "VV", "NSE", "EE", "SEE",
    // radial clearance
    "C1", "C2", "CN", "C0", "C3", "C4", "C5", "CM",
    // cage
    "M", "MA", "MB", "J", "JN", "TN", "TN9", "TNG", "TNH", "TV", "TVH", "TVP", "TVP2", "FM", "Y",
    "JEM", "ETN9",
    // tolerance class
    "P0", "P6", "P5", "P4", "P2", "P62", "P63", "P52", "P53", "P43", "ABEC3", "ABEC5",
    // snap ring groove and ring
    "N", "NR",
    // heat treatment
    "S0", "S1", "S2", "S3"};

}  // namespace

std::string compact_designation(std::string_view designation) {
  std::string compact;
  for (const char c : designation) {
    if (c == ' ' || c == '\t' || c == '-' || c == '/' || c == '.' || c == '_') continue;
    compact += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  }
  return compact;
}

std::vector<std::string> basic_designations(std::string_view designation) {
  std::vector<std::string> found{compact_designation(designation)};
  constexpr std::size_t longest = 40;  // no designation is longer; bounds the work on hostile input
  if (found.front().size() > longest) return found;
  for (std::size_t i = 0; i < found.size(); ++i)
    for (const auto suffix : suffixes) {
      const std::string whole = found[i];
      if (whole.size() <= suffix.size() || !whole.ends_with(suffix)) continue;
      std::string rest = whole.substr(0, whole.size() - suffix.size());
      if (std::find(found.begin(), found.end(), rest) == found.end())
        found.push_back(std::move(rest));
    }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.size() > b.size(); });
  return found;
}

}  // namespace bearingdsp
