#include "bearingdsp/machine/catalogue_file.hpp"

#include <string>

#include "bearingdsp/machine/text_file.hpp"

namespace bearingdsp {

Result<Catalogue> load_catalogue(const std::string& path) {
  const auto text = read_text_file(path);
  if (!text) return text.error();
  return parse_catalogue(*text, path);
}

}  // namespace bearingdsp
