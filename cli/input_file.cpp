#include "input_file.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <system_error>

namespace cli {
using namespace bearingdsp;

bool looks_like_recording(const std::string& path) {
  static constexpr std::array known = {".wav", ".w64", ".rf64", ".flac", ".aif", ".aiff",
                                       ".csv", ".txt", ".tsv",  ".mat",  ".gz",  ".dat"};
  const std::string extension =
      CLI::detail::to_lower(std::filesystem::path{path}.extension().string());
  return std::find(known.begin(), known.end(), extension) != known.end();
}

Result<std::string> text_of(const std::string& path) {
  std::error_code code;
  if (std::filesystem::is_directory(path, code))
    return Error{Errc::io, path, "is a directory", "name a file in it"};
  std::ifstream in{path, std::ios::binary};
  if (!in)
    return Error{Errc::io, path, "cannot be opened", "check the name and that you may read it"};
  return std::string{std::istreambuf_iterator<char>{in}, std::istreambuf_iterator<char>{}};
}

}  // namespace cli
