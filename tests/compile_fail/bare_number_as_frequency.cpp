#include "bearingdsp/core/quantity.hpp"
using namespace bearingdsp;
#ifdef SHOULD_FAIL
constexpr Hz f = 30.0;  // hertz or revolutions per minute?
#else
constexpr Hz f{30.0};
#endif
static_assert(f == shaft_rate(Rpm{1800}));
