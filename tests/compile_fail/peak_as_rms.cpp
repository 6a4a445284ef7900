// A peak is not an rms value: a limit of one kind cannot judge a level of the other.
#include "bearingdsp/machine/limits.hpp"

using namespace bearingdsp;

Zone judged(const ZoneLimits& limits) {
#ifdef SHOULD_FAIL
  return zone_of(mm_per_s_peak(3.0), limits);
#else
  return zone_of(mm_per_s_rms(3.0), limits);
#endif
}
