#pragma once
/// The rules of the structure as functions over source texts, so that each can be shown a breach.
#include <functional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace structure {

/// A source file: its path from the top of the repository, with '/', and its text.
struct Source {
  std::string path;
  std::string text;
};

/// One breach of a rule, ready to print: "path:line: what".
using Breaches = std::vector<std::string>;

/// All sources and headers under the given folders of the repository, sorted by path.
std::vector<Source> read_tree(const std::string& top, const std::vector<std::string>& folders);
/// Text of one file of the repository; throws std::runtime_error where it cannot be read.
std::string read_text(const std::string& top, const std::string& path);

/// A room includes only itself and rooms on the floors beneath it; every room is a known one.
Breaches floors(const std::vector<Source>& library);
/// Public headers include the standard library and bearingdsp headers only.
Breaches public_includes(const std::vector<Source>& library);
/// Each outside library stays behind the files that are meant to wrap it.
Breaches wrapped_libraries(const std::vector<Source>& library);
/// Every outside header comes from a package that is named in tests/prepare.sh, the one list.
Breaches packaged_includes(const std::vector<Source>& sources, std::string_view prepare);
/// Nothing prints, reads a clock, a file or the environment, or lets the locale touch a number,
/// outside the rooms that are there for it.
Breaches quiet_library(const std::vector<Source>& library);
/// Files are written by WholeFile alone, and in cli/ by OutputFiles alone.
Breaches one_way_to_write(const std::vector<Source>& sources);
/// What is written to be read back holds tokens, never the words that people read, and no words are
/// compared with anything (core/token.hpp).
Breaches tokens_in_files(const std::vector<Source>& sources);
/// cli/ computes nothing, main.cpp stays under 80 lines and every command under 150.
Breaches thin_cli(const std::vector<Source>& cli);
/// tests/unit/R/x_test.cpp tests a header or source x of room R: one name finds all three.
Breaches mirrored_tests(const std::vector<Source>& library, const std::vector<Source>& tests);
/// Every public header has its test, tests/unit/R/x_test.cpp, or is named with the test that
/// exercises it; a header that has both, or is named with a test that is not there, is a breach
/// too.
Breaches tested_headers(const std::vector<Source>& library, const std::vector<Source>& tests,
                        const std::vector<std::pair<std::string, std::string>>& elsewhere);
/// No variable of static or thread storage that can change, but a lock around a library that is not
/// ours.
Breaches no_global_state(const std::vector<Source>& library);
/// No text of the library or the tool names an open dataset, on which a rule could hang.
Breaches no_dataset_rules(const std::vector<Source>& sources);
/// Tests compare with tests/support/close.hpp, have names that CMake does not split at ';', and
/// every switched-off check says which and why.
Breaches honest_tests(const std::vector<Source>& sources);

/// Stopping and locking out are said by data/cautions.csv alone. A step of work that is to be ticked
/// off may say it too, where it has the kind of step that brings the cautions.
Breaches cautions_from_the_list(const std::vector<Source>& sources);

/// Names of the enumerators of `enum class NAME` in a header, in order; empty if it is not there.
std::vector<std::string> enumerators(std::string_view header, std::string_view name);
/// Words of the first column of the Markdown tables in a text, without their back-quotes.
std::vector<std::string> table_keys(std::string_view markdown);
/// Enumerators without a row, and rows without an enumerator.
Breaches rows(const std::vector<std::string>& names, const std::vector<std::string>& keys,
              std::string_view document);

/// [key] and [src:key] in comments and test names whose key is not in the register. A key is a
/// lower-case word with a year or number ("welch1967", "iso20816-1"), so shapes like [n] are none.
Breaches unregistered_sources(const std::vector<Source>& sources,
                              const std::vector<std::string>& registered);

/// Keys of the register of sources whose last column begins with "memory".
std::vector<std::string> from_memory(std::string_view markdown);
/// Names of test cases that cite [src:key ...] of such a key without the word "memory" beside it.
Breaches memory_unsaid(const std::vector<Source>& tests, const std::vector<std::string>& keys);

/// docs/....md named in a comment, but not there. `is_there` answers for a path from the top.
Breaches dead_documents(const std::vector<Source>& sources,
                        const std::function<bool(const std::string&)>& is_there);

}  // namespace structure
