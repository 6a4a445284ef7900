#pragma once
/// The built-in tables of the trade's naming: suffixes and series.
#include <string>
#include <vector>

#include "bearingdsp/bearing/designation.hpp"

namespace bearingdsp::naming {

struct Suffix {
  std::string text;
  std::vector<BearingType> types;  ///< where it has this meaning; empty: anywhere
  std::string group, value, meaning;
  bool same_inside{false};  ///< the rolling elements stay as they are
  /// Letters alone say too little to be picked out of an unknown word: the JN of GJN is no cage.
  /// What holds a figure (C3, 2RS) or closes the bearing (ZZ, LLU) is.
  bool is_separate{false};
};
/// Most special first: rows that name a type come before rows that hold anywhere.
[[nodiscard]] const std::vector<Suffix>& suffixes();
/// Those that begin with this character, in the same order.
[[nodiscard]] const std::vector<const Suffix*>& suffixes_from(char first);

struct Series {
  std::string letters, figures;
  BearingType type{};
  std::string dimension_series, detail;
  std::string inside_of;        ///< series whose rolling elements it shares; empty: its own
  std::string suffix;           ///< what the number says like a suffix; may be empty
  bool floats{false};           ///< one ring moves along the other: no axial load
  bool full_complement{false};  ///< no cage
  bool other_number{false};     ///< of a bearing that has a usual one
  bool offered_by_size{false};  ///< although its number says a suffix
};
/// In the order in which readings are offered.
[[nodiscard]] const std::vector<Series>& series();

}  // namespace bearingdsp::naming
