#pragma once
/// The data files of libbearingdsp/data, compiled in by cmake/EmbedData.cmake.
#include <string_view>

namespace bearingdsp::data {

extern const std::string_view bearings;
extern const std::string_view boundary_dimensions;
extern const std::string_view inside_ranges;
extern const std::string_view designation_series;
extern const std::string_view designation_suffixes;
extern const std::string_view radial_clearance;
extern const std::string_view fits;
extern const std::string_view drive_up;
extern const std::string_view load_ratings;
extern const std::string_view temperature_limits;
extern const std::string_view grease_compatibility;
extern const std::string_view causes;
extern const std::string_view damage_modes;
extern const std::string_view cautions;
extern const std::string_view workshop_limits;
extern const std::string_view workshop_steps;
extern const std::string_view shelf_life;
extern const std::string_view triage_questions;
extern const std::string_view triage_answers;
extern const std::string_view triage_faults;
extern const std::string_view triage_rules;
extern const std::string_view triage_conflicts;
extern const std::string_view triage_limits;

}  // namespace bearingdsp::data
