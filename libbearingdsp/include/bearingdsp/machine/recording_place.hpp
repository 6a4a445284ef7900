#pragma once
/// Which point a recording was made at: what lies beside it, and what its name says.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/core/finding.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"
#include "bearingdsp/machine/machine.hpp"
#include "bearingdsp/machine/plant.hpp"
#include "bearingdsp/machine/route.hpp"

namespace bearingdsp {

/// Name of the file beside a recording that describes it: "fan.wav.toml" for "fan.wav".
[[nodiscard]] std::string sidecar_of(std::string_view recording);

/// What such a file says; every key may be left out.
struct RecordingNotes {
  std::string machine, point, sensor;  ///< names
  PatternMatch taken;                  ///< date, time
  std::optional<Rpm> speed;            ///< at measuring
  std::optional<double> load_percent;  ///< at measuring, of the rated load
  std::string note;                    ///< free words
  std::string input;                   ///< what it was recorded from; free words
  std::string gain;                    ///< setting of that input; free words
  Findings findings;                   ///< of the recorder; kind and what, the rest by the kind
  std::string where;                   ///< the file
};
/// Nothing if there is none.
/// Errors: io; corrupt_file with line and key
[[nodiscard]] Result<std::optional<RecordingNotes>> read_sidecar(std::string_view recording);
[[nodiscard]] Result<RecordingNotes> parse_sidecar(std::string_view text, std::string_view where);
/// The text of such a file, which parse_sidecar() reads back; what is empty is left out.
[[nodiscard]] std::string sidecar_text(const RecordingNotes& notes);
/// The matches of a recording with what the file beside it says, which goes before lists and
/// patterns.
/// Errors: corrupt_file for a machine, point or sensor that is not of the route
[[nodiscard]] Result<std::vector<RecordingMatch>> with_notes(const Route& route,
                                                             const RecordingNotes& notes,
                                                             std::vector<RecordingMatch> matches);

/// A point found by the names in a path.
struct NamedPlace {
  std::size_t machine{0};            ///< index
  std::optional<std::size_t> point;  ///< index; the only one of the machine if none is named
};
/// The machine whose name is in the path, as a folder or within a name, from one sign that is no
/// letter or digit to another (case, blanks, hyphens and underscores do not count), and the point
/// whose name, or end and direction, is behind it. The longest name counts. Nothing where no
/// machine or machines of two names are in it.
/// Shape: machines [n]
[[nodiscard]] std::optional<NamedPlace> find_names(const std::vector<Machine>& machines,
                                                   std::string_view path);
/// The date and time of day that are somewhere in a path; as in match_pattern().
[[nodiscard]] PatternMatch date_in(std::string_view path);

/// What says where a recording belongs.
enum class PlaceOrigin : std::uint8_t { none, sidecar, list, pattern, names };
/// "sidecar file", "recordings.toml", "file-name pattern of the route", "its name"; "" for none
[[nodiscard]] std::string_view token(PlaceOrigin origin) noexcept;

/// A recording of a plant.
struct RecordingPlace {
  PlaceOrigin origin{PlaceOrigin::none};
  std::optional<Machine> machine;       ///< with_plant()
  std::optional<MeasuringPoint> point;  ///< of the machine, where it is clear
  std::optional<Rpm> speed;             ///< at measuring: of the sidecar, else of the stop
  std::string sensor;                   ///< that the sidecar names; else empty
  Findings findings;                    ///< of the recorder, in the sidecar
};
/// Looks in this order: the sidecar file, the list beside the recording, the patterns of the route
/// (for a recording in the folder of recordings), the names in its path below the folder of
/// recordings or the plant.
/// Errors: those of the files read; corrupt_file for a sidecar file that names what there is not
[[nodiscard]] Result<RecordingPlace> place_of(const Plant& plant, const std::string& recording);

}  // namespace bearingdsp
