#pragma once
/// Sketches of what is seen on a bearing: a piece of a ring with the pattern of a damage mode, the
/// running tracks of a load, cage, seal and grease.
#include <string>
#include <string_view>

namespace bearingdsp::svg {

/// The <svg> element of a row of damage_modes() by its name, 200 x 112; empty for another name.
/// Source of the shapes: T10 and T14 of docs/sources.md; the drawings are ours
[[nodiscard]] std::string damage_sketch(std::string_view mode);

}  // namespace bearingdsp::svg
