#include "option_values.hpp"

#include "bearingdsp/replacement/cause.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"

namespace cli {
namespace {

using Words = std::vector<std::string>;

Words modes() {
  Words names;
  for (const auto& mode : bearingdsp::damage_modes()) {
    names.push_back(mode.name);
    names.insert(names.end(), mode.also.begin(), mode.also.end());
  }
  return names;
}

/// The usual ones of those that the reader knows.
Words units() {
  return {"g", "mg", "m/s2", "mm/s2", "m/s", "mm/s", "um/s", "in/s", "um", "mm", "mil", "V", "mV"};
}

}  // namespace

std::vector<std::string> values_of(const CLI::Option& option) {
  const std::string name = option.get_single_name();
  const std::string type = option.get_type_name().substr(0, option.get_type_name().find(':'));
  if (type == "UNIT") return units();
  if (type == "DE|NDE" || name == "position") return {"DE", "NDE"};
  if (type == "MODE") return modes();
  if (type == "FACT") return bearingdsp::cause_facts();
  if (type == "WHEN") return {"always", "never", "auto"};
  if (type == "READER") return {"man", "bash", "zsh", "fish"};
  if (type == "KIND")
    return {"bearing-replaced", "greased", "repaired", "alarm-acknowledged", "note"};
  if (type == "LEVEL")
    return {"velocity", "high-frequency", "envelope",     "noise-floor", "overall",
            "peak",     "kurtosis",       "crest-factor", "1x",          "2x",
            "3x",       "BPFO",           "BPFI",         "BSF",         "FTF"};
  if (type == "LETTER") return {"A", "B"};
  if (name == "standard") return {"iec", "nema"};
  if (name == "mounting") return {"rigid", "flexible"};
  if (name == "belt-type") return {"v", "toothed", "flat", "flat-idler"};
  if (name == "grease" || name == "old-grease") return bearingdsp::thickeners();
  if (name == "load" && type == "WORD") return {"light", "moderate", "heavy", "very-heavy"};
  if (name == "delimiter") return {"comma", "semicolon", "tab", "blank", "bar"};
  if (name == "decimal") return {"point", "comma"};
  return {};
}

}  // namespace cli
