#pragma once
/// The replacement as a sheet to take along: every step in order, its numbers filled in, its
/// dangers beside it.
#include <cstdint>
#include <string>
#include <vector>

#include "bearingdsp/machine/cautions.hpp"
#include "bearingdsp/replacement/plan.hpp"

namespace bearingdsp {

/// One step to tick off.
struct JobStep {
  std::string text;
  std::vector<Caution> cautions;  ///< to read before it is done, of cautions_for()
  std::string brief{};            ///< for the form on one sheet; empty: the text
};

struct JobSection {
  std::string title;
  std::vector<JobStep> steps;
};

/// A label with a value; an empty value is a blank to be written on.
struct JobFact {
  std::string label;
  std::string value;
};

/// A value to be measured and written down.
struct JobReading {
  std::string label;
  std::string limit;  ///< what it must be; may be empty
  std::string unit;
};

/// How much of the card is shown.
enum class CardForm : std::uint8_t {
  one_sheet,  ///< steps in brief, on two sides of A4
  long_form,  ///< every step in full
};

struct JobCard {
  std::string title;
  std::vector<JobFact> facts;
  double hours{0};  ///< to allow, common practice
  std::vector<std::string> tools;
  std::vector<std::string> parts;
  std::vector<JobSection> sections;  ///< in the order of work
  std::vector<JobReading> readings;  ///< to be written down during the work
  std::vector<std::string> points;   ///< whose vibration is noted before and after
  std::vector<std::string> photos;   ///< to be taken
  std::vector<std::string> signers;  ///< who signs: what for
  std::vector<std::string> notes;    ///< sources and what the card defers to
};

/// Hours to allow: two for small motors (shaft height up to 132 mm, or bore up to 40 mm), ten for
/// large ones (above 280, or above 90), five between. Common practice, no source.
[[nodiscard]] double hours_to_allow(const ReplacementPlan& plan);

/// The card of a plan. Numbers that the plan does not hold become blanks that say where to look.
[[nodiscard]] JobCard job_card(const ReplacementPlan& plan);

}  // namespace bearingdsp
