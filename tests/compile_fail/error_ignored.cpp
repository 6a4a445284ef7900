#include "bearingdsp/core/result.hpp"
using namespace bearingdsp;
Result<void> write_something();
#ifdef SHOULD_FAIL
void careless() { write_something(); }
#else
bool careful() { return write_something().has_value(); }
#endif
