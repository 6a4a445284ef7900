#include "input_file.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <system_error>

namespace cli {
using namespace bearingdsp;

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
