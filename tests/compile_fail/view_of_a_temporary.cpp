#include "bearingdsp/capture/capture.hpp"
using namespace bearingdsp;
Capture make();
#ifdef SHOULD_FAIL
SignalView dangling() { return make().view(0); }
#else
SignalView kept(const Capture& capture) { return capture.view(0); }
#endif
