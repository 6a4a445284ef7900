#include "option_values.hpp"

#include "bearingdsp/replacement/cause.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"
#include "bearingdsp/triage/answers.hpp"

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

/// Answers to a question of triage.
Words triage_words(std::string_view question) {
  Words names;
  for (const auto& answer : bearingdsp::triage_question(question).answers) {
    names.push_back(answer.name);
    names.insert(names.end(), answer.also.begin(), answer.also.end());
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
  if (type == "SOUND") return triage_words("heard");
  if (type == "FEEL") return triage_words("felt");
  if (type == "SMELL") return triage_words("smelt");
  if (type == "SIGHT") return triage_words("seen");
  if (type == "KNOWN") return triage_words("known");
  if (name == "power-off") return triage_words("power-off");
  if (name == "with-load") return triage_words("with load");
  if (name == "grease-shot") return triage_words("grease shot");
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
