#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

std::string_view token(Verdict verdict) noexcept {
  switch (verdict) {
    case Verdict::no_fault:
      return "no fault found";
    case Verdict::fault:
      return "fault";
    case Verdict::indeterminate:
      return "cannot tell";
  }
  return "cannot tell";
}

std::string_view token(Place place) noexcept {
  switch (place) {
    case Place::none:
      return "none";
    case Place::outer_ring:
      return "outer ring";
    case Place::inner_ring:
      return "inner ring";
    case Place::rolling_element:
      return "rolling element";
    case Place::cage:
      return "cage";
    case Place::several:
      return "several";
    case Place::unclear:
      return "place unclear";
    case Place::another_bearing:
      return "another bearing";
    case Place::cannot_tell:
      return "cannot tell";
  }
  return "cannot tell";
}

std::optional<Part> part_of(Place place) noexcept {
  switch (place) {
    case Place::outer_ring:
      return Part::outer_ring;
    case Place::inner_ring:
      return Part::inner_ring;
    case Place::rolling_element:
      return Part::rolling_element;
    case Place::cage:
      return Part::cage;
    default:
      return std::nullopt;
  }
}

}  // namespace bearingdsp
