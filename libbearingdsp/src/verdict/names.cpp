#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

std::string_view name(Verdict verdict) noexcept {
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

std::string_view name(Place place) noexcept {
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
    case Place::cannot_tell:
      return "cannot tell";
  }
  return "cannot tell";
}

std::string_view name(OtherCause cause) noexcept {
  switch (cause) {
    case OtherCause::unbalance:
      return "unbalance";
    case OtherCause::misalignment_or_bent_shaft:
      return "misalignment or bent shaft";
    case OtherCause::looseness:
      return "looseness";
    case OtherCause::rubbing:
      return "rubbing";
    case OtherCause::twice_line_frequency:
      return "twice line frequency";
    case OtherCause::rotor_bars:
      return "rotor bars";
    case OtherCause::electrical_erosion:
      return "electrical erosion";
    case OtherCause::poor_lubrication:
      return "poor lubrication";
  }
  return "unbalance";
}

}  // namespace bearingdsp
