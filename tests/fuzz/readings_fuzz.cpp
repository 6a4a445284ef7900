// Any numbers read off at a motor, for the workshop's checks and for triage, are judged or refused
// in one line. The bytes: which readings are there (8), which facts (4), then a number each (8).
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "bearingdsp/machine/workshop_checks.hpp"
#include "bearingdsp/replacement/check_sheets.hpp"
#include "bearingdsp/report/text.hpp"
#include "bearingdsp/report/workshop.hpp"
#include "bearingdsp/triage/answers.hpp"
#include "input.hpp"
#include "invariants.hpp"

namespace {

using namespace bearingdsp;
using fuzz::Bytes;

/// Which members are there, lowest bit first.
class Chosen {
 public:
  Chosen(std::uint64_t which, Bytes& bytes) : which_{which}, bytes_{bytes} {}
  bool next() {
    const bool is = (which_ & 1U) != 0;
    which_ >>= 1U;
    return is;
  }
  void number(std::optional<double>& member) {
    if (next()) member = bytes_.next<double>();
  }
  void three(std::vector<double>& member) {
    if (!next()) return;
    const int count = 1 + bytes_.next<std::uint8_t>() % 4;
    for (int i = 0; i < count; ++i) member.push_back(bytes_.next<double>());
  }
  template <class Enum>
  void choice(std::optional<Enum>& member, int count) {
    if (next()) member = static_cast<Enum>(bytes_.next<std::uint8_t>() % count);
  }

 private:
  std::uint64_t which_;
  Bytes& bytes_;
};

WorkshopReadings readings_of(Bytes& bytes) {
  Chosen c{bytes.next<std::uint64_t>(), bytes};
  WorkshopReadings r;
  for (auto* member : {&r.insulation_mohm,
                       &r.insulation_10_min_mohm,
                       &r.winding_c,
                       &r.bearing_insulation_mohm,
                       &r.runout_mm,
                       &r.extension_mm,
                       &r.spring_n,
                       &r.end_float_mm,
                       &r.rotor_play_mm,
                       &r.soft_foot_mm,
                       &r.bearing_c,
                       &r.room_c,
                       &r.shaft_mv,
                       &r.noise_dba,
                       &r.noise_limit_dba,
                       &r.noise_before_dba,
                       &r.machine_insulation_mohm,
                       &r.machine_insulation_before_mohm,
                       &r.machine_insulation_limit_mohm,
                       &r.offset_mm,
                       &r.gap_mm,
                       &r.belt_angle_deg,
                       &r.belt_force_n,
                       &r.small_pulley_mm})
    c.number(*member);
  c.three(r.winding_ohm);
  c.three(r.current_a);
  if (c.next()) r.cooling_good = c.next();
  c.choice(r.mark, 3);
  c.choice(r.key, 3);
  c.choice(r.belt_section, 4);
  r.belt_new = c.next();
  r.belt_toothed = c.next();
  return r;
}

WorkshopFacts facts_of(Bytes& bytes) {
  Chosen c{bytes.next<std::uint32_t>(), bytes};
  WorkshopFacts f;
  for (auto* member : {&f.rated_v, &f.rated_a, &f.service_rpm, &f.ambient_c, &f.bore_mm,
                       &f.play_low_mm, &f.play_high_mm})
    c.number(*member);
  f.variable_speed = c.next();
  f.class_a = c.next();
  return f;
}

void by_hand(Bytes& bytes) {
  HandReadings r;
  const auto which = bytes.next<std::uint8_t>();
  std::uint8_t bit = 1;
  for (auto* member : {&r.drive_end, &r.non_drive_end, &r.frame, &r.ambient}) {
    if ((which & bit) != 0) *member = Celsius{bytes.next<double>()};
    bit = static_cast<std::uint8_t>(bit << 1U);
  }
  for (int i = 0; i < which >> 6; ++i) r.currents_a.push_back(bytes.next<double>());
  const auto answers = answers_of_readings(r);
  if (!answers) return fuzz::require_error_line(answers.error());
  for (const TriageAnswer& a : *answers) fuzz::require(!a.name.empty());
  (void)hotter_end(r);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Bytes bytes{{data, size}};
  const WorkshopReadings readings = readings_of(bytes);
  const WorkshopFacts facts = facts_of(bytes);
  const auto judged = judge_readings(readings, facts);
  if (!judged) fuzz::require_error_line(judged.error());
  if (judged) {
    for (const JudgedCheck& check : *judged) {
      fuzz::require(!check.what.empty());
      // A limit that nobody confirmed fails no motor.
      const bool sure =
          check.status == LimitStatus::confirmed || check.status == LimitStatus::derived;
      fuzz::require(check.outcome != CheckOutcome::bad || sure);
      (void)source_words(check);
    }
    fuzz::require(!to_text(checks_report(*judged, "bench")).empty());
    SheetOptions options;
    options.belt = options.insulated = true;
    const auto sheets = check_sheets(facts, options);
    fuzz::require(!checks_json(sheets, *judged, "bench").empty());
    fuzz::require(!check_sheets_html(sheets, "bench").empty());
  }
  by_hand(bytes);
  return 0;
}
