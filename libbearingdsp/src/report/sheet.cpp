#include "report/sheet.hpp"

#include <fmt/format.h>

#include "markup.hpp"

namespace bearingdsp {
namespace {

constexpr std::string_view common =
    "body{font:11pt/1.4 sans-serif;max-width:48em;margin:1em auto;padding:0 1em;color:#000;"
    "background:#fff;overflow-wrap:anywhere}"
    "h1{font-size:1.4em}h2{font-size:1.1em;margin:1.2em 0 .3em;border-bottom:1px solid #000;"
    "break-after:avoid}table{border-collapse:collapse}"
    "td,th{border:1px solid #888;padding:.2em .6em;text-align:left;vertical-align:top}"
    "@page{size:A4;margin:15mm}@media print{body{max-width:none;margin:0;padding:0}}";

}  // namespace

std::string sheet_page(std::string_view title, std::string_view style, std::string_view body) {
  const std::string whole = std::string{common} + std::string{style};
  const std::string name = escaped(title);
  return fmt::format(
      "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n{}"
      "<meta name=\"viewport\" content=\"width=device-width\">\n<title>{}</title>\n"
      "<style>{}</style>\n</head>\n<body>\n{}</body>\n</html>\n",
      content_policy(whole, ""), name, whole, body);
}

}  // namespace bearingdsp
