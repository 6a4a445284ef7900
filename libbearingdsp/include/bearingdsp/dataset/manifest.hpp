#pragma once
/// A list of labelled recordings and the bearings in them, as CSV.
///
/// manifest.csv has the columns dataset, file, signal, unit, rate_hz, rpm, tacho,
/// pulses_per_revolution, bearing, fault, split, sha256 (others are ignored); bearings.csv beside
/// it has name, rolling_elements, element_diameter, pitch_diameter, contact_angle_deg, unit,
/// source. Columns are found by name; files are relative to the manifest's folder. docs/manifest.md
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/defect_orders.hpp"
#include "bearingdsp/capture/capture.hpp"
#include "bearingdsp/capture/read.hpp"
#include "bearingdsp/core/quantity.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/verdict/diagnosis.hpp"

namespace bearingdsp {

/// Rows of a CSV text, cells unquoted. Quotes as in RFC 4180; CRLF and a byte order mark are
/// accepted, blank lines skipped.
/// Errors: corrupt_file for a quote that never ends, with its line.
[[nodiscard]] Result<std::vector<std::vector<std::string>>> parse_csv(std::string_view text,
                                                                      const std::string& name);
/// safe_text() for a cell of CSV: quoted only where needed.
[[nodiscard]] std::string csv_cell(std::string_view text);

/// Which signals a `signal` cell asks for.
struct SignalChoice {
  std::vector<std::string> select;  ///< names or 1-based column numbers, as read_capture takes them
  std::string time_column;          ///< number of the time column; empty: not said
};
/// Reads a `signal` cell: "X105_DE_time", "bearing.gs", "columns 2-4 (x y z), column 1 is time",
/// "columns 5 (horizontal) and 6 (vertical)". Names in brackets are remarks.
[[nodiscard]] SignalChoice parse_signal(std::string_view cell);

/// The unit a `unit` cell states ("g", "m/s2", "V" of "V (MEMS ...)"); empty for "unknown" and "".
[[nodiscard]] std::string parse_unit(std::string_view cell);

/// One labelled recording.
struct LabelledRecord {
  std::string dataset;
  std::string file;  ///< as in the manifest
  std::string path;  ///< folder of the manifest + file
  SignalChoice signal;
  std::string unit;  ///< as parse_unit gives it
  std::optional<Hz> rate;
  std::optional<Rpm> speed;
  std::string bearing;
  std::optional<DefectOrders> orders;  ///< of the bearing, where it is listed
  std::string label;                   ///< the `fault` cell
  std::string tacho;                   ///< name of the shaft marker's signal; may be empty
  double pulses_per_revolution{1};     ///< of the tacho
  std::string split;   ///< group the recording belongs to, as "tuning"; may be empty
  std::string sha256;  ///< of the file, lower case; may be empty
  std::size_t row{0};  ///< line number in the manifest, for messages
};

struct Manifest {
  std::vector<LabelledRecord> records;  ///< in the order of the file
  std::vector<std::string> notes;       ///< rows left out and why
  std::string bearings;                 ///< path of the table of bearings
  /// Paths of the recordings and of the table of bearings.
  [[nodiscard]] std::vector<std::string> files_read() const;
};

/// Reads a manifest and the bearings beside it. A row whose file name holds a wildcard, or whose
/// label is a word of another kind, is left out with a note (a run to failure has no single label).
/// Errors: io; corrupt_file with the recording (a missing column, or one that is nearly one of
/// ours; a number that is none; a label that is nearly one; a recording listed twice); not_found (a
/// bearing that bearings.csv does not list).
[[nodiscard]] Result<Manifest> read_manifest(const std::string& path);

/// The recordings of one split, and the notes.
/// Errors: not_found with the splits there are
[[nodiscard]] Result<Manifest> of_split(const Manifest& manifest, const std::string& split);

/// How the record's file is read; the tacho's channel is among those selected.
[[nodiscard]] ReadOptions record_options(const LabelledRecord& record);
/// Whether the file is a regular one, and that of the row's checksum where there is one.
/// Errors: io; corrupt_file
[[nodiscard]] Result<void> check_record(const LabelledRecord& record);
/// The samples that the record's row describes, the tacho's among them.
/// Errors: those of read_capture(); io if it is no regular file; corrupt_file if the file is not
/// the one of the row's checksum
[[nodiscard]] Result<Capture> read_record(const LabelledRecord& record);

}  // namespace bearingdsp
