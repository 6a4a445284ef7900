// A file of constants is refused in one line, or gives constants that are within their limits and
// in order.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "bearingdsp/core/model_table.hpp"
#include "bearingdsp/machine/model_file.hpp"
#include "invariants.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace bearingdsp;
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  const auto model = parse_model(text, "a.csv");
  if (!model) {
    fuzz::require_error_line(model.error());
    return 0;
  }
  const auto parameters = model_parameters();
  for (std::size_t i = 0; i < parameters.size(); ++i) {
    const double value = model_value(*model, i);
    fuzz::require(value >= parameters[i].least && value <= parameters[i].most);
    fuzz::require(!parameters[i].whole || value == std::floor(value));
  }
  fuzz::require(check_model(*model).has_value());
  return 0;
}
