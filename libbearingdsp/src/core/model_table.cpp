#include "bearingdsp/core/model_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <type_traits>
#include <vector>

#include "bearingdsp/core/near_miss.hpp"

namespace bearingdsp {
namespace {

struct ModelRow {
  ModelParameter parameter;
  double (*get)(const ModelParameters&);
  void (*set)(ModelParameters&, double);
};

/// A row for one member of one group.
template <auto group, auto member>
constexpr ModelRow row(std::string_view name, std::string_view unit, double least, double most,
                       std::string_view origin, std::string_view source, std::string_view meaning) {
  using Value = std::remove_reference_t<decltype(ModelParameters{}.*group.*member)>;
  return {{name, unit, least, most, std::is_integral_v<Value>, origin, source, meaning},
          [](const ModelParameters& m) { return static_cast<double>(m.*group.*member); },
          [](ModelParameters& m, double v) { m.*group.*member = static_cast<Value>(v); }};
}

}  // namespace
}  // namespace bearingdsp

#include "core/model_rows.hpp"

namespace bearingdsp {
namespace {

constexpr auto described = [] {
  std::array<ModelParameter, model_rows.size()> all;
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = model_rows[i].parameter;
  return all;
}();

Error out_of_order(std::string_view low, std::string_view high) {
  return {Errc::bad_argument, std::string{low}, fmt::format("is not below {}", high),
          "give the two in their order"};
}

}  // namespace

std::span<const ModelParameter> model_parameters() noexcept { return described; }

double model_value(const ModelParameters& model, std::size_t index) {
  return model_rows.at(index).get(model);
}

Result<void> set_model_value(ModelParameters& model, std::string_view name, double value) {
  const auto at = std::find_if(model_rows.begin(), model_rows.end(),
                               [&](const ModelRow& r) { return r.parameter.name == name; });
  if (at == model_rows.end()) {
    std::vector<std::string> known;
    for (const ModelParameter& p : described) known.emplace_back(p.name);
    return Error{Errc::not_found, std::string{name}, "is no constant of the engine",
                 did_you_mean(name, known, "its names are in model.csv")};
  }
  const ModelParameter& p = at->parameter;
  if (!(value >= p.least && value <= p.most))
    return Error{Errc::bad_argument, std::string{name},
                 fmt::format("{:g} is outside {:g} .. {:g}", value, p.least, p.most),
                 fmt::format("give a value in that range (as shipped: {:g})", at->get({}))};
  if (p.whole && value != std::floor(value))
    return Error{Errc::bad_argument, std::string{name}, fmt::format("{:g} is not whole", value),
                 "give a whole number"};
  at->set(model, value);
  return {};
}

Result<void> check_model(const ModelParameters& m) {
  struct Pair {
    std::string_view low_name, high_name;
    double low, high;
  };
  const std::array pairs{
      Pair{"judgement.none_below", "judgement.fault_from", m.judgement.none_below,
           m.judgement.fault_from},
      Pair{"judgement.unseen", "judgement.none_below", m.judgement.unseen, m.judgement.none_below},
      Pair{"judgement.unseen_without_bearing", "judgement.none_below",
           m.judgement.unseen_without_bearing, m.judgement.none_below},
      Pair{"family.smear_1", "family.smear_2", m.family.smear_1, m.family.smear_2},
      Pair{"family.smear_2", "family.smear_3", m.family.smear_2, m.family.smear_3},
      Pair{"unknown.lowest", "unknown.highest", m.unknown.lowest, m.unknown.highest},
      Pair{"unknown.min_fill", "unknown.max_fill", m.unknown.min_fill, m.unknown.max_fill},
      Pair{"speed.unknown_low", "speed.unknown_high", m.speed.unknown_low, m.speed.unknown_high},
      Pair{"speed.supply_low", "speed.supply_high", m.speed.supply_low, m.speed.supply_high},
      Pair{"erosion.low_hz", "erosion.high_hz", m.erosion.low_hz, m.erosion.high_hz},
      Pair{"erosion.lowest", "erosion.highest", m.erosion.lowest, m.erosion.highest},
      // What is known of a slip must lie within what is searched.
      Pair{"slip.spread", "slip.reach", m.slip.spread, m.slip.reach},
  };
  for (const Pair& p : pairs)
    if (!(p.low < p.high)) return out_of_order(p.low_name, p.high_name);
  return {};
}

}  // namespace bearingdsp
