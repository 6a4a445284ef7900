#pragma once
/// Plain words for a diagnosis: headline, reasons, advice.
#include <optional>
#include <string>

#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/judgement.hpp"

namespace bearingdsp::words {

/// Does a finding forbid the answer "no fault"?
[[nodiscard]] bool leaves_open(const Finding& finding);

/// Fills headline, reasons and advice of d from what the rest of it says. `turns` is the number of
/// revolutions recorded, empty if the speed is not known.
void explain(Diagnosis& d, const std::optional<Judgement>& judgement, std::optional<double> turns);

/// What is damaged, and how sure that is.
std::string fault_headline(const Diagnosis& diagnosis);
/// Three significant digits, no trailing zeros.
std::string number(double value);
/// "93 %", never "100 %" or "0 %".
std::string percent(double probability);

}  // namespace bearingdsp::words
