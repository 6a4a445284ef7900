#include "bearingdsp/core/token.hpp"

#include <doctest/doctest.h>

#include <cstdint>
#include <string>

#include "bearingdsp/balancing/weight.hpp"
#include "bearingdsp/bearing/catalogue.hpp"
#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/bearing/designation.hpp"
#include "bearingdsp/comparison/acceptance.hpp"
#include "bearingdsp/comparison/before_after.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/sentence.hpp"
#include "bearingdsp/dataset/outcome.hpp"
#include "bearingdsp/evidence/other_causes.hpp"
#include "bearingdsp/history/followed.hpp"
#include "bearingdsp/history/indicators.hpp"
#include "bearingdsp/history/record.hpp"
#include "bearingdsp/history/route_run.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/history/trend.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/machine/recording_place.hpp"
#include "bearingdsp/machine/workshop_checks.hpp"
#include "bearingdsp/replacement/belt.hpp"
#include "bearingdsp/replacement/cause.hpp"
#include "bearingdsp/replacement/grease_mixing.hpp"
#include "bearingdsp/replacement/lubrication.hpp"
#include "bearingdsp/replacement/plan.hpp"
#include "bearingdsp/speed/shaft_speed.hpp"
#include "bearingdsp/triage/triage.hpp"
#include "bearingdsp/verdict/assessment.hpp"
#include "bearingdsp/verdict/place.hpp"
#include "bearingdsp/verdict/stage.hpp"

using namespace bearingdsp;

namespace {

/// Those of all enumerators, in order.
template <Tokened E>
std::string tokens() {
  std::string all;
  for (int i = 0; i < enumerator_count<E>(); ++i) add_part(all, token(static_cast<E>(i)), "|");
  return all;
}

/// One that has better words than its token.
enum class Made : std::uint8_t { one, two };
std::string_view token(Made made) noexcept { return made == Made::one ? "one" : "two"; }
std::string_view words(Made /*made*/) noexcept { return "a better word"; }

}  // namespace

TEST_CASE("tokens: enumerators are counted, and found by their token alone") {
  static_assert(enumerator_count<Part>() == part_count);
  static_assert(enumerator_count<Errc>() == errc_count);
  CHECK(enumerator_count<Made>() == 2);
  CHECK(from_token<Made>("two") == Made::two);
  CHECK_FALSE(from_token<Made>("Two"));
  CHECK_FALSE(from_token<Made>(""));
  CHECK(words(Made::one) == "a better word");
  CHECK(words(Part::cage) == token(Part::cage));
}

