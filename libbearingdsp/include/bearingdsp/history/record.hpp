#pragma once
/// What is kept of each recording, and what a person noted about a point.
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/candidate.hpp"
#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/history/indicators.hpp"
#include "bearingdsp/history/time.hpp"
#include "bearingdsp/history/visit_spectra.hpp"
#include "bearingdsp/machine/limits.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"
#include "bearingdsp/verdict/stage.hpp"

namespace bearingdsp {

/// component_words(), or "component not identified".
/// Shape: set as Diagnosis::place_set.
/// Errors: none
[[nodiscard]] std::string damaged_component(Place place, const std::vector<Part>& set);

/// A measuring point of a machine, by their names.
struct PointKey {
  std::string machine;
  std::string point;
  // A false alarm of the check: a default comparison uses no pointer.
  // NOLINTNEXTLINE(modernize-use-nullptr)
  friend auto operator<=>(const PointKey&, const PointKey&) = default;
};

/// Whether two keys name one point: by the one comparison of names that every command uses (case,
/// blanks, hyphens and underscores do not count, except between digits).
[[nodiscard]] bool same_point(const PointKey& a, const PointKey& b) noexcept;

/// Why the date of a reading cannot be relied on.
enum class DateDoubt : std::uint8_t {
  none,
  ahead,   ///< it lies after the day on which the history got the reading
  behind,  ///< it came later than a reading that is dated after it, or lies years before the others
};
/// "none", "in the future", "behind the others"
[[nodiscard]] std::string_view token(DateDoubt doubt) noexcept;

/// The bearing that an analysis was made with.
struct FittedBearing {
  std::string number;                      ///< as PointHistory::bearing; may be empty
  std::vector<BearingCandidate> variants;  ///< none where it was not known
};

/// How one part of the bearing stood.
struct PartReading {
  double strength{0};  ///< FamilyEvidence::strength
  double depth{0};     ///< FamilyEvidence::depth
  int harmonics{0};    ///< standing
  int sidebands{0};    ///< standing
};

/// One recording of one point with what was made of it. The recording itself is referenced by its
/// path, not copied.
struct Reading {
  std::int64_t id{0};  ///< in its history; 0: not out of one
  std::string hash;    ///< sha256_of_file: the same recording added twice is one
  std::string path;
  UtcTime taken{};
  TimeSource time_source{TimeSource::given};
  /// When the history got it, the same for all of one run; none: when History::add is called.
  std::optional<UtcTime> added;
  bool date_confirmed{false};        ///< a person gave or confirmed this very date
  DateDoubt doubt{DateDoubt::none};  ///< found by settle_dates()
  std::uint64_t size_bytes{0};       ///< of the file; 0: not known
  std::string beginnings;            ///< as FileContent::beginnings; may be empty
  /// What the analysis was given (bearing, speed, channels ...), as a short text. The same
  /// recording analysed with other settings replaces what is shown; the older analysis is kept.
  std::string settings;
  std::string version;  ///< of the library that analysed
  FittedBearing bearing;

  Seconds duration;
  Hz rate;
  std::optional<Rpm> speed;            ///< as found
  std::optional<double> load_percent;  ///< as noted, of the rated load
  Levels levels;

  std::array<PartReading, part_count> parts{};  ///< by Part
  Verdict verdict{Verdict::indeterminate};
  Place place{Place::cannot_tell};
  double probability_of_damage{0.5};
  double probability_of_place{0};
  std::vector<Part> place_set;  ///< as Diagnosis::place_set; empty in readings of schema 7 or older
  StageEvidence stage;
  std::string headline;
  std::vector<std::string> advice;
  std::vector<CauseEvidence> causes;
  Findings findings;
  /// What it says of the bearing at the other end; none in readings of schema 8 or older.
  std::optional<OtherEnd> other_end;
  /// As Diagnosis::excluded_depth; none in readings of schema 9 or older.
  std::optional<double> excluded_depth;
  /// For pictures. History::add keeps them; out of the store they come by History::read_spectra
  /// alone, since most questions do not need them.
  std::optional<VisitSpectra> spectra;
};

/// Fills everything that a diagnosis and the levels know; hash, path, taken, settings and load are
/// the caller's. Pure.
[[nodiscard]] Reading make_reading(const Diagnosis& diagnosis, const Levels& levels);

enum class EventKind : std::uint8_t {
  bearing_replaced,    ///< a new baseline begins
  greased,             ///< levels may step; a new baseline begins
  repaired,            ///< aligned, balanced, tightened ...: a new baseline begins
  alarm_acknowledged,  ///< seen by a person: shown as such until it gets worse
  note,                ///< words, perhaps with a temperature or a noise seen by hand
};
/// "bearing replaced", "greased", "repaired", "alarm acknowledged", "note"
[[nodiscard]] std::string_view token(EventKind kind) noexcept;
/// The kind of that name; '-' and '_' count as blanks.
[[nodiscard]] std::optional<EventKind> event_kind(std::string_view name) noexcept;
/// Whether what was normal before says nothing about what is normal after.
[[nodiscard]] bool begins_baseline(EventKind kind) noexcept;

struct Event {
  EventKind kind{EventKind::note};
  UtcTime when{};
  std::string point;  ///< empty: the whole machine
  std::string note;
  std::optional<double> temperature_celsius;
  std::optional<UtcTime> added{};  ///< when it was noted
  std::int64_t id{0};              ///< in its history; 0: not out of one
};

/// All of one point: readings and events, oldest first.
struct PointHistory {
  PointKey at;
  std::vector<Reading> readings;
  std::vector<Event> events;  ///< of the point and of its whole machine
  KnownLimits limits;         ///< of the machine's vibration, from its nameplate
  /// The bearing at this end as the machine file has it, "6205-2Z C3 (DE)": what would have to be
  /// ordered. Empty where it has no number.
  std::string bearing;
  std::int64_t changes{0};  ///< how often the store changed it: tells a later state from this one
  /// Dated in the future (DateDoubt::ahead): they take part in nothing until they are corrected.
  std::vector<Reading> readings_ahead;
  std::vector<Event> events_ahead;
};

}  // namespace bearingdsp
