#pragma once
/// A bearing whose designation stands for several different insides.
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// Diagnoses with each of the variants and gives the one that the record speaks
/// for most: the highest probability of damage. `options.orders` is replaced.
/// With more than one variant a finding says which were tried and what each
/// said; it is a caution where their verdicts differ. Errors: as diagnose();
/// std::invalid_argument for no variant.
[[nodiscard]] Result<Diagnosis> diagnose_variants(const Capture& capture, FftPlans& plans,
                                                  DiagnoseOptions options,
                                                  const std::vector<DefectOrders>& variants);

}  // namespace bearingdsp
