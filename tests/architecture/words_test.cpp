#include "architecture/words.hpp"

#include <doctest/doctest.h>

#include <cstdio>
#include <string>
#include <vector>

// docs/glossary.md is the norm for every text. As in structure_test.cpp each rule is held twice:
// the repository keeps it, and a breach made for it is seen.

namespace {

const std::string top{REPOSITORY};

const std::vector<words::Rule>& rules() {
  static const std::vector<words::Rule> all =
      words::rules_of(structure::read_text(top, "docs/glossary.md"));
  return all;
}

/// Files and folders whose text still holds refused words. The lists may only shrink: an entry
/// without any left fails the test and is deleted. The counts are printed with
/// `architecture_tests -tc="words: the project*"`.
const std::vector<std::string> text_later = {};
/// The same for names in the code.
const std::vector<std::string> names_later = {};

std::vector<structure::Source> everything() {
  auto sources = words::read_texts(
      top,
      {"README.md", "DEVELOPERS.md", "CMakeLists.txt", "cli", "docs", "libbearingdsp", "notebooks",
       "testdata", "tests"},
      {"docs/glossary.md", "docs/sources.md", "libbearingdsp/data/generate/raw",
       "tests/architecture/words", "tests/fuzz/corpus", "tests/reference/designations.csv"});
  sources.push_back(
      {"docs/glossary.md", words::without_rules(structure::read_text(top, "docs/glossary.md"))});
  return sources;
}

/// No breach outside `later`, and no entry of it without any.
void expect_only(const structure::Breaches& breaches, const std::vector<std::string>& later,
                 const char* what) {
  for (const auto& [entry, found] : words::by_prefix(breaches, later)) {
    const std::string& prefix = entry;  // clang lets no lambda, such as INFO's, see a binding
    INFO(prefix);
    if (prefix.empty()) {
      for (const std::string& breach : found) FAIL_CHECK(breach);
      continue;
    }
    CHECK_MESSAGE(!found.empty(), "delete the entry: no refused word is left");
    std::printf("%s to replace: %5zu in %s\n", what, found.size(), prefix.c_str());
  }
}

std::vector<words::Rule> only(bool names) {
  std::vector<words::Rule> chosen = rules();
  for (words::Rule& rule : chosen) {
    rule.in_names = rule.in_names && names;
    rule.in_text = rule.in_text && !names;
  }
  return chosen;
}

structure::Breaches in(const std::string& path, const std::string& text) {
  return words::refused({{path, text}}, rules());
}

/// A phrase of the table as somebody would write it.
std::string written(const words::Rule& rule) {
  std::string text = rule.shown;
  if (rule.prefix) text += "count";
  for (std::size_t at = text.find('N'); at != std::string::npos; at = text.find('N'))
    text.replace(at, 1, "12.5");
  return text;
}

}  // namespace

TEST_CASE("words: the project writes the terms of the glossary") {
  REQUIRE(rules().size() > 100);
  const auto sources = everything();
  REQUIRE(sources.size() > 500);
  expect_only(words::refused(sources, only(false)), text_later, "words");
  expect_only(words::refused(sources, only(true)), names_later, "names");
}

TEST_CASE("words: every row of the glossary refuses a breach of it") {
  for (const words::Rule& rule : rules()) {
    CAPTURE(rule.shown);
    REQUIRE((rule.in_text || rule.in_names));
    REQUIRE_FALSE(rule.avoid.empty());
    REQUIRE_FALSE(rule.instead.empty());
    const std::string text = written(rule);
    if (rule.in_text) {
      CHECK(in("docs/a.md", "One.\nIt " + text + " here.\n").at(0).find("docs/a.md:2: ") == 0);
      CHECK_FALSE(in("cli/a.cpp", "f(\"it " + text + " here\");\n").empty());
      CHECK_FALSE(in("cli/a.cpp", "// It " + text + ".\n").empty());
      CHECK_FALSE(in("tests/a.py", "print('it', \"" + text + "\")\n").empty());
    }
    if (rule.in_names) {
      CHECK_FALSE(in("cli/a.cpp", "int " + text + " = 1;\n").empty());
    }
    // What is written instead is not refused itself.
    if (rule.in_text) CHECK(in("docs/a.md", rule.instead).empty());
  }
}

TEST_CASE("words: phrases are found over line breaks, in format strings and in names") {
  CHECK(in("docs/a.md", "The speed is good\nto 1.9 %.\n") ==
        structure::Breaches{"docs/a.md:1: 'good to N %': write ±N %"});
  CHECK(in("cli/a.cpp", "x = \"good \"\n    \"to {:.1f} %\";\n").size() == 1);
  CHECK(in("cli/a.cpp", "const bool Told = true;\n").size() == 1);
  CHECK(in("cli/a.cpp", "int harmonics_standing = 1;\n").size() == 1);
  CHECK(in("cli/a.cpp", "int most_lines = 1;\n").size() == 1);
  CHECK(in("cli/a.cpp", "R\"(analysed anew)\"\n").size() == 1);
  CHECK(in("tests/a.sh", "step 'x' \\\n  it shakes\n") ==
        structure::Breaches{"tests/a.sh:2: 'it shakes': write overall vibration"});
}

TEST_CASE("words: what only looks like a refused word is let pass") {
  CHECK(in("docs/a.md", "It is extolled at standstill; the amendment turns up.\n").empty());
  CHECK(in("docs/a.md", "`told` is a key.\n\n```\ntold\n```\n").empty());
  CHECK(in("docs/a.md", "It is good. To 1.9 % of it\n").empty());
  CHECK(in("cli/a.cpp", "int at_most = 1, most = 2; f(\"most_lines\");\n").empty());
  CHECK(in("cli/a.cpp", "f(\"good\", \"to {} %\");\n").empty());
  CHECK(in("tests/a.py", "told_speed = 1\n").empty());
}

TEST_CASE("words: the table is read, and the excuses are sorted by their longest prefix") {
  const auto made = words::rules_of(
      "x\n## Words to avoid\n\n| do not write | write | refused in |\n"
      "| --- | --- | --- |\n| `old word` | new | text, names |\n");
  REQUIRE(made.size() == 1);
  CHECK(made[0].avoid == std::vector<std::string>{"old", "word"});
  CHECK(made[0].in_text);
  CHECK(made[0].in_names);
  CHECK(words::rules_of("no table").empty());
  CHECK(words::without_rules("a\n## Words to avoid\nb") == "a");

  const auto sorted =
      words::by_prefix({"a/b/c.md:1: x", "a/d.md:1: x", "e.md:1: x"}, {"a/", "a/b/"});
  CHECK(sorted.at("a/b/") == structure::Breaches{"a/b/c.md:1: x"});
  CHECK(sorted.at("a/").size() == 1);
  CHECK(sorted.at("").size() == 1);
}
