#pragma once
/// Balancing, as reports and as JSON: the plan, the answer of a job, runs without phase, the split
/// of a weight. Every report that asks for work on the rotor has its cautions.
#include <string>

#include "bearingdsp/balancing/four_run.hpp"
#include "bearingdsp/balancing/job.hpp"
#include "bearingdsp/report/json.hpp"
#include "bearingdsp/report/model.hpp"

namespace bearingdsp {

/// The weights with their uncertainty, what is predicted, the steps with cautions; as pictures the
/// vectors of each sensor and the planes with the weights.
/// Errors: none
[[nodiscard]] Report balance_report(const BalanceResult& result);
/// "bearingdsp.balance/1"
/// Units: as the names of the keys say (docs/json-schema.md)
/// Errors: none
[[nodiscard]] std::string balance_json(const BalanceResult& result,
                                       const JsonOptions& options = {});

/// `sense` is that of the trial weight's angles.
/// Errors: none
[[nodiscard]] Report four_run_report(const FourRuns& runs, const FourRunAnswer& answer,
                                     AngleSense sense = AngleSense::against_rotation);
/// "bearingdsp.balance-four-run/1"
/// Units: as the names of the keys say (docs/json-schema.md)
/// Errors: none
[[nodiscard]] std::string four_run_json(const FourRuns& runs, const FourRunAnswer& answer,
                                        const JsonOptions& options = {});

/// Permissible unbalance, trial weight, and what to check before balancing.
/// Errors: none
[[nodiscard]] Report balance_plan_report(const BalancePlan& plan);
/// "bearingdsp.balance-plan/1"
/// Units: as the names of the keys say (docs/json-schema.md)
/// Errors: none
[[nodiscard]] std::string balance_plan_json(const BalancePlan& plan,
                                            const JsonOptions& options = {});

/// A weight and how much of it goes to which position.
/// Errors: none
[[nodiscard]] Report weight_split_report(const BalanceWeight& weight, const Positions& positions,
                                         const WeightSplit& split);
/// "bearingdsp.balance-split/1"
/// Units: as the names of the keys say (docs/json-schema.md)
/// Errors: none
[[nodiscard]] std::string weight_split_json(const BalanceWeight& weight, const WeightSplit& split,
                                            const JsonOptions& options = {});

}  // namespace bearingdsp
