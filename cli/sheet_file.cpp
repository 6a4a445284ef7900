#include "sheet_file.hpp"

#include <utility>

namespace cli {
using namespace bearingdsp;

bool is_page(const std::string& path) { return path.ends_with(".html") || path.ends_with(".htm"); }

Result<std::optional<OutputFile>> sheet_file(const OutputRules& rules, const std::string& path) {
  if (path.empty() || path == "-") return std::optional<OutputFile>{};
  auto created = OutputFiles{rules}.open(path);
  if (!created) return created.error();
  if (!is_page(path) && !path.ends_with(".md") && !path.ends_with(".markdown") &&
      !path.ends_with(".txt"))
    return Error{Errc::bad_argument, path, "does not end in a known format",
                 "write to a name that ends in .md or .html"};
  return std::optional<OutputFile>{std::move(*created)};
}

}  // namespace cli
