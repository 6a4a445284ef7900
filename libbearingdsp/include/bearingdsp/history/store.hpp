#pragma once
/// The history of all machines in one file (SQLite). Schema and meanings: docs/history.md
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bearingdsp/core/result.hpp"
#include "bearingdsp/history/record.hpp"

namespace bearingdsp {

enum class Access : std::uint8_t { read_only, read_write };

enum class Added : std::uint8_t {
  stored,      ///< a recording that was not there
  reanalysed,  ///< it was there, but analysed with other settings
  was_there,   ///< the same recording with the same settings: nothing was written
  grown,       ///< stored in place of readings of its beginning (a half-copied file)
  cut_short,   ///< the beginning of a recording that is there: nothing was written
  removed,     ///< a person removed it from the history: nothing was written
  moved,       ///< a person moved it to another point: nothing was written
};

/// What the history has of a recording at a point.
struct Known {
  bool there{false}, removed{false};
  std::optional<PointKey> moved_to;  ///< where a person moved it
  std::string settings;              ///< of the analysis that is shown
  UtcTime taken{};                   ///< as it may have been corrected
};

/// A reading ("r12") or an event ("e3") by its number, which it keeps for good.
struct EntryId {
  bool event{false};
  std::int64_t id{0};
  friend bool operator==(const EntryId&, const EntryId&) = default;
};
/// "r12", "e3"
[[nodiscard]] std::string name(EntryId id);
/// Errors: bad_argument
[[nodiscard]] Result<EntryId> parse_entry(std::string_view text);

/// A line of what a machine's history holds, removed ones included.
struct HistoryEntry {
  EntryId id;
  PointKey at;  ///< point empty: an event of the whole machine
  UtcTime when{};
  bool removed{false};
  DateDoubt doubt{DateDoubt::none};
  std::string what;    ///< "fault: outer ring", "bearing replaced"
  std::string detail;  ///< path of the recording; words of the event
};

/// What to change of a reading or event; what is empty stays. Time or shift, not both.
struct Correction {
  std::optional<UtcTime> time;
  std::optional<std::chrono::milliseconds> shift;  ///< added to the time
  bool confirm_date{false};                        ///< of a reading: it is right as it is
  /// Of a reading: both names. Of an event: the point alone, empty for the whole machine.
  std::optional<PointKey> at;
  bool new_point{false};  ///< the point, but not the machine, may be new
  std::optional<double> load_percent;
  std::optional<EventKind> kind;
  std::optional<std::string> note;
  std::optional<double> temperature_celsius;
};

/// What a person, or a recording that grew, changed.
struct JournalEntry {
  UtcTime when{};
  std::string action;  ///< "edit", "remove", "restore", "rename", "join", "grown"
  std::string entry;   ///< name(EntryId), or empty
  PointKey at;         ///< where it was before
  std::string before, after;
  std::string why;  ///< in the person's words; may be empty
};

/// What `History::check` found; sound() if nothing is wrong.
struct HistoryCheck {
  std::size_t machines{0}, points{0}, captures{0}, analyses{0}, events{0};
  int schema{0};
  std::vector<std::string> wrong;    ///< damage of the store, a sentence each
  std::vector<std::string> missing;  ///< recordings that are no longer where they were
  std::vector<std::string>
      changed;  ///< recordings whose file holds something else, a sentence each
  std::vector<std::string> remarks;  ///< what a person should put right: names, dates
  [[nodiscard]] bool sound() const noexcept { return wrong.empty(); }
};

/// Whether a history can be kept under this name. An empty name, ":memory:" and "file:..." mean to
/// SQLite that nothing is kept; a device or a pipe keeps nothing either.
/// Errors: bad_argument
[[nodiscard]] Result<void> check_store_name(const std::string& path);

/// One store, opened. Several processes may have it open at once, one writing at a time; each
/// add() is one transaction, so that a process killed at any instant leaves whole recordings only.
/// Not to be used from two threads at once.
///
/// Errors of all: database with the store's path, what SQLite said and what to do; bad_argument for
/// empty names.
class History {
 public:
  /// Opens, for writing also makes and migrates, the store.
  /// Errors: those of check_store_name(); not_found if it is not there and may only be read;
  /// corrupt_file if it is no history, or one of a newer version; io; database
  [[nodiscard]] static Result<History> open(const std::string& path, Access access,
                                            Clock clock = system_time);
  History(History&&) noexcept;
  History& operator=(History&&) noexcept;
  ~History();

