#include "bearingdsp/core/foreign_text.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

using bearingdsp::csv_content;
using bearingdsp::Medium;
using bearingdsp::safe_text;

namespace {

std::string utf8(unsigned code) {
  std::string out;
  if (code < 0x80) return out += static_cast<char>(code);
  if (code < 0x800) {
    out += static_cast<char>(0xc0U | (code >> 6U));
  } else {
    out += static_cast<char>(0xe0U | (code >> 12U));
    out += static_cast<char>(0x80U | ((code >> 6U) & 0x3fU));
  }
  return out += static_cast<char>(0x80U | (code & 0x3fU));
}

/// All that steers a terminal or reorders a line: C0, DEL, C1; the directional formatting
/// characters and the separators, as listed in UAX 9 table "Directional Formatting Characters"
/// (from memory) and the Unicode names list.
std::vector<unsigned> steering() {
  std::vector<unsigned> codes{0x7f,   0x61c,  0x200e, 0x200f, 0x2028, 0x2029, 0x202a, 0x202b,
                              0x202c, 0x202d, 0x202e, 0x2066, 0x2067, 0x2068, 0x2069};
  for (unsigned c = 0; c < 0x20; ++c) codes.push_back(c);
  for (unsigned c = 0x80; c < 0xa0; ++c) codes.push_back(c);
  return codes;
}

}  // namespace

TEST_CASE(
    "foreign text: what steers a terminal reaches no medium as it is [src:uax9 section 2, from "
    "memory]") {
  for (const unsigned code : steering()) {
    const std::string c = utf8(code);
    INFO(code);
    for (const Medium m : {Medium::terminal, Medium::markdown, Medium::html})
      CHECK(safe_text("a" + c + "b", m).find(c) == std::string::npos);
    const bool of_a_table = code == '\t' || code == '\n' || code == '\r';
    CHECK((safe_text("a" + c + "b", Medium::csv).find(c) == std::string::npos) != of_a_table);
    // A document keeps its data: a parser that is not ours reads back what was written.
    const nlohmann::json written = {{"name", "a" + c + "b"}};
    const std::string document = safe_text(written.dump(), Medium::json);
    CHECK(document.find(c) == std::string::npos);
    CHECK(nlohmann::json::parse(document) == written);
  }
}

TEST_CASE("foreign text: escapes are visible, other words and scripts stay as they are") {
  CHECK(safe_text("a\x1b[2J\n\xc2\x9b\xe2\x80\xae\xff", Medium::terminal) ==
        "a\\x1b[2J\\x0a\\x9b\\u202e\\xff");
  for (const std::string text : {"Lüfter 3, DE", "Ω ≈ 4 µm", "轴承", "c:\\fan\\x.wav", ""}) {
    CHECK(safe_text(text, Medium::terminal) == text);
    CHECK(nlohmann::json::parse(safe_text(nlohmann::json(text).dump(2), Medium::json)) == text);
  }
}

TEST_CASE("foreign text: a spreadsheet calculates no cell, and the cell comes back") {
  for (const std::string cell : {"=1+1", "+1", "-fan", "@SUM(A1)", "\t=1", "\r=1", "'=1", "''-1"}) {
    INFO(cell);
    std::string written = safe_text(cell, Medium::csv);
    if (written.starts_with('"')) written = written.substr(1, written.size() - 2);
    CHECK(written == "'" + cell);
    CHECK(csv_content(written) == cell);
  }
  for (const std::string cell : {"6205-2RS C3", "'tis", "'", "", "a=b", "1480"}) {
    CHECK(safe_text(cell, Medium::csv) == cell);
    CHECK(csv_content(cell) == cell);
  }
  CHECK(safe_text("a,\"b\"\nc", Medium::csv) == "\"a,\"\"b\"\"\nc\"");
}

TEST_CASE(
    "foreign text: Markdown shows the characters, HTML holds no tag [src:commonmark 2.4, from "
    "memory]") {
  CHECK(safe_text("<img src=x onerror=a> & *b* _c_ `d` [e](f) g|h ~i~ \\", Medium::markdown) ==
        "&lt;img src=x onerror=a&gt; &amp; \\*b\\* \\_c\\_ \\`d\\` \\[e\\](f) g\\|h \\~i\\~ \\\\");
  for (const std::string plain : {"number: ____)", "M_1_a", "6205-2Z/C3 (1 of 2)"})
    CHECK(safe_text(plain, Medium::markdown) == plain);
  CHECK(safe_text("<a href='x'>\"&\"</a>", Medium::html) ==
        "&lt;a href=&#39;x&#39;&gt;&quot;&amp;&quot;&lt;/a&gt;");
}
