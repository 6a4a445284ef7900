#include "validate_results.hpp"

#include "bearingdsp/machine/text_file.hpp"

namespace cli {
using namespace bearingdsp;

Result<std::vector<Outcome>> results_in(const std::string& path) {
  // A row takes some 200 bytes: room for 300 000 recordings.
  constexpr std::size_t max_results = std::size_t{64} << 20U;
  const auto text = read_text_file(path, max_results);
  if (!text) return text.error();
  return parse_results(*text, path);
}

}  // namespace cli
