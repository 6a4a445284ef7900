#pragma once
/// Plain words for a diagnosis: headline, reasons, advice.
#include <optional>
#include <string>

#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp::wording {

/// Does a finding forbid the answer "no fault"?
[[nodiscard]] bool leaves_open(const Finding& finding);

/// Fills headline, reasons and advice of d from what the rest of it says. `revolutions` is the
/// number of shaft revolutions recorded, empty if the speed is not known.
void explain(Diagnosis& d, const std::optional<Judgement>& judgement,
             std::optional<double> revolutions);

/// The family that shows most; null where none does.
[[nodiscard]] const FamilyEvidence* strongest(const Diagnosis& d);

/// The damaged component with its probability, for a diagnosis that calls a fault.
std::string fault_headline(const Diagnosis& diagnosis);
/// Three significant digits, no trailing zeros.
std::string number(double value);

}  // namespace bearingdsp::wording
