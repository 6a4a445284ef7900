#include "bearingdsp/core/quantity.hpp"
using namespace bearingdsp;
#ifdef SHOULD_FAIL
constexpr Hz f = at_speed(Rpm{1800}, Hz{30});  // a speed is not an order
#else
constexpr Hz f = at_speed(Order{3}, shaft_rate(Rpm{1800}));
#endif
static_assert(f == Hz{90});
