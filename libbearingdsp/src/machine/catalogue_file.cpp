#include "bearingdsp/machine/catalogue_file.hpp"

#include <cstddef>
#include <fstream>
#include <string>

namespace bearingdsp {

Result<Catalogue> load_catalogue(const std::string& path) {
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
    return Error{Errc::io, path, "is larger than 16 MB", "give a list of bearings as text"};
  return parse_catalogue(text, path);
}

}  // namespace bearingdsp
