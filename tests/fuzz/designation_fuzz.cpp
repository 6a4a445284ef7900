// Whatever stands on a ring or in a cell is read as bearings that can exist, or refused in one
// line.
#include <algorithm>
#include <cmath>
#include <string_view>

#include "bearingdsp/bearing/candidates.hpp"
#include "bearingdsp/bearing/designation.hpp"
#include "invariants.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace bearingdsp;
  const std::string_view text{reinterpret_cast<const char*>(data), size};
  // Each character that cannot be read is read in 38 ways. The property tests read two and three;
  // here they would be all that there is time for.
  const auto unread = [](char c) {
    return c == '?' || c == '*' || (static_cast<unsigned char>(c) & 0xC0U) == 0xC0U;
  };
  if (std::count_if(text.begin(), text.end(), unread) > 1) return 0;
  const auto readings = read_designation(text);
  if (!readings) fuzz::require_error_line(readings.error());
  if (readings) {
    fuzz::require(!readings->empty() && size <= 4 * 60);
    for (const Designation& d : *readings) {
      fuzz::require(std::isfinite(d.bore_mm) && d.bore_mm > 0);
      // What was read is read again as itself.
      const auto again = read_designation(d.basic());
      fuzz::require(again.has_value() && again->front().basic() == d.basic());
    }
  }
  const auto candidates = bearing_candidates(text);
  if (!candidates) fuzz::require_error_line(candidates.error());
  if (candidates) {
    fuzz::require(!candidates->empty());
    for (const BearingCandidate& c : *candidates)
      fuzz::require(std::isfinite(c.orders.bpfo.value()) && c.orders.bpfo.value() > 0 &&
                    c.weight > 0 && c.weight <= 1 + 1e-9);
  }
  const auto rows = find_bearing(text);
  if (!rows) fuzz::require_error_line(rows.error());
  if (rows) {
    fuzz::require(!rows->empty());
    for (const DefectOrders& o : variants(*rows))
      fuzz::require(std::isfinite(o.bpfo.value()) && o.bpfo.value() > 0);
  }
  return 0;
}
