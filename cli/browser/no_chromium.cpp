#include "chromium.hpp"

// A page is printed by the browser that shows it.
namespace cli {
using namespace bearingdsp;

namespace {

Error in_a_browser(const std::string& path) {
  return {Errc::unsupported_format, path, "cannot be made inside a browser",
          "save the report as .html, and print it from there"};
}

}  // namespace

Result<std::string> find_chromium(const std::string& path) { return in_a_browser(path); }
Result<std::string> pdf_of(const std::string& path, std::string_view /*html*/) {
  return in_a_browser(path);
}
Result<std::string> png_of(const std::string& path, std::string_view /*svg*/) {
  return in_a_browser(path);
}

}  // namespace cli
