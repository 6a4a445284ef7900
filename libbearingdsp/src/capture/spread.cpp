#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bearingdsp/capture/pieces.hpp"
#include "bearingdsp/capture/scan.hpp"

namespace bearingdsp {

bool spread_evenly(std::size_t i, std::size_t n, std::size_t k) noexcept {
  return i == 0 || (i < n && i * k / n != (i - 1) * k / n);
}

Result<std::vector<Capture>> spread_pieces(PieceReader& reader, std::size_t count,
                                           std::uint64_t total) {
  count = std::max<std::size_t>(1, count);
  const std::size_t size = piece_samples(reader, total / count);
  const auto pieces =
      static_cast<std::size_t>(std::max<std::uint64_t>(1, (reader.expected() + size - 1) / size));
  std::vector<Capture> out;
  for (std::size_t i = 0; i < pieces; ++i) {
    const bool wanted = spread_evenly(i, pieces, count);
    auto piece = reader.next(size);
    if (!piece && wanted) return piece.error();
    if (!piece) continue;
    if (!*piece) break;
    // The rest at the end is shorter, and what is compared has one length.
    if (wanted && (out.empty() || (*piece)->size() == out.front().size()))
      out.push_back(std::move(**piece));
  }
  if (out.empty())
    return Error{Errc::too_short, "recording", "contains no samples", "check the recorder"};
  const double length = out.front().duration().value();
  out.front().findings.push_back(
      {FindingKind::long_recording, Weight::note, "",
       fmt::format("too long to be held: {} of {} pieces of {:.1f} s were read, spread over it",
                   out.size(), pieces, length),
       "what shows only between these pieces is missed", "cut out a stretch of some minutes"});
  return out;
}

}  // namespace bearingdsp
