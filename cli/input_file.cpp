#include "input_file.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <filesystem>

namespace cli {

bool looks_like_recording(const std::string& path) {
  static constexpr std::array known = {".wav", ".w64", ".rf64", ".flac", ".aif", ".aiff",
                                       ".csv", ".txt", ".tsv",  ".mat",  ".gz",  ".dat"};
  const std::string extension =
      CLI::detail::to_lower(std::filesystem::path{path}.extension().string());
  return std::find(known.begin(), known.end(), extension) != known.end();
}

}  // namespace cli