  [[nodiscard]] UtcTime now() const;
  [[nodiscard]] Result<Known> known(const PointKey& at, const std::string& hash);
  /// Whether this recording of this point is there, analysed with these settings.
  [[nodiscard]] Result<bool> holds(const PointKey& at, const std::string& hash,
                                   const std::string& settings);
  /// Adds a recording with its analysis; the machine and the point are made if they are new. A
  /// recording that begins like one that is there (begin_alike) is the same one, whole or cut
  /// short: the longer one counts.
  [[nodiscard]] Result<Added> add(const PointKey& at, const Reading& reading);
  /// Keeps what the machine may vibrate, from its nameplate; nothing happens where the machine is
  /// not in the history, or this is kept already.
  [[nodiscard]] Result<void> keep_limits(const std::string& machine, const KnownLimits& limits);
  /// Keeps which bearing sits at the point, as PointHistory::bearing; nothing happens where the
  /// point is not in the history, or this is kept already.
  [[nodiscard]] Result<void> keep_bearing(const PointKey& at, const std::string& bearing);
  /// Adds an event. The machine has to be there, and the point unless it is empty: a slip of the
  /// pen would else be a new machine.
  /// Errors: not_found; bad_argument for a time in the future
  [[nodiscard]] Result<void> add(const std::string& machine, const Event& event);

  /// Every point, by machine and name.
  [[nodiscard]] Result<std::vector<PointKey>> points();
  /// The points of the machine of that name, or the one point asked for, by the comparison of
  /// same_point().
  /// Errors: not_found with what there is
  [[nodiscard]] Result<std::vector<PointKey>> points_of(const std::string& machine,
                                                        const std::string& point = {});
  /// The bearing that the point had from one time to another, as the analyses of its readings knew
  /// it: one made before `until`, while it was in there, before a later one. None where no reading
  /// of that time is there, or none knew a bearing.
  [[nodiscard]] Result<std::optional<FittedBearing>> bearing_between(const PointKey& at,
                                                                     std::optional<UtcTime> from,
                                                                     UtcTime until);
  /// Points at which this recording is.
  [[nodiscard]] Result<std::vector<PointKey>> holders(const std::string& hash);
  /// Readings and events of one point, oldest first; of each recording the latest analysis. Dates
  /// are settled (settle_dates).
  /// Errors: not_found
  [[nodiscard]] Result<PointHistory> point(const PointKey& at);
  /// Fills in the spectra of its readings, of those recordings that were analysed since stores keep
  /// them.
  /// Errors: not_found
  [[nodiscard]] Result<void> read_spectra(PointHistory& history);
  /// Each reading of every point, point by point, oldest first and those dated in the future last,
  /// without holding them all. `take`
  /// returning false ends it.
  [[nodiscard]] Result<void> each(const std::function<bool(const PointKey&, const Reading&)>& take);
  /// Every event with its machine, oldest first.
  [[nodiscard]] Result<std::vector<std::pair<std::string, Event>>> events();

  /// A text kept for each point, derived from its history (its standing in the worst-first list);
  /// empty where none was kept, or where the history changed since.
  [[nodiscard]] Result<std::vector<std::pair<PointKey, std::string>>> kept_standings();
  /// Keeps it, unless the history changed since `seen` readings and events were read: two processes
  /// may do this at once.
  [[nodiscard]] Result<void> keep_standing(const PointHistory& seen, const std::string& text);

  /// All that the point holds, its machine's events and what was removed included, by time.
  /// Errors: not_found
  [[nodiscard]] Result<std::vector<HistoryEntry>> entries(const PointKey& at);
  /// The same change to each of them, in one transaction, written to the journal with `why`. A
  /// corrected time counts as confirmed.
  /// Errors: not_found; bad_argument for what does not fit the kind of entry, a time in the future,
  /// a point that is not there, or one that holds the recording
  [[nodiscard]] Result<void> correct(std::span<const EntryId> ids, const Correction& correction,
                                     const std::string& why);
  /// Takes them out of everything but entries() and the journal; a removed recording is not added
  /// again.
  /// Errors: not_found; bad_argument if one is removed already
  [[nodiscard]] Result<void> remove(std::span<const EntryId> ids, const std::string& why);
  /// Undoes remove().
  /// Errors: not_found; bad_argument if one is not removed
  [[nodiscard]] Result<void> restore(std::span<const EntryId> ids, const std::string& why);
  /// Another name for a machine (point empty) or a point, with all its history. Where that name is
  /// taken, `join` puts both histories together: a recording that both hold is kept once, with the
  /// analyses of both.
  /// Errors: not_found; bad_argument if the name is taken
  [[nodiscard]] Result<void> rename(const PointKey& from, const std::string& to, bool join,
                                    const std::string& why);
  /// Oldest first.
  [[nodiscard]] Result<std::vector<JournalEntry>> journal();

  /// Whether the file and its contents are whole; with files also whether each recording is still
  /// where it was, and what it was.
  [[nodiscard]] Result<HistoryCheck> check(bool files);

 private:
  struct Store;
  explicit History(std::unique_ptr<Store> store);
  std::unique_ptr<Store> store_;
};

}  // namespace bearingdsp
