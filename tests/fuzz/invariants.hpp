#pragma once
/// What holds for every input, however it was damaged.
#include <cstdlib>
#include <string>

#include "bearingdsp/core/result.hpp"

namespace fuzz {

inline void require(bool holds) {
  if (!holds) std::abort();
}

/// What to do may stand in what is wrong ("did you mean").
inline void require_error_line(const bearingdsp::Error& error) {
  const std::string line = error.message();
  require(!error.what.empty() && !error.where.empty());
  require(error.code != bearingdsp::Errc::internal);
  for (const char c : line) require(static_cast<unsigned char>(c) >= 0x20);
}

}  // namespace fuzz
