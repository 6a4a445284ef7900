#include "bearingdsp/machine/catalogue_file.hpp"

#include <string>

#include "machine/file_text.hpp"

namespace bearingdsp {

Result<Catalogue> load_catalogue(const std::string& path) {
  const auto text = file_text(path);
  if (!text) return text.error();
  return parse_catalogue(*text, path);
}

}  // namespace bearingdsp
