#pragma once
/// The constants of the engine by name: what each means, and how to take others.
#include <cstddef>
#include <span>
#include <string_view>

#include "bearingdsp/core/model.hpp"
#include "bearingdsp/core/result.hpp"

namespace bearingdsp {

/// One constant, as a row of data/model.csv describes it.
struct ModelParameter {
  std::string_view name;  ///< group and member: "judgement.even_strength"
  std::string_view unit;  ///< "1" for a pure number
  double least{0}, most{0};
  bool whole{false};  ///< takes whole numbers only
  /// derived, published, practice, simulated, tuned or chosen: data/model.csv
  std::string_view origin;
  std::string_view source;  ///< key of docs/sources.md; may be empty
  std::string_view meaning;
};

/// All of them, in the order of the file.
/// Errors: none
[[nodiscard]] std::span<const ModelParameter> model_parameters() noexcept;

/// The value of the index-th of model_parameters().
/// Errors: std::out_of_range
[[nodiscard]] double model_value(const ModelParameters& model, std::size_t index);

/// Sets one constant.
/// Errors: not_found for a name that is none; bad_argument for a value outside least .. most, or
/// not a whole number where one is needed. The model is left as it was then.
[[nodiscard]] Result<void> set_model_value(ModelParameters& model, std::string_view name,
                                           double value);

/// Whether the constants fit one another: limits in their order.
/// Errors: bad_argument
[[nodiscard]] Result<void> check_model(const ModelParameters& model);

}  // namespace bearingdsp
