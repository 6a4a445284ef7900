#pragma once
/// Bearings by name. Manufacturers put different elements under one designation, so a name may have
/// several rows; the caller must say so where they differ (see variants()).
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bearingdsp/bearing/candidate.hpp"
#include "bearingdsp/bearing/geometry.hpp"
#include "bearingdsp/core/result.hpp"
#include "bearingdsp/core/token.hpp"

namespace bearingdsp {

/// How far a catalogue row can be trusted.
enum class EntryStatus : std::uint8_t {
  user,       ///< from the user's own file
  confirmed,  ///< read in its source, or in a text that quotes it
  inferred,   ///< deduced from published figures that it reproduces
  memory,     ///< not looked up
};
[[nodiscard]] std::string_view token(EntryStatus status) noexcept;

struct CatalogueEntry {
  std::string name;      ///< designation as in the file
  std::string inside;    ///< design of the row where the name stands for several: "standard",
                         ///< "reinforced", "precision"; else empty
  std::string envelope;  ///< basic size whose outside diameter and ball set this one shares; may be
                         ///< empty. The entry is offered for that size too.
  std::optional<BearingGeometry> geometry;  ///< mm; none where only the orders are published
  DefectOrders orders;                      ///< origin catalogue
  double spread{0};  ///< by how much d cos(a) / D of other manufacturers' bearings of the name may
                     ///< differ at the same count, as a fraction
  double weight{1};  ///< probability of the count where its source does not print it
  EntryStatus status{EntryStatus::user};
  std::string source;
};

struct Catalogue {
  std::vector<CatalogueEntry> entries;
};

/// The catalogue that comes with the library: data/bearings.csv as it was at build time.
[[nodiscard]] const Catalogue& built_in_catalogue();

/// Reads a catalogue from delimited text. Lines that begin with # are comments. The first other
/// line names the columns: name, rolling_elements, then element_diameter and pitch_diameter (or the
/// four orders bpfo, bpfi, bsf, ftf); optional contact_angle_deg (0), unit (mm or in; mm),
/// envelope, inside, spread (0), weight (1), status, source. Fields may be quoted, "" is a quote
/// within quotes.
/// `where` names the text in errors, usually its path.
/// Errors: corrupt_file with line and column name: a column missing or unknown, a field that is not
///         a number or out of range, geometry that defect_orders() refuses, orders that contradict
///         bpfo + bpfi = Z or bpfo = Z ftf by more than 0.5 %
[[nodiscard]] Result<Catalogue> parse_catalogue(std::string_view text, std::string_view where);

/// All rows that a designation may mean, rows of that very name first.
/// Case, blanks, hyphens, slashes, dots and underscores do not count; suffixes of seals, shields,
/// clearance, cage, tolerance class, snap ring and heat treatment are dropped until a known name is
/// left ("6205-2RS1/C3", "6205 zz c3", "6205.2Z").
/// Errors: bad_argument if empty; not_found with near misses and what to give instead
[[nodiscard]] Result<std::vector<CatalogueEntry>> find_bearing(
    std::string_view designation, const Catalogue& catalogue = built_in_catalogue());

/// The really different bearings among rows: those with the same number of elements and a BPFO
/// within 3 % become one, at the middle of their orders, with an uncertainty that covers all of
/// them and what other manufacturers build (CatalogueEntry::spread). The likeliest first: each
/// source has one vote. More than one element means that the designation does not say which.
[[nodiscard]] std::vector<BearingCandidate> weighted_variants(
    const std::vector<CatalogueEntry>& rows);

/// The same without the weights.
[[nodiscard]] std::vector<DefectOrders> variants(const std::vector<CatalogueEntry>& rows);

}  // namespace bearingdsp
