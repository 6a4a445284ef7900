#include "bearing/inside_of.hpp"

namespace bearingdsp {

const naming::Series& inside_series(const Designation& d) {
  const naming::Series* own = nullptr;
  for (const auto& s : naming::series())
    if (s.letters == d.letters && s.figures == d.series) {
      own = &s;
      break;
    }
  for (const auto& s : naming::series())
    if (own != nullptr && !own->inside_of.empty() && s.letters + s.figures == own->inside_of)
      return s;
  return own != nullptr ? *own : naming::series().front();
}

std::string design_of(const Designation& d) {
  if (d.full_complement) return "full complement";
  for (const SuffixReading& s : d.suffixes) {
    if (s.group != "inside") continue;
    for (const auto& row : naming::suffixes()) {
      if (row.text != s.text || row.group != "inside") continue;
      if (row.value.starts_with("reinforced")) return "reinforced";
    }
  }
  return {};
}

std::vector<std::string> size_codes(const Designation& d) {
  if (d.type == BearingType::insert_ball && d.bore_mm < 20) return {"03", "04"};
  return {d.bore_code};
}

}  // namespace bearingdsp