// Stores, JSON and tables hold these: a token that was released never changes; new ones come at the
// end or between.
TEST_CASE("tokens: what was written is still read") {
  CHECK(tokens<Acceptance>() == "pass|fail|repeat");
  CHECK(tokens<AlarmLevel>() == "none|alert|alarm");
  CHECK(tokens<AlarmRule>() ==
        "limit of the standard|above the baseline|rising|new family|lasting rise");
  CHECK(tokens<Bar>() == "noted|allowed for|levels not compared|not comparable");
  CHECK(tokens<Change>() ==
        "cured|improved|unchanged|no change seen|worse|new problem|cannot tell|not comparable");
  CHECK(tokens<DamageKind>() == "mode|state|trace");
  CHECK(tokens<DateDoubt>() == "none|in the future|behind the others");
  CHECK(tokens<DifferenceKind>() ==
        "speed|load|unit|sensor|fixing of the sensor|range|rate|bandwidth|recording");
  CHECK(tokens<Direction>() == "unknown|horizontal|vertical|axial|radial");
  CHECK(tokens<Drive>() == "unknown|direct on line|VFD");
  CHECK(tokens<DrivenMachine>() == "unknown|pump|fan|other");
  CHECK(tokens<EntryStatus>() == "user|confirmed|inferred|memory");
  CHECK(tokens<Errc>() ==
        "bad_argument|too_short|unsupported_format|corrupt_file|missing_metadata|no_speed|not_"
        "found|io|database|internal");
  CHECK(tokens<EventKind>() == "bearing replaced|greased|repaired|alarm acknowledged|note");
  CHECK(tokens<FamilyFate>() == "not there|gone|reduced|still there|grown|new");
  CHECK(tokens<FindingKind>() ==
        "clipped|stuck|dc_bias|ski_slope|mains_hum|low_bandwidth|too_short|below_noise|coarse_"
        "resolution|time_jitter|gap|repaired|truncated|header_mismatch|uncalibrated|speed_"
        "disagrees|speed_varies|speed_implausible|ambiguous|geometry_estimated|unit_disagrees|rate_"
        "disagrees|implausible_level|long_recording|duplicate_channel|dead_channel|shocks|impacts_"
        "unexplained|no_broadband|processed");
  CHECK(tokens<Grade>() ==
        "identified correctly|damage detected, wrong component|damage detected, component not "
        "identified|cannot tell|missed|false alarms|failed");
  CHECK(tokens<Indicator>() ==
        "velocity|overall|peak|high band|envelope|kurtosis|crest factor|noise floor");
  CHECK(tokens<LevelJudged>() == "unknown|no limits|acceptable|too high|independent");
  CHECK(tokens<MotorPlace>() ==
        "DE horizontal|DE vertical|DE axial|NDE horizontal|NDE vertical|NDE axial|frame|feet|base");
  CHECK(tokens<Mounting>() == "unknown|rigid|flexible");
  CHECK(tokens<ObservedState>() == "nothing|suspicion|warning|danger");
  CHECK(tokens<OrdersOrigin>() == "geometry|given|catalogue|element count|boundary dimensions");
  CHECK(tokens<OtherCause>() ==
        "unbalance|misalignment or bent shaft|looseness|rubbing|twice line frequency|rotor "
        "bars|electrical erosion|poor lubrication");
  CHECK(tokens<Part>() == "outer ring|inner ring|rolling element|cage");
  CHECK(tokens<Place>() ==
        "none|outer ring|inner ring|rolling element|cage|several|place unclear|another "
        "bearing|cannot tell");
  CHECK(tokens<PlaceOrigin>() ==
        "the file beside it|recordings.toml|the pattern of the route|its name");
  CHECK(tokens<RecordOutcome>() == "stored|re-analysed|was there|grown|cut short|left out|failed");
  CHECK(tokens<ScatterSource>() == "several recordings a side|pieces of single recordings|assumed");
  CHECK(tokens<SeverityStandard>() ==
        "automatic|ISO 20816-3|ISO 10816-3|ISO 10816-1|ISO 10816-7|ISO 14694");
  CHECK(tokens<SpeedMethod>() ==
        "not found|given|given, refined|tacho|shaft harmonics|defect family|followed");
  CHECK(tokens<Stage>() == "cannot tell|none|early|developed|advanced");
  CHECK(tokens<Surroundings>() == "clean|dusty|wet|hot|cold|outdoors|corrosive");
  CHECK(tokens<TimeSource>() == "given|recording|file");
  CHECK(tokens<Urgency>() == "OK|measure again|check|plan|act now");
  CHECK(tokens<Verdict>() == "no fault found|fault|cannot tell");
  CHECK(tokens<Weight>() == "note|caution|blocking");
  CHECK(tokens<AngleSense>() == "against the rotation|with the rotation");
  CHECK(tokens<BearingType>() ==
        "deep groove ball|angular contact ball|double-row angular contact ball|four-point contact "
        "ball|self-aligning ball|cylindrical roller|spherical roller|tapered roller|needle "
        "roller|thrust ball|spherical roller thrust|insert ball");
  CHECK(tokens<BeltKind>() == "V-belt|toothed belt|flat belt with a tension pulley|flat belt");
  CHECK(tokens<BeltSection>() == "A|B|C|D");
  CHECK(tokens<CheckOutcome>() == "good|bad|clarify|not judged");
  CHECK(tokens<ClearanceClass>() == "C1|C2|CN|C3|C4|C5|CM");
  CHECK(tokens<Closure>() == "open|shield|low-friction seal|rubbing seal");
  CHECK(tokens<Followed>() ==
        "velocity|overall|peak|high band|envelope|kurtosis|crest factor|noise "
        "floor|1x|2x|3x|BPFO|BPFI|BSF|FTF");
  CHECK(tokens<GreaseMix>() == "compatible|borderline|incompatible");
  CHECK(tokens<LimitStatus>() == "confirmed|derived|from memory|common practice");
  CHECK(tokens<LoadLevel>() == "light|moderate|heavy|very heavy");
  CHECK(tokens<MachineEnd>() == "DE|NDE");
  CHECK(tokens<NoLoadStandard>() == "IEC 60034-14|NEMA MG 1 part 7");
  CHECK(tokens<Orientation>() == "horizontal|vertical");
  CHECK(tokens<Rotor>() == "unknown|squirrel cage|wound|permanent magnet");
  CHECK(tokens<ShaftKey>() == "half key (H)|full key (F)|no key (N)");
  CHECK(tokens<Weighing>() == "good|note|caution|wrong|look up");
  CHECK(tokens<Zone>() == "A|B|C|D");
}
