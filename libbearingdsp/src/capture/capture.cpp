#include "bearingdsp/capture/capture.hpp"

#include <fmt/format.h>

#include "bearingdsp/core/sentence.hpp"

namespace bearingdsp {

Result<std::size_t> channel_index(const Capture& capture, std::string_view name) {
  std::string known;
  for (std::size_t i = 0; i < capture.channels.size(); ++i) {
    if (capture.channels[i].name == name) return i;
    add_part(known, capture.channels[i].name);
  }
  return Error{Errc::not_found, capture.source, fmt::format("has no channel '{}'", name),
               "it has: " + known};
}

}  // namespace bearingdsp
