#include "bearingdsp/report/text.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "support/made_diagnosis.hpp"

using namespace bearingdsp;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines(1);
  for (const char c : text)
    if (c == '\n')
      lines.emplace_back();
    else
      lines.back() += c;
  lines.pop_back();
  return lines;
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return n;
}

}  // namespace

TEST_CASE("display width: ASCII, umlauts, combining, wide, broken [src:Unicode UAX #11]") {
  CHECK(display_width("abc") == 3);
  CHECK(display_width("m/s²") == 4);
  CHECK(display_width("Lüfter") == 6);
  CHECK(display_width("Lu\xcc\x88"
                      "fter") == 6);
  CHECK(display_width("轴承") == 4);
  CHECK(display_width("\xff\xfe") == 2);
  CHECK(display_width("\xe2\x82") == 2);  // cut short: each byte by itself
  CHECK(display_width("") == 0);
}

TEST_CASE("text: the verdict comes first and no line is wider than asked") {
  const Report r = diagnosis_report(test::made_diagnosis());
  for (const int width : {40, 60, 80, 100, 140}) {
    TextOptions options;
    options.width = width;
    options.details = true;
    const std::string text = to_text(r, options);
    for (const std::string& line : lines_of(text)) {
      INFO(line);
      CHECK(display_width(line) <= static_cast<std::size_t>(width));
    }
    CHECK(text.find("BEARING FAULT: outer ring") < text.find("What to do"));
    CHECK(text.find("What to do") < text.find("Evidence"));
  }
}

TEST_CASE("text: no line ends in blanks, the text ends in one newline") {
  const std::string text = to_text(diagnosis_report(test::made_diagnosis()));
  CHECK(count(text, " \n") == 0);
  CHECK(text.back() == '\n');
  CHECK(text.substr(text.size() - 2) != "\n\n");
}

TEST_CASE("text: numbers of a column end at the same place") {
  Report r;
  r.title = "t";
  ReportSection s;
  s.table = ReportTable{{{"Name", "", false}, {"Value", "Hz", true}},
                        {{"Lüfter", "1.5"}, {"轴承", "100.25"}, {"x", "7"}}};
  r.sections.push_back(s);
  const auto lines = lines_of(to_text(r));
  REQUIRE(lines.size() == 7);
  for (std::size_t i = 2; i < 7; ++i) CHECK(display_width(lines[i]) == display_width(lines[2]));
}

TEST_CASE("text: a table too wide even for wrapped words becomes a block a row") {
  Report r;
  ReportSection s;
  ReportTable t;
  std::vector<std::string> row;
  for (int i = 0; i < 12; ++i) {
    t.columns.push_back({"Column " + std::to_string(i), "", true});
    row.push_back("123456");
  }
  t.rows = {row, row};
  s.table = t;
  r.sections.push_back(s);
  TextOptions narrow;
  narrow.width = 40;
  const std::string text = to_text(r, narrow);
  CHECK(count(text, "Column 11") == 2);
  CHECK(count(text, "123456") == 24);
}

TEST_CASE("text: a label as wide as its place has a line of its own") {
  Report r;
  ReportSection s;
  s.figures = {{"A label of thirty characters..", "its text"}, {"Short", "more"}};
  r.sections.push_back(s);
  TextOptions narrow;
  narrow.width = 44;
  const auto lines = lines_of(to_text(r, narrow));
  REQUIRE(lines.size() >= 3);
  CHECK(lines[lines.size() - 3] == "  A label of thirty characters..");
  CHECK(lines[lines.size() - 2] == std::string(24, ' ') + "its text");
  CHECK(lines[lines.size() - 1] == "  Short                 more");
}

TEST_CASE("text: colour only when asked for, and nothing else changes") {
  const Report r = diagnosis_report(test::made_diagnosis());
  const std::string plain = to_text(r);
  CHECK(plain.find('\x1b') == std::string::npos);
  TextOptions options;
  options.colour = true;
  std::string coloured = to_text(r, options);
  CHECK(coloured.find("\x1b[1;31mBEARING FAULT") != std::string::npos);
  std::string stripped;
  for (std::size_t i = 0; i < coloured.size(); ++i) {
    if (coloured[i] == '\x1b') {
      i = coloured.find('m', i);
      continue;
    }
    stripped += coloured[i];
  }
  CHECK(stripped == plain);
}

TEST_CASE("text: a name cannot steer the terminal") {
  Diagnosis d = test::made_diagnosis();
  d.source = "a\x1b[2Jb\nc\xff\xe2\x80\xae.wav";  // escape, newline, broken byte, bidi override
  const std::string text = to_text(diagnosis_report(d));
  CHECK(text.find('\x1b') == std::string::npos);
  CHECK(text.find("\xe2\x80\xae") == std::string::npos);
  CHECK(text.find("a\\x1b[2Jb\\x0ac\\xff\\u202e.wav\n") == 0);
}

TEST_CASE("text: in one line a headline does not repeat the title") {
  Report r;
  r.title = "CANNOT TELL";
  TextOptions brief;
  brief.brief = true;
  const auto said = [&](const std::string& headline) {
    r.headline = headline;
    return to_text(r, brief);
  };
  CHECK(said("Cannot tell, because it is short.") == "CANNOT TELL, because it is short.\n");
  CHECK(said("The recording is short.") == "CANNOT TELL. The recording is short.\n");
  CHECK(said("Cannot tell") == "CANNOT TELL. Cannot tell\n");
  CHECK(said("") == "CANNOT TELL\n");
}

TEST_CASE("text: details only when asked for, brief is one line") {
  const Report r = diagnosis_report(test::made_diagnosis());
  CHECK(to_text(r).find("Processing steps") == std::string::npos);
  TextOptions options;
  options.details = true;
  CHECK(to_text(r, options).find("Processing steps") != std::string::npos);
  options.brief = true;
  CHECK(to_text(r, options) ==
        "fan <1> & \"two\".wav: BEARING FAULT: outer ring. Outer ring of the bearing damaged (95 "
        "%), developed stage; pattern of unbalance (62 %), level not judged "
        "(machine not given). Plan: Change the bearing at the next stop. "
        "Measure weekly until then.\n");
}

TEST_CASE("chart: the tallest bar stands over the marker of the strongest line") {
  const Report r = diagnosis_report(test::made_diagnosis());
  TextOptions options;
  options.details = true;
  const auto lines = lines_of(to_text(r, options));
  std::size_t top = 0;
  for (std::size_t i = 0; i < lines.size(); ++i)
    if (lines[i].find("█") != std::string::npos && top == 0) top = i;
  REQUIRE(top > 0);
  REQUIRE(top + 6 < lines.size());
  const std::size_t bar = display_width(lines[top].substr(0, lines[top].find("█")));
  CHECK(lines[top + 6].at(bar) == 'O');
  CHECK(lines[top].find("0.310 │") != std::string::npos);
}

TEST_CASE("chart: plain ASCII on request") {
  TextOptions options;
  options.unicode = false;
  options.details = true;
  const Report r = diagnosis_report(test::made_diagnosis());
  CHECK(to_text(r, options).find("█") == std::string::npos);
  CHECK(to_text(r, options).find("#") != std::string::npos);
}
