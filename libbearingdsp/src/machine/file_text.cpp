#include "machine/file_text.hpp"

#include <cstddef>
#include <fstream>

namespace bearingdsp {

Result<std::string> file_text(const std::string& path) {
  constexpr std::size_t largest = 16U << 20U;
  std::ifstream file{path, std::ios::binary};
  std::string text;
  char block[4096];
  while (file && text.size() <= largest) {
    file.read(block, sizeof block);
    text.append(block, static_cast<std::size_t>(file.gcount()));
  }
  if (!file.eof() && text.size() <= largest)
    return Error{Errc::io, path, "cannot be read", "check the path and its permissions"};
  if (text.size() > largest)
    return Error{Errc::io, path, "is larger than 16 MB", "check that it is the file you mean"};
  return text;
}

}  // namespace bearingdsp
