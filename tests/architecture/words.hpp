#pragma once
/// The words that docs/glossary.md refuses, as functions over texts, so that each can be shown a
/// breach.
#include <cstddef>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "architecture/structure.hpp"

namespace words {

/// One row of the table "Words to avoid" of docs/glossary.md.
struct Rule {
  std::vector<std::string> avoid;  ///< words in lower case; "n" is any number
  std::string shown;               ///< as written in the table
  std::string instead;
  bool in_text{false};   ///< refused in prose, strings and comments
  bool in_names{false};  ///< refused in identifiers
  bool prefix{false};    ///< refused as the first part of a longer identifier only
};

/// Rows of the table under the heading "Words to avoid"; empty without the heading.
std::vector<Rule> rules_of(std::string_view glossary);
/// The glossary without its table of words to avoid.
std::string without_rules(std::string_view glossary);

/// All texts of the given files and folders that hold prose or code (C++, Python, JavaScript,
/// shell, CMake, Markdown, notebooks, CSV and TOML), sorted by path. Folders named in `skip` are
/// left out.
std::vector<structure::Source> read_texts(const std::string& top,
                                          const std::vector<std::string>& where,
                                          const std::vector<std::string>& skip);

/// Uses of refused words, as "path:line: what". C++: strings and comments are text, identifiers are
/// names. Markdown: fenced blocks and words in back-quotes are not looked at. Other files: all is
/// text, but a word with an underscore is a name of something and not looked at.
structure::Breaches refused(const std::vector<structure::Source>& sources,
                            const std::vector<Rule>& rules);

/// Splits breaches by the prefixes of `later` that their paths begin with (the longest counts):
/// number of breaches for each prefix, under "" those that no prefix excuses.
std::map<std::string, structure::Breaches> by_prefix(const structure::Breaches& breaches,
                                                     const std::vector<std::string>& later);

}  // namespace words
