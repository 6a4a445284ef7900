#pragma once
/// What the build embeds into every page: libbearingdsp/web and the plotting library.
#include <string_view>

namespace bearingdsp::data {

extern const std::string_view web_style;
/// Empty where the plotting library could not be had when the library was built.
extern const std::string_view web_script;

}  // namespace bearingdsp::data
