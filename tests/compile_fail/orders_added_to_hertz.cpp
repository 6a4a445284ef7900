#include "bearingdsp/core/quantity.hpp"
using namespace bearingdsp;
#ifdef SHOULD_FAIL
constexpr auto sum = Hz{30} + Order{3};
#else
constexpr auto sum = Hz{30} + at_speed(Order{3}, Hz{10});
#endif
static_assert(sum == Hz{60});
