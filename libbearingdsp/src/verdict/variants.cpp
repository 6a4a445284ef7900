#include "bearingdsp/verdict/variants.hpp"

#include <fmt/format.h>

#include <optional>
#include <stdexcept>
#include <string>
#include <utility>

namespace bearingdsp {
namespace {

std::string words(const DefectOrders& orders) {
  return orders.rolling_elements > 0 ? fmt::format("{} elements", orders.rolling_elements)
                                     : fmt::format("BPFO {:.3f}", orders.bpfo.value());
}

std::string_view answer(const Diagnosis& d) {
  return d.verdict == Verdict::fault ? name(d.place) : name(d.verdict);
}

}  // namespace

Result<Diagnosis> diagnose_variants(const Capture& capture, FftPlans& plans,
                                    DiagnoseOptions options,
                                    const std::vector<DefectOrders>& variants) {
  if (variants.empty()) throw std::invalid_argument{"diagnose_variants: no variant"};
  std::optional<Diagnosis> best;
  std::string tried;
  bool differ = false;
  std::string first;
  for (const DefectOrders& orders : variants) {
    options.orders = orders;
    auto one = diagnose(capture, plans, options);
    if (!one) return one;
    const std::string said{answer(*one)};
    if (first.empty()) first = said;
    differ = differ || said != first;
    tried += fmt::format("{}{}: {} (damage {:.0f} %)", tried.empty() ? "" : ", ", words(orders),
                         said, 100 * one->probability_of_damage);
    if (!best || one->probability_of_damage > best->probability_of_damage) best = std::move(*one);
  }
  if (variants.size() > 1) {
    Finding f;
    f.kind = FindingKind::ambiguous;
    f.weight = differ ? Weight::caution : Weight::note;
    f.what = fmt::format("the designation stands for {} different bearings. Tried: {}",
                         variants.size(), tried);
    f.consequence = differ ? fmt::format(
                                 "the answer depends on which one is "
                                 "fitted; shown is the one with {}",
                                 best->orders ? words(*best->orders) : "")
                           : "all of them give the same answer";
    f.advice = "count the rolling elements, or read the maker, and give --elements";
    best->findings.push_back(std::move(f));
  }
  return std::move(*best);
}

}  // namespace bearingdsp
