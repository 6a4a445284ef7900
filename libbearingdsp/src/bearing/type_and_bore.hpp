#pragma once
/// A bearing of which only type and bore are known, in words: "deep groove, bore 45 mm".
#include <optional>
#include <string_view>

#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

struct TypeAndBore {
  BearingType type{BearingType::deep_groove_ball};
  double bore_mm{0};
};

/// Reads "TYPE, bore N", "TYPE bore N mm" and "TYPE, N mm bore". TYPE: token(BearingType), any case,
/// with or without "ball", "roller" and "bearing", or its beginning where no other type has it;
/// "ball" alone is deep groove, "roller" alone cylindrical. Nothing where the word "bore" is not in
/// the text.
/// Errors: bad_argument: a type that is not known, or none; a bore that is not above 0 and up to
/// 2000
[[nodiscard]] std::optional<Result<TypeAndBore>> find_type_and_bore(std::string_view text);

}  // namespace bearingdsp
